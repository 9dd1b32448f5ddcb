package main

import (
	"fmt"
	"path"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
)

// By the keyboard alone: every figure and list can be answered without a
// pointer (WCAG 2.2, 2.1.1), and each move is announced (4.1.3).
func TestFiguresByKeyboard(t *testing.T) {
	dir := t.TempDir()
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--days", "25", "--address", "127.0.0.1:0", "--data", dir)
	b.signIn(p.url, "newhire")
	want := map[quiz.Kind]bool{quiz.Order: true, quiz.Sequence: true, quiz.Choice: true}
	rec := readRecord(t, store.Config{Folder: dir})
	for try := 0; len(want) > 0 && try < 30; try++ { // one form in four has fasteners to tighten on the drawing, but a qualifying one has a joint
		b.open(p.url + "/procedures/aodd-air-side")
		b.press(map[bool]string{true: `button[value="qualifying"]`, false: `button[value="practice"]`}[try == 0])
		id := path.Base(b.where())
		for i, it := range rec.form(id).Items {
			if !want[it.Interaction.Kind] {
				continue
			}
			delete(want, it.Interaction.Kind)
			b.open(fmt.Sprintf("%s/sittings/%s/sheets/%d", p.url, id, i+1))
			b.answerByKeys(it)
		}
		b.open(p.url + "/sittings/" + id + "/review")
		b.press(`form[action$="/hand-in"] button`)
	}
	for kind := range want {
		t.Errorf("no form had a sheet of kind %s", kind)
	}
}

func (b *browser) answerByKeys(it quiz.Item) {
	b.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		b.t.Fatal(err)
	}
	sel := map[quiz.Kind]string{
		quiz.Order:    `.tray button[data-take="%s"]`,
		quiz.Sequence: `.figure [data-option="%s"]`,
		quiz.Choice:   `input[value="%s"]`,
	}[it.Interaction.Kind]
	for _, id := range a.Options {
		b.focus(fmt.Sprintf(sel, id))
		b.do(chromedp.KeyEvent(map[bool]string{true: " ", false: kb.Enter}[it.Interaction.Kind == quiz.Choice]))
	}
	b.waitKept(it)
	if it.Interaction.Kind == quiz.Choice {
		return
	}
	if got := b.text("[aria-live=polite]"); got == "" {
		b.t.Errorf("%s: the last move was not announced", it.Model)
	}
	if it.Interaction.Kind == quiz.Sequence {
		last := a.Options[len(a.Options)-1]
		label, err := chromedp.Run(b.ctx, chromedp.AttributeValue(chromedp.CSS(fmt.Sprintf(sel, last)), "aria-label"))
		if err != nil || label.Value == "" {
			b.t.Errorf("fastener %s has no name for a screen reader: %v", last, err)
		}
	}
}

// focus moves the focus as the Tab key would end up, and fails where the
// element cannot be reached by it.
func (b *browser) focus(sel string) {
	b.t.Helper()
	got, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](fmt.Sprintf(`(e => { e.focus(); return document.activeElement === e && e.tabIndex >= 0 })(document.querySelector(%q))`, sel)))
	if err != nil || !got {
		b.t.Fatalf("%s does not take the focus: %v", sel, err)
	}
}
