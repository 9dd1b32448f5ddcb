package main

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
)

// A database that is lost while somebody answers: the sheet says that the answer
// is not kept, keeps it by itself when the database is back, and a page that
// could not be shown comes back by itself too.
func TestAnOutageInABrowser(t *testing.T) {
	pg := testenv.StartPostgreSQL(t)
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--days", "25", "--address", "127.0.0.1:0", "--database", pg.DSN())
	b.signIn(p.url, "newhire")
	b.open(p.url + "/procedures/aodd-air-side")
	b.press(`button[value="practice"]`)
	id := path.Base(b.where())
	form := readRecord(t, store.Config{URL: pg.DSN()}).form(id)
	n := slices.IndexFunc(form.Items, func(it quiz.Item) bool { return it.Interaction.Kind == quiz.Choice })
	if n < 0 {
		t.Fatal("the form has no choice")
	}
	it := form.Items[n]
	right, err := quiz.RightAnswer(it)
	if err != nil {
		t.Fatal(err)
	}
	b.open(fmt.Sprintf("%s/sittings/%s/sheets/%d", p.url, id, n+1))
	pg.Crash()
	b.click(`label.option:has(input[value="` + right.Options[0] + `"])`)
	b.waitFor(`document.querySelector("[data-kept]").textContent.startsWith("Not kept yet")`)
	pg.Start()
	b.waitKept(it)
	if kept := readRecord(t, store.Config{URL: pg.DSN()}).answers(id); kept[n+1] != string(right.Canonical()) {
		t.Errorf("kept %v, want %s on sheet %d", kept, right.Canonical(), n+1)
	}
	pg.Stop()
	b.open(p.url + "/")
	if got := b.text("main"); !strings.Contains(got, "Nothing that was shown as kept is lost. This page asks again by itself.") {
		t.Errorf("without a database the page says %q", got)
	}
	b.screens("error-lost")
	pg.Start()
	b.waitFor(`document.querySelector("h1").textContent.endsWith("bench")`)
}

// waitFor waits until an expression is true in the page, over reloads.
func (b *browser) waitFor(expression string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 30*time.Second)
	defer cancel()
	for ctx.Err() == nil {
		// An error is a page that is just being loaded again.
		if ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression)); err == nil && ok {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	b.t.Fatalf("%s never became true: %q", expression, b.text("body"))
}
