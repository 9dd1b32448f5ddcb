package api_test

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// Whoever sets a form does so from the bank without what is withdrawn: only the
// function that makes that bank, and what asks which models there are, may take
// the whole one.
func TestFormsAreSetFromTheBankWithoutWithdrawnItems(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	whole := regexp.MustCompile(`quiz\.(Assemble|AssembleFor|AssembleDelta|Confirming|Askable)\((\w+\.)+Bank`)
	found := 0
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, call := range whole.FindAllString(string(text), -1) {
			t.Errorf("%s: %s…: the bank still has what is withdrawn; take App.writing", name, call)
		}
		found += len(regexp.MustCompile(`quiz\.(Assemble|AssembleFor|AssembleDelta|Confirming|Askable)\(`).FindAll(text, -1))
	}
	if found < 5 {
		t.Errorf("only %d places set forms: the rule no longer finds them", found)
	}
}
