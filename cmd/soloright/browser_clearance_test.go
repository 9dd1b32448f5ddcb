package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"soloright/api/testenv"
	"soloright/cmd/soloright/crew"
	"soloright/content/library"
	"soloright/scoring/rebuild"
)

// The road from a pass to a clearance, and what an auditor asks, in a real browser:
// a technician who passed is observed and both sign; the register shows the
// clearance; a revision that changes two facts is adopted and the register shows who
// is held; the officer suspends; yesterday stays as it was; the export verifies
// offline; and one byte changed in the database file is found and named.
func TestFromAPassToAClearanceInABrowser(t *testing.T) {
	dir := t.TempDir()
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--days", "60", "--address", "127.0.0.1:0", "--data", dir)
	b.signIn(p.url, "trainer")
	id := b.observe(p.url, "Alba Renquist")
	b.signIn(p.url, "ready")
	b.signAs(p.url, id, "performed", "gauge-then-wrench")
	b.signIn(p.url, "trainer")
	b.refusedSignature(p.url, id)
	b.signAs(p.url, id, "observed", "teach-it-twice")

	b.signIn(p.url, "officer")
	today := time.Now()
	b.registerSays(p.url, today, "Cleared until "+today.AddDate(1, 0, 0).Format(time.DateOnly)+" on revision C.")
	b.adopt(p.url)
	b.registerSays(p.url, today, "Held: revision D changed 2 facts")
	b.suspend(p.url, "A cover was found loose after the rebuild")
	b.registerSays(p.url, today, "Suspended")
	b.registerSays(p.url, today.AddDate(0, 0, -1), "Not cleared: one observed rebuild outstanding.")
	p.stop()
	verifiesOffline(t, dir)
	namesAChangedByte(t, dir, "A cover was found loose")
}

// observe fills in the assessor's sheet as a good rebuild goes, finishes it, and
// returns its id.
func (b *browser) observe(url, technician string) string {
	b.t.Helper()
	b.open(url + "/rebuilds")
	b.screens("rebuilds")
	b.run(`[...document.querySelectorAll("li.card")].find(c => c.textContent.includes(` + quote(technician) + `) && c.textContent.includes("Air-side")).querySelector("button").id = "begin"`)
	b.press("#begin")
	id := path.Base(b.where())
	b.screens("rebuild-open")
	p, err := library.Procedure("aodd-air-side")
	if err != nil {
		b.t.Fatal(err)
	}
	plan := rebuild.NewPlan(p, "", nil)
	for i, st := range plan.Stations {
		b.open(fmt.Sprintf("%s/rebuilds/%s/steps/%s", url, id, st.Step.ID))
		b.fillStation(&plan, st)
		if i < 2 || len(st.Joints) > 0 {
			b.screens("station-" + st.Step.ID)
		}
		b.press(`form.bench button.main`)
	}
	now := time.Now()
	b.run(`document.querySelector("#started").value = ` + quote(now.Add(-10*time.Minute).Format("2006-01-02T15:04")))
	b.run(`document.querySelector("#ended").value = ` + quote(now.Format("2006-01-02T15:04")))
	b.press(`form button[value="read-over"]`)
	b.screens("read-over")
	if got := b.text("main"); !strings.Contains(got, "Everything is written, within its limits, and every wrench holds.") {
		b.t.Fatalf("a good rebuild reads over as %s", got)
	}
	b.press(`form[action$="/finish"] button`)
	return id
}

// fillStation writes what is wanted at every place of a step, and waits until the
// server has acknowledged all of it.
func (b *browser) fillStation(plan *rebuild.Plan, st rebuild.Station) {
	b.t.Helper()
	one := rebuild.Plan{Stations: []rebuild.Station{st}}
	for _, place := range one.Places() {
		e := plan.Good(place, "TW-101")
		if e.Outcome != "" {
			b.click(`input[name="` + place + `:outcome"][value="` + string(e.Outcome) + `"]`)
		}
		b.set(place, "as", string(e.As))
		b.set(place, "value", e.Value)
		b.set(place, "angle", e.Angle)
		b.set(place, "wrench", e.Wrench)
		b.set(place, "held", e.Held)
		for i, r := range e.Readings {
			b.set(place, fmt.Sprint("reading.", i), r)
		}
		if e.Reached {
			b.run(`document.querySelector(` + quote(`input[name="`+place+`:reached"]`) + `).click()`)
		}
	}
	if _, err := chromedp.Run(b.ctx, chromedp.Poll[bool](`document.querySelector("[data-all]").textContent === "All kept"`)); err != nil {
		b.t.Fatalf("step %s was not kept: %q, %v", st.Step.ID, b.text("form.bench"), err)
	}
}

// set writes into a control as somebody at the bench does.
func (b *browser) set(place, field, value string) {
	b.t.Helper()
	if value == "" {
		return
	}
	b.run(`(c => { if (c && c.type !== "hidden") { c.value = ` + quote(value) + `; c.dispatchEvent(new Event("input", {bubbles: true})); c.dispatchEvent(new Event("change", {bubbles: true})); } })(document.querySelector(` +
		quote(`[name="`+place+`:`+field+`"]`) + `))`)
}

