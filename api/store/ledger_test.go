package store_test

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
)

// childAppends, if it is set, has the child append to the ledger under that name.
const childAppends = "STORE_TEST_CHILD_APPENDS"

// How many processes append at once, with how many writers each, how many entries each.
const appendProcesses, appendWriters, appendEach = 4, 4, 25

// appendSome opens the store, says so, waits until it is told to go on, and appends.
func appendSome(c store.Config) error {
	s, err := store.Open(ctx, c)
	if err != nil {
		return err
	}
	fmt.Println("open")
	if _, err := bufio.NewReader(os.Stdin).ReadString('\n'); err != nil {
		return err
	}
	failed := make(chan error, appendWriters)
	var done sync.WaitGroup
	for w := range appendWriters {
		done.Go(func() {
			name := fmt.Sprint(os.Getenv(childAppends), "-", w)
			for n := range appendEach {
				if err := storetest.Append(s, storetest.Entry(name, n)); err != nil {
					failed <- fmt.Errorf("%s: entry %d: %w", name, n, err)
					return
				}
			}
		})
	}
	done.Wait()
	select {
	case err := <-failed:
		return err
	default:
	}
	return s.Close()
}

// Several processes, each with several writers, append to one ledger: no entry
// is lost and the head never forks.
func TestAppendsOfSeveralProcessesSQLite(t *testing.T) {
	t.Parallel()
	appendsOfProcesses(t, store.Config{Folder: t.TempDir()})
}

func TestAppendsOfSeveralProcessesPostgreSQL(t *testing.T) {
	t.Parallel()
	appendsOfProcesses(t, store.Config{URL: testenv.PostgreSQL(t)})
}

func appendsOfProcesses(t *testing.T, c store.Config) {
	s := open(t, c)
	var all [appendProcesses]*exec.Cmd
	var gates []io.Writer
	for i := range all {
		all[i] = exec.Command(os.Args[0])
		all[i].Env = append(os.Environ(), childURL+"="+c.URL, childFolder+"="+c.Folder, fmt.Sprint(childAppends, "=process-", i))
		all[i].Stderr = os.Stderr
		gates = append(gates, startAtGate(t, all[i]))
	}
	for _, gate := range gates {
		if _, err := io.WriteString(gate, "go\n"); err != nil {
			t.Fatal(err)
		}
	}
	for i, child := range all {
		if err := child.Wait(); err != nil {
			t.Errorf("process %d: %v", i, err)
		}
	}
	count, processes := map[string]int{}, map[string]bool{}
	turns, last := 0, ""
	for _, row := range storetest.SoundLedger(t, s) {
		count[row.Subject]++
		process := row.Subject[:strings.LastIndex(row.Subject, "-")]
		if processes[process] = true; process != last {
			turns++
		}
		last = process
	}
	if len(count) != appendProcesses*appendWriters {
		t.Errorf("%d writers are in the ledger, want %d", len(count), appendProcesses*appendWriters)
	}
	for name, n := range count {
		if n != appendEach {
			t.Errorf("%s: %d entries, want %d", name, n, appendEach)
		}
	}
	// SQLite lets who waits sleep, so one process may get many turns in a row.
	t.Logf("%d turns of %d processes", turns, appendProcesses)
}

// startAtGate starts a child and returns, once it is ready, where to tell it to go on.
func startAtGate(t *testing.T, child *exec.Cmd) io.Writer {
	t.Helper()
	gate, err := child.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = gate.Close() }) // it ends where it is still waiting
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil {
		t.Fatalf("a child said %q: %v", line, err)
	}
	return gate
}
