package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// posted sends a form and returns the page that comes back with a status.
func (p *past) posted(path, token string, form url.Values, status int) string {
	p.t.Helper()
	w := p.send(http.MethodPost, path, token, form)
	text := textOf(parse(p.t, w.Body.Bytes()))
	if w.Code != status {
		p.t.Fatalf("POST %s: %d, want %d: %s", path, w.Code, status, text)
	}
	return text
}

func (p *past) view(id string) api.RebuildView {
	p.t.Helper()
	v, err := p.app.Rebuild(p.t.Context(), api.Bearer(p.token[api.Trainer]), id)
	p.must(err)
	return v
}

// fields are what a browser would post of a page's form without a change, but for
// its buttons.
func (p *past) fields(path, token, action string) url.Values {
	p.t.Helper()
	out := url.Values{}
	doc := parse(p.t, p.send(http.MethodGet, path, token, nil).Body.Bytes())
	for _, f := range elements(doc, "form") {
		if to, _ := attr(f, "action"); to != action {
			continue
		}
		for _, e := range elements(f, "input", "select", "textarea") {
			name, _ := attr(e, "name")
			kind, _ := attr(e, "type")
			value, _ := attr(e, "value")
			_, checked := attr(e, "checked")
			switch {
			case e.Data == "select":
				value = selected(e)
			case e.Data == "textarea":
				value = textOf(e)
			case (kind == "radio" || kind == "checkbox") && !checked:
				continue
			}
			out.Set(name, value)
		}
	}
	return out
}

// selected is the value of a select: of the option that is chosen, or of the first.
func selected(n *html.Node) string {
	value := func(o *html.Node) string {
		if v, own := attr(o, "value"); own {
			return v
		}
		return textOf(o)
	}
	all := elements(n, "option")
	for _, o := range all {
		if _, is := attr(o, "selected"); is {
			return value(o)
		}
	}
	return value(all[0])
}

func allRight(int, quiz.Item) bool { return true }

// The whole sheet with scripts off: every step by its plain form, finished, signed
// by both, and what is refused on the way is said and loses nothing.
func TestASheetByPlainForms(t *testing.T) {
	p := newBench(t)
	trainer := p.token[api.Trainer]
	who, token := p.add("plain", api.Technician)
	sit := p.open(token, "flanged-joint", api.Qualifying)
	p.answer(token, sit, allRight)
	p.post("/sittings/"+sit+"/hand-in", token, nil)
	p.wait(time.Minute)
	at := p.post("/rebuilds", trainer, url.Values{"technician": {who.ID}, "procedure": {"flanged-joint"}, "build": {"b4"}})
	id := strings.TrimPrefix(at, "/rebuilds/")
	for _, st := range p.view(id).Plan.Stations {
		step := at + "/steps/" + st.Step.ID
		form := p.fields(step, trainer, step)
		plan := p.view(id).Plan
		for place := range stationEntries(&st, form) {
			write(form, place, plan.Good(place, "TW-1"))
		}
		form.Set("go", "list")
		if to := p.post(step, trainer, form); to != at {
			t.Errorf("%s leads to %s", step, to)
		}
	}
	p.wait(time.Minute)
	day := p.now().Format(local)
	p.posted(at+"/times", trainer, url.Values{"started": {"yesterday"}, "times:rev": {"0"}, "remarks:rev": {"0"}}, 422)
	if to := p.post(at+"/times", trainer, url.Values{"started": {day}, "ended": {day}, "remarks": {"all quiet"}, "times:rev": {"0"}, "remarks:rev": {"0"}, "go": {"read-over"}}); to != at+"/read-over" {
		t.Errorf("the times lead to %s", to)
	}
	v := p.view(id)
	if v.Record.Faults != 0 || v.Record.Remarks != "all quiet" {
		t.Fatalf("by plain forms: %s", v.Record.Fault())
	}
	form := p.fields(at+"/read-over", trainer, at+"/finish")
	p.wait(time.Second)
	step := at + "/steps/" + v.Plan.Stations[0].Step.ID
	change := p.fields(step, trainer, step)
	change.Set(rebuild.PlaceOfHold(v.Plan.Stations[0].Step.ID)+":note", "seen from the left")
	p.post(step, trainer, change)
	if text := p.posted(at+"/finish", trainer, form, 409); !strings.Contains(text, "The sheet has changed since it was shown to you: "+v.Plan.Stations[0].Step.Hold.Look) {
		t.Errorf("a changed sheet: %s", text)
	}
	p.post(at+"/finish", trainer, p.fields(at+"/read-over", trainer, at+"/finish"))
	p.posted(step, trainer, change, 409)
	sign := at + "/sign/performed"
	wrong := p.fields(sign, token, sign)
	wrong.Set("password", "not-the-password")
	if text := p.posted(sign, token, wrong, 422); !strings.Contains(text, "Nothing was signed") || !strings.Contains(text, "Printed name") {
		t.Errorf("a wrong password: %s", text)
	}
	p.signs(id, token, clearance.Performed)
	p.signs(id, trainer, clearance.Observed)
	s, err := p.app.Standing(t.Context(), api.Bearer(token), api.StandingQuery{Person: who.ID, Procedure: "flanged-joint"})
	if p.must(err); s.State != clearance.Held || s.Until.IsZero() { // the prerequisite alone is outstanding
		t.Errorf("after both signed: %s", s.Reason)
	}
	for range 4 {
		p.posted(sign, token, wrong, 422)
	}
	if to := p.send(http.MethodGet, "/rebuilds", token, nil).Header().Get("Location"); !strings.HasPrefix(to, "/sign-in") {
		t.Errorf("after the fifth wrong password one is still signed in: %s", to)
	}
}

