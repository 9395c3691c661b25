package storetest

import (
	"os/exec"
	"syscall"
	"time"
)

// dieWithUs lets the kernel end the server if the test process dies without its clean-up.
func dieWithUs(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL} }

// ownCPU is the processor time of this process, in its own code and in the kernel's.
func ownCPU() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
