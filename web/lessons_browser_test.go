package web

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
)

// badFact is what nobody of the crew holds.
const badFact = content.FactID("proof/air")

// practised has a crew practise, over some months; whoever is asked about badFact
// leaves the sheet empty.
func (s *site) practised(people, times int) {
	s.t.Helper()
	for i := range people {
		_, token := s.add(fmt.Sprintf("hand-%02d", i), api.Technician)
		for range times {
			id := s.open(token, "energy-isolation", api.Practice)
			s.answer(token, id, func(n int, it quiz.Item) bool {
				for _, f := range it.Facts {
					if f.Fact == badFact {
						return false
					}
				}
				return (n*7+i)%23 > i%5
			})
			s.post("/sittings/"+id+"/hand-in", token, nil)
		}
	}
}

// Trainers read the lesson, the crew, one fact and one person at three widths, the
// technician what to practise next, and the page of one fact names who misses it.
func TestLessonsInABrowser(t *testing.T) {
	s := newSite(t)
	s.practised(7, 5)
	b := s.tab()
	b.signIn("the-trai")
	b.ready("/lessons")
	first := b.text(".lesson h2")
	p, err := s.app.Procedure(t.Context(), api.Operator(), "energy-isolation", "")
	if err != nil {
		t.Fatal(err)
	}
	want := ""
	for _, f := range content.Facts(p) {
		if f.ID == badFact {
			want = upperFirst(f.Text)
		}
	}
	if first != want || want == "" {
		t.Errorf("the lesson to give first is %q, want %q", first, want)
	}
	b.looks("/lessons", "lessons")
	b.ready("/lessons/groups")
	b.looks("/lessons/groups", "lesson-groups")
	fact := "/lessons/fact?" + url.Values{"procedure": {"energy-isolation"}, "fact": {string(badFact)}}.Encode()
	b.ready(fact)
	b.looks(fact, "lesson-fact")
	if names := b.number(`document.querySelectorAll("a[href^='/lessons/people/']").length`); names != 7 {
		t.Errorf("the page of the fact names %d people, 7 miss it", names)
	}
	b.do(chromedp.Navigate(b.url + "/lessons"))
	b.press(".lesson h2 a")
	if got := b.text("h1"); got != first {
		t.Errorf("the lesson leads to %q", got)
	}
	b.signIn("hand-03")
	b.ready("/lessons")
	if got := b.text("h1"); got != "What to practise next" {
		t.Errorf("a technician is shown %q", got)
	}
	b.looks("/lessons", "lesson-own")
}

// ready opens a page and waits until what it shows is worked out: the page asks
// again by itself.
func (b tab) ready(path string) {
	b.t.Helper()
	for range 100 {
		b.do(chromedp.Navigate(b.url + path))
		if b.number(`document.querySelectorAll("main [role=status]").length`) == 0 {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	b.t.Fatalf("%s is never worked out", path)
}

func (b tab) text(sel string) string {
	b.t.Helper()
	got, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`document.querySelector(%q).textContent`, sel)))
	if err != nil {
		b.t.Fatal(err)
	}
	return strings.TrimSpace(got)
}
