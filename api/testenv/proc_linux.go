package testenv

import (
	"os/exec"
	"syscall"
)

// dieWithParent makes the kernel send sig to the process of cmd when the thread
// that starts it ends. It also gives the process a group of its own, so that an
// interrupt typed at the terminal reaches it through us and not beside us.
func dieWithParent(cmd *exec.Cmd, sig syscall.Signal) {
	attributes(cmd).Pdeathsig = sig
	attributes(cmd).Setpgid = true
}

// outlive gives the process of cmd a group of its own: it must see the end of
// this process and not share it.
func outlive(cmd *exec.Cmd) { attributes(cmd).Setpgid = true }

// runAs makes cmd run under another user and group, which only root may do.
func runAs(cmd *exec.Cmd, uid, gid uint32) {
	attributes(cmd).Credential = &syscall.Credential{Uid: uid, Gid: gid}
}

// attributes returns the process attributes of cmd, made on first use.
func attributes(cmd *exec.Cmd) *syscall.SysProcAttr {
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = &syscall.SysProcAttr{}
	}
	return cmd.SysProcAttr
}
