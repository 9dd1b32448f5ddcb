package web

import (
	"bytes"
	"strings"
	"testing"

	"soloright/api"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// The preview that stands alone in a file: every fact with its keys, the
// cautions, and nothing that it would have to load.
func TestLoosePreview(t *testing.T) {
	p, err := library.Procedure("energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	ed, err := api.MakeEdition(p, nil, "", itemmodel.All())
	if err != nil {
		t.Fatal(err)
	}
	facts, err := api.PreviewEdition(ed, itemmodel.All(), quiz.Seed{1})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WritePreview(&b, p, "", facts); err != nil {
		t.Fatal(err)
	}
	doc := parse(t, b.Bytes())
	if wrong := lintIDs(doc); len(wrong) > 0 {
		t.Errorf("%d faults with ids and labels, the first: %s", len(wrong), wrong[0])
	}
	if n := len(elements(doc, "link", "script", "img", "iframe", "a")); n > 0 {
		t.Errorf("%d elements that load or lead to something", n)
	}
	text := textOf(doc)
	if !strings.Contains(text, "Isolate, lock out and prove zero energy") {
		t.Error("no cautions")
	}
	for _, f := range facts {
		if !strings.Contains(text, plain(upperFirst(f.Fact.Text))) {
			t.Errorf("fact %s is not on the page", f.Fact.ID)
		}
		for _, it := range f.Items {
			if !strings.Contains(text, plain(it.Stem)) || !strings.Contains(text, plain(it.Explain)) {
				t.Errorf("the item %s on %s is not on the page with its key", it.Model, f.Fact.ID)
			}
		}
	}
}
