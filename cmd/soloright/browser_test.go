package main

import (
	"context"
	"flag"
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/cmd/soloright/crew"
	"soloright/quiz"
)

// The main job in a real browser, on both databases: sign in as the new
// technician, sit a qualifying form, answer on the figures, lose the server in
// the middle, find every acknowledged answer, hand in, see the result.
func TestSittingInABrowser(t *testing.T) {
	t.Run("embedded", func(t *testing.T) {
		dir := t.TempDir()
		sitInBrowser(t, store.Config{Folder: dir}, "--data", dir)
	})
	t.Run("postgresql", func(t *testing.T) {
		dsn := testenv.PostgreSQL(t)
		sitInBrowser(t, store.Config{URL: dsn}, "--database", dsn)
	})
}

func sitInBrowser(t *testing.T, c store.Config, args ...string) {
	args = append([]string{"demo", "--days", "25", "--address", "127.0.0.1:0"}, args...)
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, args...)
	b.signIn(p.url, "newhire")
	b.screens("bench")
	b.open(p.url + "/procedures/aodd-air-side")
	b.screens("procedure")
	b.press(`button[value="qualifying"]`)
	id := path.Base(b.where())
	rec := readRecord(t, c)
	form := rec.form(id)
	b.screens("sheet-list")
	seen, facing := map[quiz.Kind]bool{}, false
	half := len(form.Items) / 2
	for i, it := range form.Items {
		if i == half {
			p.kill()
			p = start(t, args...)
		}
		b.open(fmt.Sprintf("%s/sittings/%s/sheets/%d", p.url, id, i+1))
		if i == half {
			b.checkKept(rec, id, form, half)
		}
		b.answer(it)
		facing = facing || it.Figure != nil && it.Figure.Facing != nil
		if name := figureName(it); !seen[it.Interaction.Kind] || name != "" {
			seen[it.Interaction.Kind] = true
			b.screens("sheet-" + string(it.Interaction.Kind) + name)
		}
	}
	if !seen[quiz.Sequence] || !facing {
		t.Error("no drawn fasteners or no drawn seal were clicked")
	}
	b.press(`button[value="next"]`) // the last sheet leads to the review
	b.screens("review")
	if got := b.text("main"); !strings.Contains(got, "Every sheet is answered") {
		t.Errorf("the review says %q", got)
	}
	b.press(`form[action$="/hand-in"] button`)
	b.screens("result")
	if got := b.text("h1"); got != "Passed" {
		t.Errorf("the result is %q, want Passed; %s", got, b.text("main"))
	}
	p.stop()
}

func figureName(it quiz.Item) string {
	switch f := it.Figure; {
	case f == nil:
		return ""
	case f.Stack != nil:
		return "-stack"
	case f.Facing != nil:
		return "-facing"
	}
	return "-joint"
}

// browser is one tab with a technician in front of it.
type browser struct {
	t     *testing.T
	ctx   context.Context
	shots map[string]bool
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func (b *browser) open(url string) { b.t.Helper(); b.do(chromedp.Navigate(url)) }

// press clicks something that leads to another page, and waits for that.
func (b *browser) press(sel string) {
	b.t.Helper()
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(sel))); err != nil {
		b.t.Fatalf("press %s: %v", sel, err)
	}
}

func (b *browser) click(sel string) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, chromedp.Click(chromedp.CSS(sel))); err != nil {
		b.t.Fatalf("click %s: %v", sel, err)
	}
}

