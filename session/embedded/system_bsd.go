//go:build unix && !linux

package embedded

import (
	"errors"
	"os/exec"
	"syscall"
)

// apart keeps a terminal's Ctrl-C from the child, which must outlive the draining of ours. If we are killed it goes on;
// the next start finds it by its lock.
func apart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// Free is not known here.
func Free(string) (uint64, error) { return 0, errors.ErrUnsupported }
