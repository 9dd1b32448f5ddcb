package store_test

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"

	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
)

// The environment of the child: which database it saves answers in.
const (
	childURL    = "STORE_TEST_CHILD_URL"
	childFolder = "STORE_TEST_CHILD_FOLDER"
	childOpens  = "STORE_TEST_CHILD_OPENS" // set: it only opens the database
)

func TestMain(m *testing.M) {
	if url, folder := os.Getenv(childURL), os.Getenv(childFolder); url != "" || folder != "" {
		do := saveForEver
		if os.Getenv(childOpens) != "" {
			do = openOnce
		}
		if os.Getenv(childAppends) != "" {
			do = appendSome
		}
		if err := do(store.Config{URL: url, Folder: folder}); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// killCandidates is how many candidates answer at once when the server is killed.
const killCandidates = 8

// saveForEver saves one revision after the other for each candidate, and says
// each one that was acknowledged: "candidate revision".
func saveForEver(c store.Config) error {
	go func() { // whoever started us has gone: so do we
		_, _ = io.Copy(io.Discard, os.Stdin)
		os.Exit(1)
	}()
	s, err := store.Open(ctx, c)
	if err != nil {
		return err
	}
	var mu sync.Mutex
	failed := make(chan error)
	for n := range killCandidates {
		go func() {
			for rev := int64(1); ; rev++ {
				if err := storetest.NthCandidate(n).Save(s, rev); err != nil {
					failed <- err
				}
				mu.Lock()
				fmt.Println(n, rev)
				mu.Unlock()
			}
		}()
	}
	return <-failed
}

// A process that is killed with no chance to say goodbye has lost nothing that
// it acknowledged.
func TestKillSQLite(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "data")
	killed(t, store.Config{Folder: folder})
}

func TestKillPostgreSQL(t *testing.T) {
	t.Parallel()
	killed(t, store.Config{URL: testenv.PostgreSQL(t)})
}

func killed(t *testing.T, c store.Config) {
	s, err := store.Open(ctx, c)
	if err != nil {
		t.Fatal(err)
	}
	storetest.NewCandidates(t, s, killCandidates)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	var acknowledged [killCandidates]int64
	for round, lines := range []int{1, 40, 137, 300} { // killed sooner and later
		last := saveAndKill(t, c, lines)
		s, err := store.Open(ctx, c)
		if err != nil {
			t.Fatalf("open after a kill: %v", err)
		}
		for n := range killCandidates {
			acknowledged[n] = max(acknowledged[n], last[n])
			kept := storetest.NthCandidate(n).Kept(t, s)
			if acknowledged[n] == 0 {
				continue
			}
			if len(kept) != 1 || kept[0].Revision < acknowledged[n] || string(kept[0].Answer) != string(storetest.NthCandidate(n).Answer(kept[0].Revision).Answer) {
				t.Errorf("round %d: candidate %d: acknowledged revision %d, kept %+v", round, n, acknowledged[n], kept)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// saveAndKill runs a child until it has acknowledged so many saves, kills it
// with SIGKILL, and returns the last revision acknowledged for each candidate.
func saveAndKill(t *testing.T, c store.Config, lines int) (last [killCandidates]int64) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childURL+"="+c.URL, childFolder+"="+c.Folder)
	child.Stderr = os.Stderr
	hold, err := child.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	defer hold.Close()
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	count := 0
	for in := bufio.NewScanner(out); in.Scan(); {
		var n int
		var rev int64
		// The kill may cut the last line off. Then it is skipped, or it tells of an
		// older revision of that candidate.
		if _, err := fmt.Sscanf(in.Text()+"\n", "%d %d\n", &n, &rev); err != nil {
			continue
		}
		last[n] = max(last[n], rev)
		if count++; count == lines {
			if err := child.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	var exit *exec.ExitError
	if err := child.Wait(); !errors.As(err, &exit) || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		t.Fatalf("the child ended by itself: %v", err)
	}
	return last
}

// openOnce opens the database and closes it again.
func openOnce(c store.Config) error {
	s, err := store.Open(ctx, c)
	if err != nil {
		return err
	}
	return s.Close()
}

// Several processes that start on an empty database at once all come up.
func TestProcessesOpenAtOnce(t *testing.T) {
	t.Parallel()
	for name, config := range map[string]func() store.Config{
		"SQLite":     func() store.Config { return store.Config{Folder: filepath.Join(t.TempDir(), "data")} },
		"PostgreSQL": func() store.Config { return store.Config{URL: testenv.PostgreSQL(t)} },
	} {
		t.Run(name, func(t *testing.T) {
			c := config()
			var done sync.WaitGroup
			for range 4 {
				done.Go(func() {
					child := exec.Command(os.Args[0])
					child.Env = append(os.Environ(), childURL+"="+c.URL, childFolder+"="+c.Folder, childOpens+"=1")
					if out, err := child.CombinedOutput(); err != nil {
						t.Errorf("%v: %s", err, out)
					}
				})
			}
			done.Wait()
			if people := readPeople(t, open(t, c)); len(people) != 0 {
				t.Errorf("%d people in an empty database", len(people))
			}
		})
	}
}
