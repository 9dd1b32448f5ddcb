package testenv

import (
	"fmt"
	"io"
	"os/exec"
	"time"
)

// guardScript waits for the end of its input, gives the server that used the
// folder up to ten seconds to take its lock file away, and removes the folder.
const guardScript = `
trap '' INT TERM HUP
cat >/dev/null
tries=0
while [ -e "$1/data/postmaster.pid" ] && [ "$tries" -lt 50 ]; do
	sleep 0.2
	tries=$((tries + 1))
done
rm -rf "$1"
`

// A guard removes a folder when this process ends. A test process can end
// without a chance to clean up (a time limit, a panic in a goroutine, SIGKILL),
// and a database left behind by each of those soon fills a disk.
type guard struct {
	cmd  *exec.Cmd
	hold io.Closer // the write end of a pipe; the kernel closes it for us at the latest
}

// watch sets a guard on folder. Its output goes nowhere: "go test" waits for
// whoever still holds the output of a test.
func watch(folder string) (*guard, error) {
	cmd := exec.Command("sh", "-c", guardScript, "guard", folder)
	outlive(cmd)
	hold, err := cmd.StdinPipe()
	if err != nil {
		return nil, fmt.Errorf("set a guard on %s: %w", folder, err)
	}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("set a guard on %s: %w", folder, err)
	}
	return &guard{cmd: cmd, hold: hold}, nil
}

// remove has the guard remove the folder now and waits until it has.
func (g *guard) remove() error {
	if err := g.hold.Close(); err != nil {
		return fmt.Errorf("dismiss the guard: %w", err)
	}
	stuck := time.AfterFunc(30*time.Second, func() { _ = g.cmd.Process.Kill() })
	defer stuck.Stop()
	if err := g.cmd.Wait(); err != nil {
		return fmt.Errorf("remove the folder: %w", err)
	}
	return nil
}
