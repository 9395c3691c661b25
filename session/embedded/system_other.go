//go:build !unix

package embedded

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
)

var endSignal = os.Kill

// lockFile always fails: without a lock two of ours could share a directory.
func lockFile(string) (*os.File, error) { return nil, errors.ErrUnsupported }

func ours(fs.FileInfo) bool { return true }

func apart(*exec.Cmd) {}

// Free is not known here.
func Free(string) (uint64, error) { return 0, errors.ErrUnsupported }
