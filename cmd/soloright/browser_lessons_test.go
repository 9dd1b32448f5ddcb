package main

import (
	"strings"
	"testing"
	"time"

	"soloright/api/testenv"
	"soloright/cmd/soloright/crew"
)

// A trainer's three questions on two years of the demo's crews, in a real browser:
// the first line is the fact that is taught badly, the verdict that an earlier
// revision had wrong is flagged and is not on the one in force, and the crew that
// learned a fact another way is found.
func TestATrainerFindsWhatWentWrongInABrowser(t *testing.T) {
	b := browser{t: t, ctx: testenv.Browser(t)}
	p := start(t, "demo", "--address", "127.0.0.1:0", "--data", t.TempDir())
	b.signIn(p.url, "trainer")

	b.openUntil(p.url+"/lessons", "The lesson to give on Monday")
	b.screens("lessons")
	if got := b.text("section.lesson h2"); !strings.Contains(strings.ToLower(got), "rod cup seal") {
		t.Errorf("the lesson to give on Monday is %q", got)
	}
	b.openUntil(p.url+"/lessons/fact?procedure=aodd-air-side&fact="+string(crew.BadlyTaught), "What they choose instead")
	b.screens("lesson-fact")

	b.openUntil(p.url+"/procedures/flanged-joint/health", "Families with flags")
	b.screens("health")
	if got := b.text("tbody tr:first-child"); !strings.Contains(got, "Better people miss it more") || !strings.Contains(got, "on revision C") || !strings.Contains(got, "from bore to rim") {
		t.Errorf("the worst item of the flanged joint is %q, want the wrong verdict of revision C", got)
	}
	b.press("tbody tr:first-child a")
	b.screens("health-item")
	if got := b.text("main"); !strings.Contains(got, "renew") {
		t.Errorf("what people chose is not told: %s", got)
	}

	b.openUntil(p.url+"/procedures/energy-isolation/health", "Families with flags")
	if got := b.text("tbody tr:first-child"); !strings.Contains(got, "Behaves differently in two crews") || !strings.Contains(got, "Leak-by test") || !strings.Contains(got, "Crew night") {
		t.Errorf("the worst item of the isolation is %q, want the night crew's leak-by test", got)
	}
	b.open(p.url + "/planner?procedure=energy-isolation")
	b.screens("planner")
	p.stop()
}

// openUntil opens a page again and again until what works in the background has
// come to an end and the page says so.
func (b *browser) openUntil(url, want string) {
	b.t.Helper()
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(500 * time.Millisecond) {
		b.open(url)
		got := b.text("main")
		if strings.Contains(strings.ToLower(got), strings.ToLower(want)) {
			return
		}
		if time.Now().After(end) {
			b.t.Fatalf("%s never said %q: %s", url, want, got)
		}
	}
}
