package main

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"soloright/api"
	"soloright/api/store"
	"soloright/quiz"
)

// built is the program as one file, and verifier soloright-verify, each made once
// for all tests.
var (
	built    = sync.OnceValues(func() (string, error) { return build(".", "soloright") })
	verifier = sync.OnceValues(func() (string, error) { return build("../soloright-verify", "soloright-verify") })
)

// buildFolder is where they are; used tells whether there is one.
var (
	buildFolder = sync.OnceValues(func() (string, error) {
		used.Store(true)
		return os.MkdirTemp("", "soloright-test-")
	})
	used atomic.Bool
)

func build(from, name string) (string, error) {
	dir, err := buildFolder()
	if err != nil {
		return "", err
	}
	bin := filepath.Join(dir, name)
	out, err := exec.Command("go", "build", "-o", bin, from).CombinedOutput()
	if err != nil {
		return "", &exec.Error{Name: string(out), Err: err}
	}
	return bin, nil
}

// tests runs the tests and removes what was built for them.
type tests struct{ *testing.M }

func (m tests) Run() int {
	code := m.M.Run()
	if used.Load() {
		if dir, err := buildFolder(); err == nil {
			os.RemoveAll(dir)
		}
	}
	return code
}

// TestMain lets the scripts of TestScripts call soloright by its name.
func TestMain(m *testing.M) {
	testscript.Main(tests{m}, map[string]func(){"soloright": main})
}

// program is soloright running as a process of its own.
type program struct {
	t   *testing.T
	cmd *exec.Cmd
	url string
}

var announced = regexp.MustCompile(`http://[0-9.:]+`)

// start runs the program and returns when it says that it takes requests. It is
// killed when the test ends.
func start(t *testing.T, args ...string) *program {
	t.Helper()
	bin, err := built()
	if err != nil {
		t.Fatal(err)
	}
	p := &program{t: t, cmd: exec.Command(bin, args...)}
	p.cmd.Stderr = os.Stderr
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.kill)
	lines := bufio.NewScanner(out)
	for p.url == "" && lines.Scan() {
		p.url = announced.FindString(lines.Text())
	}
	if p.url == "" {
		t.Fatalf("soloright %v ended without an address", args)
	}
	go func() {
		for lines.Scan() {
		}
	}()
	return p
}

// kill ends the program as a power cut would.
func (p *program) kill() {
	if p.cmd.ProcessState == nil {
		_ = p.cmd.Process.Kill()
		_ = p.cmd.Wait()
	}
}

// stop ends the program in good order.
func (p *program) stop() {
	p.t.Helper()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		p.t.Fatal(err)
	}
	if err := p.cmd.Wait(); err != nil {
		p.t.Errorf("graceful stop: %v", err)
	}
}

// record reads what the program stored, on a handle of its own.
type record struct {
	t  *testing.T
	st *store.Store
}

func readRecord(t *testing.T, c store.Config) record {
	t.Helper()
	st, err := store.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	return record{t, st}
}

func (r record) read(f func(context.Context, api.Reader) error) {
	r.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if err := r.st.Read(ctx, func(rd api.Reader) error { return f(ctx, rd) }); err != nil {
		r.t.Fatal(err)
	}
}

func (r record) form(sitting string) quiz.Form {
	r.t.Helper()
	var form quiz.Form
	r.read(func(ctx context.Context, rd api.Reader) error {
		raw, err := rd.Form(ctx, sitting)
		if err != nil {
			return err
		}
		return json.Unmarshal(raw, &form)
	})
	return form
}

// answers returns the kept answers of an open sitting by sheet.
func (r record) answers(sitting string) map[int]string {
	r.t.Helper()
	out := map[int]string{}
	r.read(func(ctx context.Context, rd api.Reader) error {
		all, err := rd.Answers(ctx, sitting)
		for _, k := range all {
			out[k.Sheet] = string(k.Answer)
		}
		return err
	})
	return out
}
