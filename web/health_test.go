package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/quiz"
)

func init() {
	pageTypes["health"], pageTypes["health-item"] = HealthPage{}, HealthItemPage{}
	pageTypes["withdrawn"], pageTypes["remark"] = WithdrawnPage{}, RemarkPage{}
}

const because = "Two of its options are right, says the foreman."

// judged has the items analysed, and one of them withdrawn that a form holds.
func (p *past) judged() {
	p.t.Helper()
	all, err := p.app.Sittings(p.t.Context(), api.Bearer(p.mine), api.SittingFilter{Person: p.person[api.Technician].ID, Procedure: "energy-isolation", Mode: api.Qualifying})
	if err != nil || len(all) == 0 {
		p.t.Fatal(all, err)
	}
	p.withdrawn(p.form(all[0].ID).Items[3])
	p.analysed("energy-isolation")
}

// withdrawn withdraws the family of an item on energy isolation by its page.
func (s *site) withdrawn(it quiz.Item) string {
	s.t.Helper()
	form := url.Values{"fact": {string(it.Lead)}, "model": {it.Model}, "act": {"withdraw"}, "reason": {because}}
	return s.post("/procedures/energy-isolation/health/item", s.token[api.Trainer], form)
}

// analysed waits until the items are analysed with all that was marked.
func (s *site) analysed(procedure string) {
	s.t.Helper()
	for range 600 {
		h, err := s.app.ItemsHealth(s.t.Context(), api.Bearer(s.token[api.Trainer]), procedure)
		if err != nil {
			s.t.Fatal(err)
		}
		if h.Report != nil && !h.Stale && h.Progress == nil {
			return
		}
		if h.Stale && h.Progress == nil {
			s.wait(time.Minute)
		}
		time.Sleep(5 * time.Millisecond)
	}
	s.t.Fatal("the analysis does not end")
}

// A trainer sees the list after the analysis, opens an item, withdraws it; the
// officer sees who would change, has it done, and the result says what was left out.
func TestFromAFlagToMarkingAgain(t *testing.T) {
	s := newSite(t)
	pat, token := s.add("pat", api.Technician)
	id := s.open(token, "energy-isolation", api.Qualifying)
	sheet := s.form(id).Items[4]
	s.answer(token, id, func(n int, _ quiz.Item) bool { return n != 5 })
	s.post("/sittings/"+id+"/hand-in", token, nil)
	s.wait(2 * time.Hour)
	if _, err := s.app.Sweep(t.Context()); err != nil { // the hour of the confirming step is over
		t.Fatal(err)
	}
	trainer, officer := s.token[api.Trainer], s.token[api.SafetyOfficer]
	if text := s.text("/procedures/energy-isolation/health", trainer, http.StatusOK); !strings.Contains(text, "An analysis is under way") {
		t.Errorf("the first visit: %s", text)
	}
	s.analysed("energy-isolation")
	list := s.send(http.MethodGet, "/procedures/energy-isolation/health", trainer, nil)
	item := itemAddress("energy-isolation", sheet.Lead, sheet.Model)
	if !strings.Contains(list.Body.String(), strings.ReplaceAll(item, "&", "&amp;")) {
		t.Errorf("the list does not lead to %s", item)
	}
	if text := s.text(item, trainer, http.StatusOK); !strings.Contains(text, "As the procedure states it now") || !strings.Contains(text, sheet.Stem[:10]) || !strings.Contains(text, "not yet: 1 of the 30 it needs") {
		t.Errorf("the item: %s", text)
	}
	if to := s.withdrawn(sheet); to != item {
		t.Errorf("the withdrawal leads to %s", to)
	}
	if text := s.text(item, trainer, http.StatusOK); !strings.Contains(text, because) {
		t.Error("the item does not say that it is withdrawn")
	}
	s.markedAgain(officer, sheet, pat.Name)
	if text := s.text("/sittings/"+id+"/result", token, http.StatusOK); !strings.Contains(text, "1 left out because its item was withdrawn") {
		t.Errorf("the result: %s", text)
	}
	if text := s.text("/procedures/energy-isolation/withdrawn", officer, http.StatusOK); !strings.Contains(text, because) || !strings.Contains(text, "Who would change") {
		t.Errorf("what is withdrawn: %s", text)
	}
	form := url.Values{"fact": {string(sheet.Lead)}, "model": {sheet.Model}, "act": {"take up"}, "reason": {because}}
	s.post("/procedures/energy-isolation/health/item", trainer, form)
	if text := s.text("/procedures/energy-isolation/withdrawn", trainer, http.StatusOK); !strings.Contains(text, "Taken up again") {
		t.Error("it is not said that it was taken up again")
	}
}

// markedAgain looks at who would change and has it done.
func (s *site) markedAgain(officer string, it quiz.Item, name string) {
	s.t.Helper()
	path := "/procedures/energy-isolation/withdrawn/marks"
	q := url.Values{"fact": {string(it.Lead)}, "model": {it.Model}}
	w := s.send(http.MethodGet, path+"?"+q.Encode(), officer, nil)
	doc := parse(s.t, w.Body.Bytes())
	if text := textOf(doc); w.Code != http.StatusOK || !strings.Contains(text, name) || !strings.Contains(text, "1 sitting would be marked again") {
		s.t.Fatalf("who would change: %d %s", w.Code, text)
	}
	for _, n := range elements(doc, "input") {
		if name, _ := attr(n, "name"); name == "digest" {
			digest, _ := attr(n, "value")
			q.Set("digest", digest)
		}
	}
	q.Set("reason", because)
	s.post(path, officer, q)
	if w := s.send(http.MethodPost, path, officer, q); w.Code != http.StatusConflict {
		s.t.Errorf("done twice: %d", w.Code)
	}
}

// The pages are for those whose act they are, and bad addresses say so.
func TestWhoSeesHowItemsDo(t *testing.T) {
	s := newSite(t)
	s.analysed("energy-isolation")
	for path, want := range map[string]map[api.Role]int{
		"/procedures/energy-isolation/health":                         {api.Technician: 403, api.Trainer: 200, api.SafetyOfficer: 403, api.Administrator: 403},
		"/procedures/energy-isolation/health/csv":                     {api.Technician: 403, api.Trainer: 200},
		"/procedures/energy-isolation/health?from=2":                  {api.Trainer: 404},
		"/procedures/energy-isolation/health?from=x":                  {api.Trainer: 404},
		"/procedures/none/health":                                     {api.Trainer: 404},
		"/procedures/energy-isolation/health/item?fact=x&model=y":     {api.Trainer: 404},
		"/procedures/energy-isolation/withdrawn":                      {api.Technician: 403, api.Trainer: 200, api.SafetyOfficer: 200, api.Administrator: 403},
		"/procedures/energy-isolation/withdrawn/marks?fact=x&model=y": {api.Trainer: 403, api.SafetyOfficer: 409},
	} {
		for r, code := range want {
			if w := s.send(http.MethodGet, path, s.token[r], nil); w.Code != code {
				t.Errorf("%s for a %s: %d, want %d", path, r, w.Code, code)
			}
		}
	}
	if w := s.send(http.MethodPost, "/procedures/energy-isolation/health/analysis", s.token[api.Trainer], nil); w.Code != http.StatusSeeOther {
		t.Errorf("worked out again: %d", w.Code)
	}
	s.app.Stop()
}
