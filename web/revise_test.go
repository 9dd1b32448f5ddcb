package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/scoring/clearance"
)

const seal = "mechanical-seal"

// nextSeal is the next revision of the seal procedure: a hazard is gone, a torque
// is another.
func nextSeal(t *testing.T, revision string) string {
	t.Helper()
	src, err := library.Source(seal)
	if err != nil {
		t.Fatal(err)
	}
	text := regexp.MustCompile(`(?m)^revision: .*$`).ReplaceAllString(string(src), "revision: "+revision)
	next := strings.Replace(text, "torque: 24 N·m, tolerance", "torque: 26 N·m, tolerance", 1)
	next = regexp.MustCompile(`(?s)\nhazards:\n  - id: .*?\n  - id: `).ReplaceAllString(next, "\nhazards:\n  - id: ")
	if next == text {
		t.Fatal("nothing is changed")
	}
	return next
}

func (s *site) keep(procedure, text string) {
	s.t.Helper()
	if _, err := s.app.ImportProcedure(s.t.Context(), api.Bearer(s.token[api.Trainer]), api.Import{Name: "next.yaml", Source: []byte(text), Blueprint: library.BlueprintSource(procedure)}); err != nil {
		s.t.Fatal(err)
	}
}

// revised has the trainer pass on the seal, and a revision adopted after that; one
// more is kept. Training, appointments and exceptions are recorded.
func (p *past) revised() {
	trainer, officer := p.token[api.Trainer], p.token[api.SafetyOfficer]
	pass := p.open(trainer, seal, api.Qualifying)
	p.answer(trainer, pass, func(int, quiz.Item) bool { return true })
	p.post("/sittings/"+pass+"/hand-in", trainer, nil)
	p.keep(seal, nextSeal(p.t, "N1"))
	p.post("/procedures/"+seal+"/revisions/N1/adoption", officer, url.Values{"replaces": {p.inForce(seal)}})
	p.keep(seal, strings.Replace(nextSeal(p.t, "N2"), "torque: 26 N·m", "torque: 28 N·m", 1))
	tech, by := p.person[api.Technician].ID, p.person[api.Trainer].ID
	why := "knows it from the <maker’s> school"
	p.post("/trainings", trainer, url.Values{"technician": {tech}, "procedure": {seal}, "date": {content.DateOf(p.now()).String()}, "verified": {"questions at the <bench>"}})
	p.post("/appointments", officer, url.Values{"assessor": {by}, "procedure": {seal}, "reason": {why}})
	p.post("/appointments", officer, url.Values{"assessor": {tech}, "procedure": {seal}, "reason": {why}, "until": {content.DateOf(p.now()).String()}})
	list, err := p.app.Appointments(p.t.Context(), api.Bearer(officer), api.ActsQuery{Procedure: seal})
	if err != nil || len(list) != 2 {
		p.t.Fatalf("%d appointments, %v", len(list), err)
	}
	p.post("/appointments/"+list[0].ID+"/end", officer, url.Values{"end_reason": {"back to the <day> shift"}})
	p.post("/exceptions", officer, url.Values{"assessor": {by}, "technician": {tech}, "procedure": {seal}, "reason": {"nobody else is on the <site>"}, "password": {password}})
	policy := policyForm(clearance.DefaultPolicy())
	policy.Set("months", "6")
	p.post("/policy", officer, policy)
}

func policyForm(p clearance.Policy) url.Values {
	v := url.Values{}
	for _, w := range policyFields {
		v.Set(w.Field, itoa(*number(&p, w.Field)))
	}
	for _, t := range p.ObserveAgain {
		v.Add("observe_again", string(t))
	}
	return v
}

// reads gets a page and returns its text.
func (s *site) reads(token, path string, want int) string {
	s.t.Helper()
	w := s.send(http.MethodGet, path, token, nil)
	if w.Code != want {
		s.t.Fatalf("GET %s: %d, want %d", path, w.Code, want)
	}
	return textOf(parse(s.t, w.Body.Bytes()))
}

// refused posts a form that is refused and returns the page's text.
func (s *site) refused(path, token string, form url.Values, want int) string {
	s.t.Helper()
	w := s.send(http.MethodPost, path, token, form)
	if w.Code != want {
		s.t.Fatalf("POST %s: %d, want %d", path, w.Code, want)
	}
	doc := parse(s.t, w.Body.Bytes())
	for _, wrong := range lint(doc) {
		s.t.Errorf("POST %s: %s", path, wrong)
	}
	return textOf(doc)
}

func wantAll(t *testing.T, what, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("%s does not say %q: %s", what, w, text)
		}
	}
}