func (b *browser) where() string {
	b.t.Helper()
	s, err := chromedp.Run(b.ctx, chromedp.Location())
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

func (b *browser) text(sel string) string {
	b.t.Helper()
	s, err := chromedp.Run(b.ctx, chromedp.TextContent(chromedp.CSS(sel)))
	if err != nil {
		b.t.Fatalf("text of %s: %v", sel, err)
	}
	return strings.TrimSpace(s)
}

// screens looks at a page at the three widths (in a short run at the least), once
// for each name, and takes its pictures where the tests run with -artifacts.
func (b *browser) screens(name string) {
	b.t.Helper()
	if b.shots == nil {
		b.shots = map[string]bool{}
	}
	if b.shots[name] {
		return
	}
	b.shots[name] = true
	widths := []int{testenv.Phone, testenv.Tablet, testenv.Desk}
	if testing.Short() {
		widths = widths[:1]
	}
	for _, w := range widths {
		b.do(testenv.Viewport(w))
		b.measure(fmt.Sprintf("%s at %d px", name, w))
		if pictures() {
			testenv.Screenshot(b.ctx, b.t, fmt.Sprintf("%s-%d", name, w))
		}
	}
}

// pictures reports whether somebody wants to look at the pictures.
func pictures() bool {
	f := flag.Lookup("test.artifacts")
	return f != nil && f.Value.String() == "true"
}

// measure fails where a page is wider than the window, or where something to be
// touched is too small for a glove.
func (b *browser) measure(what string) {
	b.t.Helper()
	over, err := chromedp.Run(b.ctx, chromedp.Evaluate[int]("document.documentElement.scrollWidth - window.innerWidth"))
	if err != nil {
		b.t.Fatal(err)
	}
	if over > 0 {
		b.t.Errorf("%s: %d px wider than the window", what, over)
	}
	found, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](small))
	if err != nil {
		b.t.Fatal(err)
	}
	if found != "" {
		b.t.Errorf("%s: too small to touch with a glove: %s", what, found)
	}
}

func (b *browser) signIn(url, who string) {
	b.t.Helper()
	for _, p := range crew.Staff {
		if p.SignIn == who {
			b.open(url + "/sign-in")
			b.do(chromedp.SendKeys(chromedp.CSS("#sign_in"), p.SignIn), chromedp.SendKeys(chromedp.CSS("#password"), p.Password))
			b.press("main form button")
			return
		}
	}
	b.t.Fatalf("the demo has no %s", who)
}

// answer gives a right answer with clicks and keys alone, on the figure where
// there is one, and waits until the page says that it is kept.
func (b *browser) answer(it quiz.Item) {
	b.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		b.t.Fatal(err)
	}
	switch it.Interaction.Kind {
	case quiz.Sequence:
		for _, id := range a.Options {
			b.click(`.figure [data-option="` + id + `"] circle`)
		}
	case quiz.Order:
		for _, id := range a.Options {
			b.click(`.tray button[data-take="` + id + `"]`)
		}
	case quiz.Match:
		for row, bin := range a.Rows {
			at := slices.IndexFunc(it.Interaction.Bins, func(o quiz.Option) bool { return o.ID == bin })
			b.do(chromedp.SendKeys(chromedp.CSS(`select[name="row.`+row+`"]`), strings.Repeat(kb.ArrowDown, at+1)))
		}
	case quiz.Numeric:
		if a.Number != "" {
			b.do(chromedp.SendKeys(chromedp.CSS("#number"), a.Number))
			break
		}
		fallthrough
	default:
		for _, id := range a.Options {
			b.click(`label.option:has(input[value="` + id + `"])`)
		}
	}
	b.waitKept(it)
}

// waitKept waits until the page says "Kept" for the answer that its controls hold.
func (b *browser) waitKept(it quiz.Item) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 20*time.Second)
	defer cancel()
	_, err := chromedp.Run(ctx, chromedp.Poll[bool](`document.querySelector("[data-sheet]").dataset.state === "kept"`))
	if err != nil {
		b.t.Fatalf("%s (%s) was not kept: %q, %v", it.Model, it.Interaction.Kind, b.text("[data-kept]"), err)
	}
}

// checkKept compares what the database holds with the right answers of the
// first n sheets, all of which the page had called kept, and the sheet list too.
func (b *browser) checkKept(rec record, id string, form quiz.Form, n int) {
	b.t.Helper()
	kept := rec.answers(id)
	if len(kept) != n {
		b.t.Errorf("%d answers are kept, %d were acknowledged", len(kept), n)
	}
	for i, it := range form.Items[:n] {
		want, err := quiz.RightAnswer(it)
		if err != nil {
			b.t.Fatal(err)
		}
		if got := kept[i+1]; got != string(want.Canonical()) {
			b.t.Errorf("sheet %d (%s): kept %s, want %s", i+1, it.Model, got, want.Canonical())
		}
	}
}
