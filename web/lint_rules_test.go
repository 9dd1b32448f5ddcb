package web

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Every rule of the lint finds what breaks it: a rule that finds nothing would
// let every page pass.
func TestTheLintFindsWhatIsWrong(t *testing.T) {
	sound := `<!doctype html><html lang="en"><head><title>A · Soloright</title></head><body><h1>A</h1>%s</body></html>`
	for bad, want := range map[string]string{
		``:                                     "",
		`<h1>B</h1>`:                           "2 h1",
		`<h3>B</h3>`:                           `"B" is a h3 after an h1`,
		`<p id="x"></p><p id="x"></p>`:         "id x twice",
		`<label for="no">B</label>`:            `for refers to the id "no", which is not there`,
		`<p aria-describedby="no">B</p>`:       `aria-describedby refers to the id "no", which is not there`,
		`<a href="#no">B</a>`:                  "#no leads nowhere",
		`<input name="b">`:                     "control b has no label",
		`<label>B <input name="b"></label>`:    "",
		`<input type="hidden" name="b">`:       "",
		`<p style="x">B</p>`:                   "<p style=…> is inline",
		`<p onclick="x">B</p>`:                 "<p onclick=…> is inline",
		`<a href="//elsewhere.example/">B</a>`: `<a href="//elsewhere.example/"> leads to another host`,
		`<a href="javascript:x">B</a>`:         `<a href="javascript:x"> leads to another host`,
		`<script>x</script>`:                   "an inline script",
		`<style>x</style>`:                     "a <style>",
		`<img src="/x">`:                       "a <img>",
		`<svg></svg>`:                          "a drawing without a text alternative",
		`<svg aria-label="B"></svg>`:           "",
		`<button></button>`:                    "an empty <button>",
		`<form action="/x"></form>`:            `a form with the method ""`,
		`<nav></nav>`:                          "a nav without a name",
		`<fieldset><p>B</p></fieldset>`:        "a fieldset without a legend",
	} {
		var wanted []string
		if want != "" {
			wanted = []string{want}
		}
		got := lint(parse(t, []byte(strings.Replace(sound, "%s", bad, 1))))
		slices.Sort(got)
		if d := cmp.Diff(wanted, got); d != "" {
			t.Errorf("%s: -want +got\n%s", bad, d)
		}
	}
	got := lint(parse(t, []byte(`<title>Soloright</title>`)))
	if d := cmp.Diff([]string{`lang is ""`, "1 titles, or one that says nothing", "0 h1"}, got); d != "" {
		t.Errorf("a page without anything: -want +got\n%s", d)
	}
}
