package storetest

import (
	"os/exec"
	"syscall"
)

// dieWithUs lets the kernel end the server if the test process dies without its clean-up.
func dieWithUs(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL} }
