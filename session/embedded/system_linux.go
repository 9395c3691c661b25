package embedded

import (
	"fmt"
	"os/exec"
	"syscall"
)

// apart keeps a terminal's Ctrl-C from the child, which must outlive the draining of ours, and lets the kernel end it
// when we are gone without our Close.
func apart(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGTERM}
}

// Free is how many bytes a user like us may still write where dir lies.
func Free(dir string) (uint64, error) {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return 0, fmt.Errorf("ask for the room where %s lies: %w", dir, err)
	}
	return st.Bavail * uint64(st.Bsize), nil
}
