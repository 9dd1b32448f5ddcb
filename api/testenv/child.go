package testenv

import (
	"fmt"
	"os/exec"
	"runtime"
	"syscall"
	"time"
)

// A child is a process that the kernel ends when this process ends.
type child struct {
	cmd  *exec.Cmd
	done chan struct{} // closed once the process has ended
	err  error         // how it ended; valid after done is closed
}

// startChild starts cmd and waits for it in the background. When this process
// dies, even by SIGKILL, the kernel sends the child onDeath (Linux only).
//
// The kernel ties that promise to the OS thread that forked, not to the
// process, so one goroutine keeps its thread from start to end
// (golang.org/issue/27505).
func startChild(cmd *exec.Cmd, onDeath syscall.Signal) (*child, error) {
	dieWithParent(cmd, onDeath)
	c := &child{cmd: cmd, done: make(chan struct{})}
	started := make(chan error, 1)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		started <- err
		if err != nil {
			return
		}
		c.err = cmd.Wait()
		close(c.done)
	}()
	if err := <-started; err != nil {
		return nil, fmt.Errorf("start %s: %w", cmd.Path, err)
	}
	return c, nil
}

// end sends sig and waits for the process to go. After patience it kills the
// process and says so in its error. Ending what has ended already is no error.
func (c *child) end(sig syscall.Signal, patience time.Duration) error {
	select {
	case <-c.done:
		return nil
	default:
	}
	// A process that ends between the look and the signal is what we want.
	_ = c.cmd.Process.Signal(sig)
	select {
	case <-c.done:
		return nil
	case <-time.After(patience):
	}
	_ = c.cmd.Process.Kill()
	<-c.done
	return fmt.Errorf("%s did not end within %v of %v and was killed", c.cmd.Path, patience, sig)
}

// ended reports whether the process has ended.
func (c *child) ended() bool {
	select {
	case <-c.done:
		return true
	default:
		return false
	}
}
