//go:build unix

package embedded

import (
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

const endSignal = syscall.SIGTERM

// lockFile opens a file and takes the lock on it, or fails at once when somebody has it. The lock lasts as long as this
// file is open anywhere, in a child too (flock(2)).
func lockFile(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("lock %s: %w", path, err)
	}
	return f, nil
}

// ours says whether a file belongs to who we run as.
func ours(info fs.FileInfo) bool {
	st, ok := info.Sys().(*syscall.Stat_t)
	return !ok || int(st.Uid) == os.Geteuid()
}
