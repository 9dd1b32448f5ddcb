package main

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"soloright/api/testenv"
)

// said evaluates an expression to a text in the page.
func (b *browser) said(expression string) string {
	b.t.Helper()
	text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return text
}

// first is the control of a name within the first fastener of the page.
func first(field string) string { return `.fast [data-f="` + field + `"]` }

// An assessor begins a sheet and writes on it at the bench. Each place is kept as it
// is written; what is written while the server is dead is kept by itself when it is
// there again, and stands there when the page is opened anew.
func TestASheetIsKeptInABrowser(t *testing.T) {
	dir := t.TempDir()
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--days", "25", "--address", "127.0.0.1:0", "--data", dir)
	b.signIn(p.url, "trainer")
	b.open(p.url + "/rebuilds")
	b.screens("rebuilds")
	b.press(`li.card:has(h3):has(form) button`)
	sheet := b.where()
	if !strings.Contains(sheet, "/rebuilds/") || !strings.HasPrefix(b.text("h1"), "Rebuild of") {
		t.Fatalf("a begun sheet is at %s, %q", sheet, b.text("h1"))
	}
	b.screens("assessor-list")
	step := b.stepWith(sheet, `input[value="unaided"]`)
	b.click(`label.option:has(input[value="unaided"])`)
	b.waitFor(`document.querySelector("[data-kept]").textContent.startsWith("Kept ")`)
	b.open(step)
	if b.said(`String(document.querySelector('input[value="unaided"]').checked)`) != "true" {
		t.Error("the outcome that was kept is not shown again")
	}

	step = b.stepWith(sheet, `.fast [data-f="wrench"]`)
	b.screens("assessor-joint")
	b.do(chromedp.SetValue(chromedp.CSS(first("as")), "set"))
	b.said(`(document.querySelector('` + first("as") + `').dispatchEvent(new Event("change", {bubbles: true})), "")`)
	b.do(chromedp.SendKeys(chromedp.CSS(first("value")), "9999\t"))
	const fault = `document.querySelector(".fast [data-fault]").textContent`
	b.waitFor(fault + `.includes("lies above")`)
	if got := b.said(`[...document.querySelectorAll('.fast [data-f="as"]')].map(e => e.value).join()`); strings.Trim(got, "set,") != "" || !strings.HasPrefix(got, "set,set") {
		t.Errorf("the way of the first fastener is not proposed for the others: %q", got)
	}

	p.kill()
	b.do(chromedp.SendKeys(chromedp.CSS(first("wrench")), "TW-77\t"))
	b.waitFor(`document.querySelector(".fast [data-kept]").textContent.startsWith("Not kept yet")`)
	if got := b.text("[data-all]"); got != "1 place not kept yet" {
		t.Errorf("while the server is dead the page says %q", got)
	}
	at, err := url.Parse(p.url)
	if err != nil {
		t.Fatal(err)
	}
	start(t, "serve", "--address", at.Host, "--data", dir)
	b.waitFor(`document.querySelector(".fast [data-kept]").textContent.startsWith("Kept ")`)
	b.open(step)
	if got := b.said(fmt.Sprintf(`[%q, %q].map(s => document.querySelector(s).value).join()`, first("value"), first("wrench"))); got != "9999,TW-77" {
		t.Errorf("opened anew it shows %q", got)
	}
}

// stepWith opens the first step of a sheet that has such an element.
func (b *browser) stepWith(sheet, sel string) string {
	b.t.Helper()
	b.open(sheet)
	n := b.said(`String(document.querySelectorAll("main td a").length)`)
	for i := 0; fmt.Sprint(i) != n; i++ {
		b.open(sheet)
		b.press(fmt.Sprintf(`main tbody tr:nth-child(%d) td a`, i+1))
		if b.said(fmt.Sprintf(`String(document.querySelector(%q) !== null)`, sel)) == "true" {
			return b.where()
		}
	}
	b.t.Fatalf("no step of %s has %s", sheet, sel)
	return ""
}