// write puts an entry into the fields of a form, numbers without their unit where
// they are in the one that the page shows.
func write(form url.Values, place string, e rebuild.Entry) {
	set := func(field, value string) {
		if value != "" {
			form.Set(place+":"+field, value)
		}
	}
	set("outcome", string(e.Outcome))
	set("as", string(e.As))
	set("value", strings.TrimSuffix(e.Value, " N·m"))
	set("angle", e.Angle)
	set("wrench", e.Wrench)
	set("held", e.Held)
	if e.Reached {
		set("reached", "yes")
	}
	for i, r := range e.Readings {
		set("reading."+string(rune('0'+i)), r)
	}
}

// What a step cannot keep is shown again with what is wrong; the rest is kept. An
// entry that somebody wrote meanwhile is not written over.
func TestAStepThatDoesNotRead(t *testing.T) {
	p := newBench(t)
	trainer := p.token[api.Trainer]
	list, err := p.app.Rebuilds(t.Context(), api.Bearer(trainer), true)
	p.must(err)
	id := list.Open[0].ID
	var st rebuild.Station
	for _, s := range p.view(id).Plan.Stations {
		if len(s.Joints) > 0 {
			st = s
		}
	}
	step := "/rebuilds/" + id + "/steps/" + st.Step.ID
	one, two := rebuild.PlaceOfFastener(st.Joints[0].ID, 1), rebuild.PlaceOfFastener(st.Joints[0].ID, 3)
	form := p.fields(step, trainer, step)
	form.Set(one+":value", "tight")
	form.Set(two+":value", "59 lbf·ft")
	text := p.posted(step, trainer, form, 422)
	if !strings.Contains(text, "Not kept: This does not read as a number with its unit") {
		t.Errorf("what does not read: %s", text)
	}
	v := p.view(id)
	if v.Entries[one].Value != "" || v.Entries[two].Value != "59 lbf·ft" {
		t.Errorf("kept: %q %q", v.Entries[one].Value, v.Entries[two].Value)
	}
	late := p.fields(step, trainer, step)
	_, err = p.app.SaveEntry(t.Context(), api.Bearer(trainer), api.SaveEntry{Rebuild: id, Place: two, Revision: 9, Entry: rebuild.Entry{Value: "80 N·m"}})
	p.must(err)
	late.Set(two+":value", "70")
	if text := p.posted(step, trainer, late, 422); !strings.Contains(text, "A newer entry stands at") {
		t.Errorf("a late entry: %s", text)
	}
	if got := p.view(id).Entries[two].Value; got != "80 N·m" {
		t.Errorf("the newer entry is %q", got)
	}
	p.posted("/rebuilds/"+id+"/abandonment", trainer, url.Values{"reason": {"short"}}, 422)
	if to := p.post("/rebuilds/"+id+"/abandonment", trainer, url.Values{"reason": {"the shift ended early"}}); to != "/rebuilds" {
		t.Errorf("giving up leads to %s", to)
	}
}

// Wrong wrenches and calibrations are said, and what was typed is not lost.
func TestWrenchesByPlainForms(t *testing.T) {
	p := newBench(t)
	officer := p.token[api.SafetyOfficer]
	if text := p.posted("/wrenches", officer, url.Values{"id": {"TW 3"}, "kind": {"setting"}}, 422); !strings.Contains(text, "letters, digits") {
		t.Error(text)
	}
	p.posted("/wrenches", officer, url.Values{"id": {"TW-1"}, "kind": {"indicating"}}, 409)
	p.posted("/wrenches/TW-1/calibrations", officer, url.Values{"done": {"last week"}, "result": {"good"}, "certificate": {"x"}}, 422)
	p.posted("/wrenches/TW-1/calibrations", officer, url.Values{"done": {"2026-03-01"}, "certificate": {"x"}}, 422)
	p.posted("/wrenches/TW-1/calibrations", officer, url.Values{"done": {"2999-03-01"}, "result": {"good"}, "certificate": {"x"}}, 422)
	p.posted("/wrenches", p.token[api.Technician], url.Values{"id": {"TW-3"}, "kind": {"setting"}}, 403)
	page := textOf(parse(t, p.send(http.MethodGet, "/wrenches/TW-2", officer, nil).Body.Bytes()))
	if !strings.Contains(page, "was found out of tolerance on "+content.DateOf(p.now()).String()) {
		t.Errorf("the page of a wrench that was found out: %s", page)
	}
}
