// Package testenv gives tests the two things that they cannot bring along: a
// PostgreSQL server and a browser. Both are throwaway, start within seconds,
// reach nothing outside this machine, and die with the test process however
// that ends.
//
// A machine that lacks one of them can still run the tests: a test that needs
// it is skipped and says why. Where the environment variable CI is set nothing
// is skipped; there the same lack fails the test.
//
// Only tests may import this package: it would pull a browser driver into the
// program that ships.
package testenv

import (
	"os"
	"testing"
)

// unreachable ends the test because what cannot be had on this machine, for the
// reason why. It is the only place in this module that skips a test, so
// "nothing was skipped" can be read off one variable: with CI set it fails the
// test instead.
func unreachable(t testing.TB, what string, why error) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not reachable, and with CI set it has to be: %v", what, why)
	}
	t.Skipf("%s is not reachable: %v", what, why)
}