// The way of a revision through the pages: kept, looked at, adopted, read and signed
// for, sat, withdrawn.
func TestThePagesOfARevision(t *testing.T) {
	s := newSite(t)
	tech, trainer, officer := s.token[api.Technician], s.token[api.Trainer], s.token[api.SafetyOfficer]
	pass := s.open(tech, seal, api.Qualifying)
	s.answer(tech, pass, func(int, quiz.Item) bool { return true })
	s.post("/sittings/"+pass+"/hand-in", tech, nil)
	was := s.inForce(seal)
	s.keep(seal, nextSeal(t, "N1"))
	of := "/procedures/" + seal
	wantAll(t, "the list", s.reads(tech, of+"/revisions", 200), "N1", "Kept", "not yet", "In force")
	if s.reads(tech, of+"/revisions/N1/adoption", 403); s.inForce(seal) != was {
		t.Error("it is in force before anybody adopted it")
	}
	look := s.reads(trainer, of+"/revisions/N1/adoption", 200)
	wantAll(t, "the change sheet", look, "Was", "Is", "26 N·m", "Removed: read and signed for", "Somebody <b>called</b> the-tech", "Grace ends after")
	if strings.Contains(look, "Put revision") {
		t.Error("a trainer is offered to adopt")
	}
	adopt := of + "/revisions/N1/adoption"
	wantAll(t, "a refusal", s.refused(adopt, officer, url.Values{"replaces": {"never"}}, 409), "is in force by now", "Put revision N1 in force")
	s.post(adopt, officer, url.Values{"replaces": {was}})
	wantAll(t, "the bench", s.reads(tech, "/", 200), "See what changed")

	todo := of + "/catch-up"
	wantAll(t, "what changed", s.reads(tech, todo, 200), "To be read and signed for", "Asked in the delta sitting", "Read and sign first", "meaning: read")
	u, err := s.app.CatchUp(t.Context(), api.Bearer(tech), seal)
	if err != nil {
		t.Fatal(err)
	}
	form := url.Values{"digest": {u.Digest}, "password": {"wrong"}}
	for _, f := range u.Read {
		form.Add("fact", string(f.Fact))
	}
	wantAll(t, "a wrong password", s.refused(todo+"/signature", tech, form, 422), "The password is wrong")
	form.Set("password", password)
	s.post(todo+"/signature", tech, form)
	wantAll(t, "after the signature", s.reads(tech, todo, 200), "Sit the delta sitting")
	at := s.post("/sittings", tech, url.Values{"procedure": {seal}, "mode": {"delta"}})
	id := strings.TrimPrefix(at, "/sittings/")
	if w := s.send(http.MethodGet, todo, tech, nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" {
		t.Errorf("the book is open during the delta sitting: %d", w.Code)
	}
	s.answer(tech, id, func(int, quiz.Item) bool { return true })
	result := s.reads(tech, s.post(at+"/hand-in", tech, nil), 200)
	wantAll(t, "the result", result, "Passed", "You have shown what changed", "delta sitting")
	wantAll(t, "nothing left", s.reads(tech, todo, 200), "There is nothing to do here")

	wantAll(t, "too short a reason", s.refused(of+"/withdrawal", officer, url.Values{"reason": {"short"}}, 422), "short", "at least 10")
	s.wait(time.Minute)
	s.post(of+"/withdrawal", officer, url.Values{"reason": {"the maker recalls it"}})
	wantAll(t, "withdrawn", s.reads(tech, of+"/revisions", 200), "Withdrawn", "the maker recalls it", "Nobody is cleared")
	wantAll(t, "the procedure", s.reads(tech, of, 200), "Withdrawn on", "the maker recalls it")
	wantAll(t, "the way back", s.reads(officer, adopt, 200), "Putting revision N1 in force again")
	s.wait(time.Minute)
	s.post(adopt, officer, url.Values{"replaces": {"N1"}})
	wantAll(t, "in force again", s.reads(officer, adopt, 200), "It is in force already")
}

// The text of a revision can be taken as it was imported.
func TestTheTextOfARevisionIsAFile(t *testing.T) {
	s := newSite(t)
	src, err := library.Source(seal)
	if err != nil {
		t.Fatal(err)
	}
	of := "/procedures/" + seal + "/revisions/" + s.inForce(seal)
	w := s.send(http.MethodGet, of+"/text", s.token[api.SafetyOfficer], nil)
	if w.Code != 200 || w.Body.String() != string(src) || !strings.HasPrefix(w.Header().Get("Content-Disposition"), `attachment; filename="mechanical-seal-`) {
		t.Errorf("%d, %d bytes of %d, %v", w.Code, w.Body.Len(), len(src), w.Header())
	}
	if w = s.send(http.MethodGet, of+"/blueprint", s.token[api.Trainer], nil); w.Code != 200 || w.Body.String() != string(library.BlueprintSource(seal)) {
		t.Errorf("the blueprint: %d, %d bytes", w.Code, w.Body.Len())
	}
	s.reads(s.token[api.Technician], of+"/text", 403)
	s.keep(seal, nextSeal(t, "N1"))
	s.reads(s.token[api.Trainer], "/procedures/"+seal+"/revisions/nosuch/blueprint", 404)
}

