//go:build !linux

package storetest

import "os/exec"

// dieWithUs has no counterpart here: a test process that is killed leaves its server behind.
func dieWithUs(*exec.Cmd) {}
