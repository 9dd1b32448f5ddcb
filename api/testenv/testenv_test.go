package testenv

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// A verdict is a test that writes down how it first ended, and goes on.
type verdict struct {
	testing.TB
	skipped, failed string
}

func (v *verdict) Skipf(format string, args ...any) {
	if v.failed == "" {
		v.skipped = fmt.Sprintf(format, args...)
	}
}

func (v *verdict) Fatalf(format string, args ...any) {
	if v.skipped == "" {
		v.failed = fmt.Sprintf(format, args...)
	}
}

func TestUnreachableSkipsOnABench(t *testing.T) {
	t.Setenv("CI", "")
	v := &verdict{TB: t}
	unreachable(v, "a kettle", errors.New("not in the kitchen"))
	if v.failed != "" || !strings.Contains(v.skipped, "a kettle is not reachable: not in the kitchen") {
		t.Errorf("skipped %q, failed %q; want a skip that gives the reason", v.skipped, v.failed)
	}
}

func TestUnreachableFailsInCI(t *testing.T) {
	t.Setenv("CI", "true")
	v := &verdict{TB: t}
	unreachable(v, "a kettle", errors.New("not in the kitchen"))
	if v.skipped != "" || !strings.Contains(v.failed, "not in the kitchen") {
		t.Errorf("skipped %q, failed %q; want a failure that gives the reason", v.skipped, v.failed)
	}
}

// TestWhatIsMissing lists what this machine lacks for the whole of the tests:
// each lack is a skipped subtest with its reason.
//
//	go test ./api/testenv -run WhatIsMissing -v
func TestWhatIsMissing(t *testing.T) {
	t.Run("PostgreSQL", func(t *testing.T) { PostgreSQL(t) })
	t.Run("browser", func(t *testing.T) { Browser(t) })
}