// What is sent to the policy and refused stays in the form, with what is wrong.
func TestThePagesOfAPolicy(t *testing.T) {
	s := newSite(t)
	officer := s.token[api.SafetyOfficer]
	read := s.reads(s.token[api.Technician], "/policy", 200)
	wantAll(t, "the defaults", read, "Cut score: 80 % of the marks", "Validity: 12 months", "None was set yet", "Level wanted: 90 %")
	form := policyForm(clearance.DefaultPolicy())
	form.Set("months", "6")
	form.Set("officer", "yes")
	form.Set("procedure", seal)
	s.post("/policy", officer, form)
	wantAll(t, "the history", s.reads(s.token[api.Technician], "/policy?procedure="+seal, 200), "Validity: 12 → 6 months", "A safety officer signs too", "It has a policy of its own")
	form.Set("cut", "10")
	form.Set("tries", "many")
	bad := s.refused("/policy", officer, form, 422)
	wantAll(t, "no number", bad, "Tries is not a whole number")
	form.Set("tries", "30")
	w := s.send(http.MethodPost, "/policy", officer, form)
	if text := w.Body.String(); w.Code != 422 || !strings.Contains(text, `value="10"`) || !strings.Contains(text, "it must be from 50 to 100") || !strings.Contains(text, "tries: 30") && !strings.Contains(text, "Tries: 30") {
		t.Errorf("refused, and the form does not hold what was sent: %d", w.Code)
	}
	if v, err := s.app.Policy(t.Context(), api.Bearer(officer), seal); err != nil || v.Policy.Cut != 80 {
		t.Errorf("a refused policy is in force: %+v, %v", v, err)
	}
	s.refused("/policy", s.token[api.Trainer], policyForm(clearance.DefaultPolicy()), 403)
}

// Training, appointments and exceptions are recorded and listed; what is refused
// stays in the form.
func TestThePagesAboutAssessing(t *testing.T) {
	s := newSite(t)
	officer, trainer := s.token[api.SafetyOfficer], s.token[api.Trainer]
	tech, by := s.person[api.Technician].ID, s.person[api.Trainer].ID
	train := url.Values{"technician": {tech}, "procedure": {seal}, "date": {"2036-01-01"}, "verified": {"questions"}}
	w := s.send(http.MethodPost, "/trainings", trainer, train)
	if text := w.Body.String(); w.Code != 422 || !strings.Contains(text, `value="2036-01-01"`) || !strings.Contains(text, ">questions</textarea>") || !strings.Contains(text, `value="`+tech+`" selected`) {
		t.Errorf("a day to come: %d, and the form does not hold what was sent", w.Code)
	}
	train.Set("date", "soon")
	wantAll(t, "no day", s.refused("/trainings", trainer, train, 422), "is not a day")
	train.Set("date", "2026-03-01")
	s.post("/trainings", trainer, train)
	wantAll(t, "trainings", s.reads(officer, "/trainings", 200), "2026-03-01", "questions", "the-trai")

	appoint := url.Values{"assessor": {by}, "procedure": {seal}, "reason": {"knows it from school"}, "revision": {"nosuch"}}
	wantAll(t, "no revision", s.refused("/appointments", officer, appoint, 422), "There is no such revision")
	appoint.Del("revision")
	s.post("/appointments", officer, appoint)
	list, err := s.app.Appointments(t.Context(), api.Bearer(officer), api.ActsQuery{})
	if err != nil || len(list) != 1 {
		t.Fatalf("%+v, %v", list, err)
	}
	wantAll(t, "appointments", s.reads(trainer, "/appointments", 200), "knows it from school", "● holds")
	wantAll(t, "a short reason", s.refused("/appointments/"+list[0].ID+"/end", officer, url.Values{"end_reason": {"no"}}, 422), "at least 10")
	s.post("/appointments/"+list[0].ID+"/end", officer, url.Values{"end_reason": {"back to the day shift"}})
	wantAll(t, "ended", s.reads(trainer, "/appointments", 200), "○ ended", "back to the day shift")

	except := url.Values{"assessor": {by}, "technician": {by}, "procedure": {seal}, "reason": {"nobody else is here"}, "password": {password}}
	s.refused("/exceptions", officer, except, 422)
	except.Set("technician", tech)
	s.post("/exceptions", officer, except)
	wantAll(t, "exceptions", s.reads(trainer, "/exceptions", 200), "nobody else is here")
	for _, path := range []string{"/trainings", "/appointments", "/exceptions"} {
		s.reads(s.token[api.Technician], path, 403)
		s.reads(officer, path+"?before=x", 404)
	}
}

// A list that is longer than a page goes on.
func TestALongListGoesOn(t *testing.T) {
	s := newSite(t)
	for i := range shown + 3 {
		s.post("/trainings", s.token[api.Trainer], url.Values{"technician": {s.person[api.Technician].ID}, "procedure": {seal}, "date": {"2026-03-01"}, "verified": {"time " + itoa(i)}})
	}
	doc := parse(t, s.send(http.MethodGet, "/trainings", s.token[api.Trainer], nil).Body.Bytes())
	for _, a := range elements(doc, "a") {
		if href, _ := attr(a, "href"); strings.HasPrefix(href, "/trainings?before=") {
			wantAll(t, "the older ones", s.reads(s.token[api.Trainer], href, 200), "time 0", "time 2")
			return
		}
	}
	t.Error("no link leads on")
}

func itoa(n int) string { return strconv.Itoa(n) }
