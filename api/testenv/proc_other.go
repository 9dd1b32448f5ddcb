//go:build !linux

package testenv

import (
	"os/exec"
	"syscall"
)

// Away from Linux a parent cannot leave a signal behind for its child. There
// the guard (see guard.go) still removes the folder, and PostgreSQL stops by
// itself when its folder is gone; and root has to run the tests as somebody else.

func dieWithParent(*exec.Cmd, syscall.Signal) {}

func outlive(*exec.Cmd) {}

func runAs(*exec.Cmd, uint32, uint32) {}
