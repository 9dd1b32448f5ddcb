package main

import (
	"context"
	"fmt"
	"path"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
)

// small finds what is less than 44 px high or wide and is to be touched: buttons,
// links that stand alone, options, selects and texts to type in. Links inside a
// sentence are left out (WCAG 2.2, 2.5.8, inline exception). What belongs to a
// label counts with its label.
const small = `(() => {
  const seen = e => { const r = e.getBoundingClientRect(); return r.width > 1 && r.height > 1 && getComputedStyle(e).visibility !== "hidden" };
  const inText = e => e.tagName === "A" && e.parentElement.matches("p, li, td, dd, h3, span") && e.parentElement.textContent.trim().length > e.textContent.trim().length + 2 && !e.matches(".button, .go, nav a");
  const out = [];
  for (const e of document.querySelectorAll("button, a, select, summary, textarea, input:not([type=hidden]), label.option, [role=button]")) {
    if (!seen(e) || inText(e) || e.matches(".skip, :disabled, label.option input")) continue;
    let r = e.getBoundingClientRect();
    if (e.namespaceURI.endsWith("svg")) { const hit = e.querySelector(".hit") || e; r = hit.getBoundingClientRect(); }
    if (r.height < 43.5 || r.width < 43.5) out.push(e.tagName.toLowerCase() + " “" + (e.textContent.trim() || e.name || "").slice(0, 40) + "” " + Math.round(r.width) + "×" + Math.round(r.height));
  }
  return out.join("; ");
})()`

// night shows pages as to somebody who asked for dark ones.
func night(on bool) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		value := map[bool]string{true: "dark", false: "light"}[on]
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}})
		return err
	})
}

// The pages beside the sitting, as each role sees them: nothing wider than the
// window, nothing too small for a glove, no script that fails.
func TestPagesInABrowser(t *testing.T) {
	dir := t.TempDir()
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--days", "25", "--address", "127.0.0.1:0", "--data", dir)
	rec := readRecord(t, store.Config{Folder: dir})
	b.open(p.url + "/sign-in")
	b.screens("sign-in")
	b.signIn(p.url, "newhire")
	b.screens("bench-first")
	b.practise(p.url, rec)
	b.confirmStep(p.url, rec)
	b.open(p.url + "/account")
	b.screens("account")
	b.open(p.url + "/people")
	b.screens("error-role")
	b.open(p.url + "/nowhere")
	b.screens("error-nowhere")
	b.asTrainer(p.url)
	b.asOthers(p.url)
}

// practise has a right and a wrong answer explained and looks at the result.
func (b *browser) practise(url string, rec record) {
	b.open(url + "/procedures/aodd-air-side")
	b.screens("procedure")
	b.press(`button[value="practice"]`)
	id := path.Base(b.where())
	b.screens("sheet-list")
	form := rec.form(id)
	seen := map[quiz.Kind]bool{}
	for i, it := range form.Items {
		if seen[it.Interaction.Kind] && figureName(it) == "" {
			continue
		}
		seen[it.Interaction.Kind] = true
		b.open(fmt.Sprintf("%s/sittings/%s/sheets/%d", url, id, i+1))
		name := "practice-" + string(it.Interaction.Kind) + figureName(it)
		b.screens(name + "-open")
		if len(seen)%2 == 0 {
			b.answer(it)
		}
		b.press(`button[value="explain"]`)
		b.screens(name + "-explained")
	}
	b.open(url + "/sittings/" + id + "/review")
	b.screens("review-blank")
	b.press(`form[action$="/hand-in"] button`)
	b.screens("result-practice")
	b.open(url + "/sittings/" + id + "/result/sheets/2")
	b.screens("reviewed")
}

// confirmStep misses one critical fact and begins the confirming step.
func (b *browser) confirmStep(url string, rec record) {
	b.open(url + "/procedures/aodd-air-side")
	b.press(`button[value="qualifying"]`)
	id := path.Base(b.where())
	missed := false
	for i, it := range rec.form(id).Items {
		if !missed && mayConfirm(it) {
			missed = true
			continue
		}
		b.open(fmt.Sprintf("%s/sittings/%s/sheets/%d", url, id, i+1))
		b.answer(it)
	}
	b.open(url + "/sittings/" + id + "/review")
	b.press(`form[action$="/hand-in"] button`)
	if got := b.text("h1"); got != "To confirm" {
		b.t.Fatalf("one critical fact missed: %s", got)
	}
	b.screens("result-to-confirm")
	b.press(`form[action$="/confirmation"] button`)
	b.screens("confirming-list")
	b.press(".buttons a.main")
	b.screens("confirming-sheet")
	b.open(url + "/sittings/" + id + "/result")
	b.screens("result-confirm-open")
	b.open(url + "/")
	b.screens("bench-full")
	b.do(night(true))
	b.screens("bench-night")
	b.open(url + "/sittings/" + id + "/result")
	b.screens("result-night")
	b.do(night(false))
}

// mayConfirm reports whether missing the item leaves the confirming step.
func mayConfirm(it quiz.Item) bool {
	n := 0
	for _, f := range it.Facts {
		if f.Isolation {
			return false
		}
		if f.Critical {
			n++
		}
	}
	return n == 1
}

// as signs out and another one in.
func (b *browser) as(url, who string) {
	b.t.Helper()
	b.open(url + "/")
	b.press(".strip form button")
	b.signIn(url, who)
}

func (b *browser) asTrainer(url string) {
	b.as(url, "trainer")
	b.open(url + "/results")
	b.screens("results")
	b.open(url + "/procedures/aodd-air-side/items")
	b.screens("items")
	b.press("table a.go")
	b.screens("fact")
	b.open(url + "/people")
	b.screens("people-trainer")
}

func (b *browser) asOthers(url string) {
	b.as(url, "officer")
	b.open(url + "/results")
	b.press("table.list a")
	b.click("summary")
	b.screens("result-officer")
	b.do(chromedp.SendKeys(chromedp.CSS("#reason"), "sat at the wrong bench"))
	b.press(`form[action$="/void"] button`)
	if got := b.text("h1"); !strings.HasSuffix(got, "void") {
		b.t.Errorf("struck out: %q", got)
	}
	b.screens("result-void")
	b.as(url, "admin")
	b.screens("bench-admin")
	b.open(url + "/people")
	b.screens("people-admin")
	b.press("table a.go")
	b.screens("person")
	b.do(night(true))
	b.screens("person-night")
	b.do(night(false))
}