// run runs a statement in the page.
func (b *browser) run(script string) {
	b.t.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[any](`(() => { `+script+`; return true })()`)); err != nil {
		b.t.Fatalf("%s: %v", script, err)
	}
}

func quote(s string) string { return fmt.Sprintf("%q", s) }

// signAs reads what is to be signed and signs it.
func (b *browser) signAs(url, id, meaning, password string) {
	b.t.Helper()
	b.open(url + "/rebuilds")
	b.press(`a[href="/rebuilds/` + id + `/sign/` + meaning + `"]`)
	b.screens("sign-" + meaning)
	b.do(chromedp.SendKeys(chromedp.CSS("#password"), password))
	b.press("form.signing button")
	if got := b.text("main"); !strings.Contains(got, meaning) {
		b.t.Errorf("signed as %s, the sheet says %s", meaning, got)
	}
	b.screens("signed-" + meaning)
}

// refusedSignature gives a wrong password: nothing is signed.
func (b *browser) refusedSignature(url, id string) {
	b.t.Helper()
	b.open(url + "/rebuilds/" + id + "/sign/observed")
	b.do(chromedp.SendKeys(chromedp.CSS("#password"), "not-the-password"))
	b.press("form.signing button")
	if got := b.text("[role=alert]"); !strings.Contains(got, "The password is wrong. Nothing was signed.") {
		b.t.Errorf("a wrong password: %q", got)
	}
}

// registerSays looks the technician up in the register of a day.
func (b *browser) registerSays(url string, on time.Time, want string) {
	b.t.Helper()
	b.open(url + "/register?procedure=aodd-air-side&name=Alba&on=" + on.Format(time.DateOnly))
	if got := b.text("table.reg"); !strings.Contains(got, want) {
		b.t.Errorf("the register of %s says %q, want %q", on.Format(time.DateOnly), got, want)
	}
}

// adopt looks at whom the next revision touches and adopts it.
func (b *browser) adopt(url string) {
	b.t.Helper()
	b.open(url + "/procedures/aodd-air-side/revisions")
	b.screens("revisions")
	b.press(`a[href$="/revisions/` + crew.NextPump + `/adoption"]`)
	b.screens("adoption")
	if got := b.text("main"); !strings.Contains(got, "Alba Renquist") || !strings.Contains(got, "18 N·m") {
		b.t.Errorf("the change sheet says %s", got)
	}
	b.press("main form.stack button")
}

func (b *browser) suspend(url, reason string) {
	b.t.Helper()
	b.open(url + "/register?procedure=aodd-air-side&name=Alba")
	b.press(`table.reg a[href^="/register/people/"]`)
	b.do(chromedp.SendKeys(chromedp.CSS("#suspend"), reason))
	b.press(`form[action$="/suspension"] button`)
	b.screens("suspended")
}

// verifiesOffline exports the record and checks the file as an auditor does.
func verifiesOffline(t *testing.T, dir string) {
	t.Helper()
	out := t.TempDir()
	export, keys := filepath.Join(out, "record.export"), filepath.Join(out, "record.keys")
	runBuilt(t, 0, built, "ledger", "export", export, "--data", dir)
	if err := os.WriteFile(keys, runBuilt(t, 0, built, "ledger", "public-key", "--data", dir), 0o600); err != nil {
		t.Fatal(err)
	}
	runBuilt(t, 0, verifier, "export", export, "--key", keys)
	raw, err := os.ReadFile(export)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(export, raw[:len(raw)-20], 0o600); err != nil {
		t.Fatal(err)
	}
	runBuilt(t, 1, verifier, "export", export, "--key", keys)
}

// namesAChangedByte changes one letter of a reason in the database file; the check of
// the record finds it and says which act it is.
func namesAChangedByte(t *testing.T, dir, reason string) {
	t.Helper()
	runBuilt(t, 0, built, "ledger", "check", "--data", dir)
	file := filepath.Join(dir, "soloright.db")
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.LastIndex(raw, []byte(reason))
	if at < 0 {
		t.Fatalf("%q is not in %s", reason, file)
	}
	raw[at] ^= 1
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := runBuilt(t, 1, built, "ledger", "check", "--data", dir); !bytes.Contains(out, []byte("suspended")) {
		t.Errorf("one byte was changed, and the check says %s", out)
	}
}

// runBuilt runs a program to its end and returns what it says.
func runBuilt(t *testing.T, want int, program func() (string, error), args ...string) []byte {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(bin, args...)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if code := cmd.ProcessState.ExitCode(); code != want {
		t.Fatalf("%s %v: exit %d (%v), want %d\n%s%s", filepath.Base(bin), args, code, err, want, out, said.Bytes())
	}
	if want != 0 {
		out = append(out, said.Bytes()...)
	}
	return out
}
