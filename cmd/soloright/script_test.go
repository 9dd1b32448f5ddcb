package main

import (
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The command line, as an operator uses it: every script under testdata/script.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", RequireExplicitExec: true, RequireUniqueNames: true})
}
