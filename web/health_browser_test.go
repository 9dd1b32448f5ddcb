package web

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring/itemhealth"
)

// taught plays a crew that sits energy isolation: who holds more answers more of it
// rightly, but for one fact that the night crew learned another way.
func (s *site) taught(people int) {
	s.t.Helper()
	rnd := rand.New(rand.NewPCG(1, 2))
	for i := range people {
		crew := []string{"day", "night"}[i%2]
		p, token := s.add(fmt.Sprintf("hand-%d", i), api.Technician)
		if _, err := s.app.ChangeAccount(s.t.Context(), api.Operator(), api.ChangeAccount{Person: p.ID, Crew: &crew}); err != nil {
			s.t.Fatal(err)
		}
		holds := 0.6 + 0.35*rnd.Float64()
		for _, mode := range []api.Mode{api.Qualifying, api.Practice, api.Practice} {
			id := s.open(token, "energy-isolation", mode)
			for n, it := range s.form(id).Items {
				s.taughtAnswer(token, id, n+1, it, rnd.Float64() < holds && (crew == "day" || it.Lead != "test/leak-by-test"), rnd)
			}
			s.post("/sittings/"+id+"/hand-in", token, nil)
			s.wait(time.Minute)
		}
	}
}

// taughtAnswer answers one sheet, rightly or by another option where there is one.
func (s *site) taughtAnswer(token, id string, n int, it quiz.Item, right bool, rnd *rand.Rand) {
	s.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		s.t.Fatal(err)
	}
	if options := it.Interaction.Options; !right {
		if len(a.Options) != 1 || len(options) < 2 {
			return
		}
		for was := a.Options[0]; a.Options[0] == was; {
			a.Options = []string{options[rnd.IntN(len(options))].ID}
		}
	}
	if _, err := s.app.SaveAnswer(s.t.Context(), api.Bearer(token), api.SaveAnswer{Sitting: id, Sheet: n, Revision: 1, Answer: a, Millis: int64(20000 + rnd.IntN(30000))}); err != nil {
		s.t.Fatal(err)
	}
}

// How the items do, in a browser at each width: the list, an item whose answers are
// drawn, what is withdrawn, and who would change.
func TestHowItemsDoInABrowser(t *testing.T) {
	s := newSite(t)
	s.taught(26)
	s.wait(2 * time.Hour)
	if _, err := s.app.Sweep(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.analysed("energy-isolation")
	h, err := s.app.ItemsHealth(t.Context(), api.Bearer(s.token[api.Trainer]), "energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(h.Report.Items, func(x itemhealth.Health) bool { return x.Lead == "test/leak-by-test" })
	if at < 0 || at > 4 {
		t.Fatalf("what the night crew learned another way is on line %d", at+1)
	}
	worst := h.Report.Items[at]
	if f, flagged := worst.Worst(); !flagged || f.Crew != "night" {
		t.Errorf("what is said of it: %+v", f)
	}
	item := itemAddress("energy-isolation", "test/leak-by-test", worst.Model)
	b := s.tab()
	b.signIn("the-trai")
	b.looks("/procedures/energy-isolation/health", "health")
	b.looks(item, "health-item")
	b.do(chromedp.Click(chromedp.CSS("details.card summary")), chromedp.SendKeys(chromedp.CSS("[name=reason]"), because))
	b.press("details.card form button")
	b.looks("/procedures/energy-isolation/withdrawn", "withdrawn")
	b.do(chromedp.Navigate(b.url + item))
	if n := b.number(`document.querySelectorAll(".choices svg rect").length`); n < 6 {
		t.Errorf("%d bars are drawn", n)
	}
	b.press(".strip form button")
	b.signIn("the-safe")
	b.do(chromedp.Navigate(b.url + "/procedures/energy-isolation/withdrawn"))
	b.press("main td a")
	marks, err := chromedp.Run(b.ctx, chromedp.Evaluate[string]("location.pathname + location.search"))
	if err != nil || !strings.Contains(marks, "/withdrawn/marks?") {
		t.Fatal(marks, err)
	}
	b.looks(marks, "remark")
	b.do(chromedp.SendKeys(chromedp.CSS("[name=reason]"), because))
	b.press("main form button.main")
	b.do(chromedp.Navigate(b.url + marks))
	if n := b.number(`document.querySelectorAll("[name=digest]").length`); n != 0 {
		t.Error("marked again, and there is something left to do")
	}
}
