package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"soloright/api/testenv"
)

// The command line, as an operator uses it: every script under testdata/script.
func TestScripts(t *testing.T) {
	testscript.Run(t, scripts("testdata/script", nil))
}

// The same on PostgreSQL, for what differs there: $DATABASE is an empty one.
func TestScriptsOnPostgreSQL(t *testing.T) {
	url := testenv.PostgreSQL(t)
	testscript.Run(t, scripts("testdata/postgresql", func(e *testscript.Env) error {
		e.Setenv("DATABASE", url)
		return nil
	}))
}

func scripts(dir string, setup func(*testscript.Env) error) testscript.Params {
	return testscript.Params{Dir: dir, RequireExplicitExec: true, RequireUniqueNames: true, Setup: setup,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"verify": verify, "flip": flip}}
}

// verify runs soloright-verify and wants just this exit code: verify CODE ARG…
func verify(ts *testscript.TestScript, neg bool, args []string) {
	bin, err := verifier()
	ts.Check(err)
	if neg || len(args) < 2 {
		ts.Fatalf("usage: verify CODE ARG…")
	}
	code := "0"
	if err := ts.Exec(bin, args[1:]...); err != nil {
		code = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if code != args[0] {
		ts.Fatalf("exit code %s, want %s", code, args[0])
	}
}

// flip changes one bit of a file, in the one place where a text stands: flip FILE TEXT
func flip(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: flip FILE TEXT")
	}
	file := ts.MkAbs(args[0])
	b, err := os.ReadFile(file)
	ts.Check(err)
	if n := bytes.Count(b, []byte(args[1])); n != 1 {
		ts.Fatalf("%q stands in %s %d times, want once", args[1], args[0], n)
	}
	b[bytes.Index(b, []byte(args[1]))] ^= 1
	ts.Check(os.WriteFile(file, b, 0o600))
}
