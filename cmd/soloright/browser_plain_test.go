package main

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
)

// With scripts off everything works by plain form controls.
func TestSittingWithScriptsOff(t *testing.T) {
	dir := t.TempDir()
	b := browser{t: t, ctx: testenv.Browser(t)}
	b.do(testenv.NoScripts())
	p := start(t, "demo", "--days", "25", "--address", "127.0.0.1:0", "--data", dir)
	b.signIn(p.url, "newhire")
	b.open(p.url + "/procedures/aodd-air-side")
	b.press(`button[value="practice"]`)
	id := path.Base(b.where())
	rec := readRecord(t, store.Config{Folder: dir})
	form := rec.form(id)
	b.press(".buttons a.main") // the first sheet
	for i, it := range form.Items {
		if i == 0 {
			b.checkTwice(form, rec, id)
		}
		b.answerPlain(it)
		b.press(`button[value="next"]`)
	}
	b.checkKept(rec, id, form, len(form.Items))
	b.open(fmt.Sprintf("%s/sittings/%s/sheets/1", p.url, id))
	b.press(`button[value="explain"]`)
	if got := b.text(".explained .verdict"); got != "Right." {
		t.Errorf("a right answer is explained as %q", got)
	}
	b.open(p.url + "/sittings/" + id + "/review")
	b.press(`form[action$="/hand-in"] button`)
	if got := b.text("h1"); got != "Practice: 100 %" {
		t.Errorf("the result is %q, want Practice: 100 %%", got)
	}
}

// checkTwice puts two options of the first order at one place: the page says
// so and nothing of it is kept.
func (b *browser) checkTwice(form quiz.Form, rec record, id string) {
	b.t.Helper()
	n := slices.IndexFunc(form.Items, func(it quiz.Item) bool {
		return it.Interaction.Kind == quiz.Order || it.Interaction.Kind == quiz.Sequence
	})
	if n < 0 {
		b.t.Fatal("the form has no order")
	}
	here := b.where()
	b.open(strings.TrimSuffix(here, "1") + fmt.Sprint(n+1))
	for _, o := range form.Items[n].Interaction.Options[:2] {
		b.pick("place."+o.ID, 1)
	}
	b.press(`button[value="next"]`)
	if got := b.text("[role=alert]"); !strings.Contains(got, "Place 1 is given twice") {
		b.t.Errorf("two at one place: %q", got)
	}
	if kept := rec.answers(id); len(kept) != 0 {
		b.t.Errorf("kept of it: %v", kept)
	}
	b.open(here)
}

// pick moves a drop-down to its nth entry by the keyboard, from the first one.
func (b *browser) pick(name string, n int) {
	b.t.Helper()
	b.do(chromedp.SendKeys(chromedp.CSS(`select[name="`+name+`"]`), kb.Home+strings.Repeat(kb.ArrowDown, n)))
}

// answerPlain gives a right answer by the plain controls alone.
func (b *browser) answerPlain(it quiz.Item) {
	b.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		b.t.Fatal(err)
	}
	switch it.Interaction.Kind {
	case quiz.Order, quiz.Sequence:
		for n, id := range a.Options {
			b.pick("place."+id, n+1)
		}
	case quiz.Match:
		for row, bin := range a.Rows {
			b.pick("row."+row, 1+slices.IndexFunc(it.Interaction.Bins, func(o quiz.Option) bool { return o.ID == bin }))
		}
	default:
		if a.Number != "" {
			b.do(chromedp.SendKeys(chromedp.CSS("#number"), a.Number))
		}
		for _, id := range a.Options {
			b.click(`label.option:has(input[value="` + id + `"])`)
		}
	}
}
