package web

import (
	"net/url"
	"strings"
	"time"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// observed adds observed rebuilds in every state: one signed by both, one struck out
// with a wrench that was found out, one that waits for the technician, and one open.
func (p *past) observed() {
	trainer := p.token[api.Trainer]
	p.tools()
	appoint := func(procedure string) {
		_, err := p.app.AppointAssessor(p.t.Context(), api.Bearer(p.token[api.SafetyOfficer]), api.AppointAssessor{Assessor: p.person[api.Trainer].ID, Procedure: procedure, Reason: "knows the work from another <site>"})
		p.must(err)
	}
	appoint("flanged-joint")
	appoint("energy-isolation")
	p.wait(time.Minute)
	all := func(int, quiz.Item) bool { return true }
	for _, name := range []string{"fitter-1", "fitter-2", "fitter-3"} {
		who, token := p.add(name, api.Technician)
		sit := p.open(token, "flanged-joint", api.Qualifying)
		p.answer(token, sit, all)
		p.post("/sittings/"+sit+"/hand-in", token, nil)
		p.wait(time.Minute)
		id := p.sheetOf(who, "flanged-joint", "b16")
		if name == "fitter-3" {
			continue // waits for the technician
		}
		p.signs(id, token, clearance.Performed)
		p.signs(id, trainer, clearance.Observed)
		if name == "fitter-2" {
			p.post("/rebuilds/"+id+"/void", p.token[api.SafetyOfficer], url.Values{"reason": {"the wrench was <out>"}})
		}
	}
	own := strings.TrimPrefix(p.post("/rebuilds", trainer, url.Values{"technician": {p.person[api.Technician].ID}, "procedure": {"energy-isolation"}}), "/rebuilds/")
	v, err := p.app.Rebuild(p.t.Context(), api.Bearer(trainer), own)
	p.must(err)
	for i, place := range v.Plan.Places() {
		if e := v.Plan.Good(place, "TW-2"); i%2 == 0 && !e.Empty() {
			_, err := p.app.SaveEntry(p.t.Context(), api.Bearer(trainer), api.SaveEntry{Rebuild: own, Place: place, Revision: 1, Entry: e})
			p.must(err)
		}
	}
}

func (p *past) must(err error) {
	p.t.Helper()
	if err != nil {
		p.t.Fatal(err)
	}
}

// tools puts two wrenches on the register, of which the second is found out.
func (p *past) tools() {
	officer := p.token[api.SafetyOfficer]
	day := p.now().Format(time.DateOnly)
	for _, id := range []string{"TW-1", "TW-2"} {
		p.post("/wrenches", officer, url.Values{"id": {id}, "kind": {"setting"}, "lowest": {"5 N·m"}, "highest": {"400 N·m"}})
		p.post("/wrenches/"+id+"/calibrations", officer, url.Values{"done": {day}, "result": {"good"}, "certificate": {"C <1>"}})
	}
	p.post("/wrenches/TW-2/calibrations", officer, url.Values{"done": {day}, "result": {"out"}, "due": {day}, "certificate": {"C 2"}})
}

// sheetOf is a good sheet of somebody's rebuild, finished by the trainer.
func (p *past) sheetOf(who api.Person, procedure, build string) string {
	p.t.Helper()
	trainer := api.Bearer(p.token[api.Trainer])
	o, err := p.app.BeginRebuild(p.t.Context(), trainer, api.BeginRebuild{Technician: who.ID, Procedure: procedure, Build: build})
	p.must(err)
	v, err := p.app.Rebuild(p.t.Context(), trainer, o.ID)
	p.must(err)
	for _, place := range v.Plan.Places() {
		e := v.Plan.Good(place, "TW-1")
		if place == rebuild.PlaceTimes {
			e = rebuild.Entry{Started: p.now().Format(time.RFC3339), Ended: p.now().Format(time.RFC3339)}
		}
		if !e.Empty() {
			_, err := p.app.SaveEntry(p.t.Context(), trainer, api.SaveEntry{Rebuild: o.ID, Place: place, Revision: 1, Entry: e})
			p.must(err)
		}
	}
	v, err = p.app.Rebuild(p.t.Context(), trainer, o.ID)
	p.must(err)
	_, err = p.app.FinishRebuild(p.t.Context(), trainer, api.FinishRebuild{Rebuild: o.ID, Digest: v.Digest, Seen: v.Now})
	p.must(err)
	p.wait(time.Minute)
	return o.ID
}

func (p *past) signs(id, token string, m clearance.Meaning) {
	p.t.Helper()
	v, err := p.app.Rebuild(p.t.Context(), api.Bearer(token), id)
	p.must(err)
	if to := p.post("/rebuilds/"+id+"/sign/"+string(m), token, url.Values{"digest": {v.Digest}, "password": {password}}); to != "/rebuilds/"+id {
		p.t.Errorf("signing leads to %s", to)
	}
	p.wait(time.Minute)
}
