//go:build !linux

package storetest

import (
	"os/exec"
	"time"
)

// dieWithUs has no counterpart here: a test process that is killed leaves its server behind.
func dieWithUs(*exec.Cmd) {}

// ownCPU is not known here.
func ownCPU() time.Duration { return 0 }
