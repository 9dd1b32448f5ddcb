package v1

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"soloright/api"
	"soloright/api/edge"
	"soloright/quiz"
)

// samples is a request to each operation that is right but for who sends it.
func (s *site) samples(sitting string) map[string]call {
	sheet := "/sittings/" + sitting + "/sheets/1"
	yaml := map[string]string{"Content-Type": "application/yaml"}
	all := map[string]call{
		"openAPI":         {path: "/openapi.json"},
		"signIn":          {path: "/session", body: api.SignIn{SignIn: "the-tech", Password: password}},
		"signOut":         {path: "/session", as: s.token[api.Technician]},
		"me":              {path: "/me"},
		"procedures":      {path: "/procedures"},
		"importProcedure": {path: "/procedures", body: another(s.t, "energy-isolation", "G"), headers: yaml},
		"procedure":       {path: "/procedures/aodd-air-side"},
		"items":           {path: "/procedures/aodd-air-side/items"},
		"sittings":        {path: "/sittings?person=all"},
		"openSitting":     {path: "/sittings", body: api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Practice}},
		"sitting":         {path: "/sittings/" + sitting},
		"sheet":           {path: sheet},
		"saveAnswer":      {path: sheet + "/answer", body: api.SaveAnswer{Revision: 1}},
		"explain":         {path: sheet + "/explanation"},
		"handIn":          {path: "/sittings/" + sitting + "/hand-in"},
		"result":          {path: "/sittings/" + sitting + "/result"},
		"confirm":         {path: "/sittings/" + sitting + "/confirmation"},
		"void":            {path: "/sittings/" + sitting + "/void", body: api.VoidCommand{Reason: "a reason of some length"}},
		"people":          {path: "/people"},
		"addPerson":       {path: "/people", body: api.AddAccount{SignIn: "nobody", Name: "Nobody", Role: api.Technician}},
		"changePerson":    {path: "/people/" + s.person[api.Trainer].ID, body: api.ChangeAccount{}},
	}
	maps.Copy(all, s.registerSamples())
	maps.Copy(all, s.rebuildSamples())
	maps.Copy(all, s.evidenceSamples())
	maps.Copy(all, ledgerSamples())
	maps.Copy(all, s.reviseSamples())
	maps.Copy(all, s.healthSamples())
	maps.Copy(all, s.lessonSamples())
	maps.Copy(all, s.sureSamples(sitting))
	maps.Copy(all, s.panelSamples())
	return all
}

// mayNot is a role that each operation is refused to.
var mayNot = map[string]api.Role{
	"importProcedure": api.Technician, "items": api.Technician, "sittings": api.Technician, "people": api.Technician,
	"addPerson": api.Trainer, "changePerson": api.Trainer, "void": api.Trainer,
	"openSitting": api.Administrator, "sitting": api.Administrator, "sheet": api.Administrator, "saveAnswer": api.Administrator,
	"explain": api.Administrator, "handIn": api.Administrator, "confirm": api.Administrator,
}

// refusals asks each operation for what it must not give.
func (s *site) refusals(sitting Sitting) {
	samples := s.samples(sitting.ID)
	for _, r := range routes {
		c, ok := samples[r.id]
		if !ok {
			s.t.Errorf("operation %s has no sample in this test", r.id)
			continue
		}
		c.method = r.method
		s.refuseAnyway(r, c)
		if role := mayNot[r.id]; role != "" {
			c.as = s.token[role]
			s.do(c, 403)
		}
	}
	s.notFound()
	s.conflicts(sitting)
	s.wrongFields()
	s.timeUp()
	s.keepsWhatItKept()
}

// refuseAnyway sends what is refused by the form of the operation alone.
func (s *site) refuseAnyway(r route, c call) {
	if !r.open {
		for _, token := range []string{"", "x", strings.Repeat("A", 43)} {
			c.as = token
			s.do(c, 401)
		}
	}
	if r.id == "signIn" {
		s.do(call{method: r.method, path: c.path, body: api.SignIn{SignIn: "the-tech", Password: password + "x"}}, 401)
		s.do(call{method: r.method, path: c.path, body: api.SignIn{SignIn: "no-such-name", Password: password}}, 401)
	}
	if r.id == "signIn" { // whatever a browser calls itself is no reason to fail
		s.do(call{method: r.method, path: c.path, body: c.body, headers: map[string]string{"User-Agent": "tablet \xff\xfe"}}, 201)
	}
	cross := c
	if r.method != "GET" {
		cross.headers = maps.Clone(c.headers)
		if cross.headers == nil {
			cross.headers = map[string]string{}
		}
		cross.headers["Sec-Fetch-Site"] = "cross-site"
		s.do(cross, 403)
	}
	c.bad = true
	if c.body != nil {
		form := c
		form.headers = map[string]string{"Content-Type": "application/x-www-form-urlencoded"}
		form.body = "a=b"
		form.as = s.token[api.Trainer]
		s.do(form, 415)
		form.headers["Content-Type"] = map[bool]string{true: "application/yaml", false: "application/json"}[r.text]
		form.body = strings.Repeat(" ", map[bool]int{true: edge.MaxUpload, false: edge.MaxBody}[r.text]+1)
		s.do(form, 413)
		form.body = "{"
		if r.text {
			form.path += "?x=%00"
		}
		s.do(form, 400)
	}
	if r.query != nil {
		path, _, _ := strings.Cut(c.path, "?")
		s.do(call{method: r.method, path: path + "?" + r.query[0].name + "=%ff", bad: true}, 400)
	}
}

func (s *site) notFound() {
	own := s.open(s.token[api.Technician], api.Qualifying)
	defer s.handIn(s.token[api.Technician], own.ID)
	other := s.add("other", api.Technician)
	as := s.signIn(other.SignIn)
	for _, id := range []string{own.ID, "nosuch", "%C3%A4"} {
		base := "/sittings/" + id
		s.do(call{method: "GET", path: base, as: as}, 404)
		s.do(call{method: "GET", path: base + "/sheets/1", as: as}, 404)
		s.do(call{method: "PUT", path: base + "/sheets/1/answer", as: as, body: api.SaveAnswer{Revision: 99}}, 404)
		s.do(call{method: "POST", path: base + "/sheets/1/explanation", as: as}, 404)
		s.do(call{method: "POST", path: base + "/hand-in", as: as}, 404)
		s.do(call{method: "GET", path: base + "/result", as: as}, 404)
		s.do(call{method: "POST", path: base + "/confirmation", as: as}, 404)
	}
	if kept := s.kept(own.ID); len(kept) > 0 {
		s.t.Errorf("somebody else's answer was kept: %v", kept)
	}
	for _, n := range []string{"0", "-1", "999", "x", "1.5", "99999999999999999999"} {
		s.do(call{method: "GET", path: "/sittings/" + own.ID + "/sheets/" + n, as: s.token[api.Technician]}, 404)
		s.do(call{method: "PUT", path: "/sittings/" + own.ID + "/sheets/" + n + "/answer", as: s.token[api.Technician], body: api.SaveAnswer{Revision: 1}}, 404)
	}
	trainer, officer, admin := s.token[api.Trainer], s.token[api.SafetyOfficer], s.token[api.Administrator]
	s.do(call{method: "GET", path: "/procedures/nosuch", as: trainer}, 404)
	s.do(call{method: "GET", path: "/procedures/aodd-air-side?revision=nosuch", as: trainer}, 404)
	s.do(call{method: "GET", path: "/procedures/nosuch/items", as: trainer}, 404)
	s.do(call{method: "POST", path: "/sittings", as: trainer, body: api.OpenSitting{Procedure: "nosuch", Mode: api.Practice}}, 404)
	s.do(call{method: "POST", path: "/sittings/nosuch/void", as: officer, body: api.VoidCommand{Reason: "a reason of some length"}}, 404)
	s.do(call{method: "PATCH", path: "/people/nosuch", as: admin, body: api.ChangeAccount{}}, 404)
}

// conflicts asks for what the state does not allow; each answer says the state.
func (s *site) conflicts(done Sitting) {
	as, officer := s.token[api.Technician], s.token[api.SafetyOfficer]
	stands := func(c call, state string) {
		s.t.Helper()
		if p := s.do(c, 409).problem(); p.State != state {
			s.t.Errorf("%s %s: state %q, want %q", c.method, c.path, p.State, state)
		}
	}
	before := s.kept(done.ID)
	stands(call{method: "PUT", path: "/sittings/" + done.ID + "/sheets/1/answer", as: as, body: api.SaveAnswer{Revision: 99}}, "marked")
	stands(call{method: "GET", path: "/sittings/" + done.ID + "/sheets/1", as: as}, "marked")
	stands(call{method: "POST", path: "/sittings/" + done.ID + "/sheets/1/explanation", as: as}, "marked")
	if !maps.Equal(s.kept(done.ID), before) {
		s.t.Error("an answer after the hand-in changed the record")
	}
	as = s.signIn(s.add("another-try", api.Technician).SignIn) // the last one has to wait for the next try
	open := s.open(as, api.Qualifying)
	reason := api.VoidCommand{Reason: "a reason of some length"}
	stands(call{method: "GET", path: "/sittings/" + open.ID + "/result", as: as}, "open")
	stands(call{method: "POST", path: "/sittings/" + open.ID + "/sheets/1/explanation", as: as}, "qualifying")
	stands(call{method: "POST", path: "/sittings/" + open.ID + "/void", as: officer, body: reason}, "open")
	s.handIn(as, open.ID) // blank
	stands(call{method: "POST", path: "/sittings/" + open.ID + "/confirmation", as: as}, "failed")
	s.do(call{method: "POST", path: "/sittings/" + open.ID + "/void", as: officer, body: reason}, 204)
	stands(call{method: "POST", path: "/sittings/" + open.ID + "/void", as: officer, body: reason}, "void")
	stands(call{method: "POST", path: "/people", as: s.token[api.Administrator], body: api.AddAccount{SignIn: "THE-TECH", Name: "Twin", Role: api.Technician}}, "taken")
	stands(call{method: "POST", path: "/procedures", as: s.token[api.Trainer], headers: map[string]string{"Content-Type": "application/yaml"},
		body: another(s.t, "energy-isolation", "F2") + "# changed\n"}, "imported")
	blueprint := []byte("procedure: energy-isolation\nitems: 40\nminutes: 60\ncut: 80\ntopics:\n  - {topic: stacks and facings, min: 40, max: 40}\n")
	s.importProcedure(api.Import{Name: "x", Source: []byte(another(s.t, "energy-isolation", "Z")), Blueprint: blueprint, Adopt: true})
	stands(call{method: "POST", path: "/sittings", as: as, body: api.OpenSitting{Procedure: "energy-isolation", Mode: api.Practice}}, "blueprint not met")
}

// timeUp: an answer after the deadline is refused, and what was kept stays.
func (s *site) timeUp() {
	as := s.signIn(s.add("late", api.Technician).SignIn)
	sit := s.open(as, api.Qualifying)
	it := s.form(sit.ID).Items[0]
	s.save(as, sit.ID, 1, 1, s.right(it))
	s.wait(sit.Deadline.Sub(s.now()))
	c := call{method: "PUT", path: "/sittings/" + sit.ID + "/sheets/1/answer", as: as, body: api.SaveAnswer{Revision: 2}}
	if p := s.do(c, 409).problem(); p.State != "handed in" {
		s.t.Errorf("an answer after time: state %q", p.State)
	}
	r := s.result(as, sit.ID)
	if !r.TimeUp || r.Sitting.HandedIn == nil || !r.Sitting.HandedIn.Equal(sit.Deadline) || r.Total.Rat.Sign() <= 0 {
		s.t.Errorf("time up %v, handed in at %v, total %s", r.TimeUp, r.Sitting.HandedIn, r.Total)
	}
}

// keepsWhatItKept: a malformed answer is refused and nothing of it is kept, in
// every interaction.
func (s *site) keepsWhatItKept() {
	as := s.signIn(s.add("fumbler", api.Technician).SignIn)
	sit := s.open(as, api.Practice)
	for i, it := range s.form(sit.ID).Items {
		bad := quiz.Answer{Options: []string{"no-such-option"}}
		switch it.Interaction.Kind {
		case quiz.Numeric:
			bad = quiz.Answer{Number: "about twelve"}
		case quiz.Order, quiz.Sequence:
			id := it.Interaction.Options[0].ID
			bad = quiz.Answer{Options: []string{id, id}}
		case quiz.Match:
			bad = quiz.Answer{Rows: map[string]string{it.Interaction.Rows[0].ID: "nowhere"}}
		}
		c := call{method: "PUT", path: fmt.Sprintf("/sittings/%s/sheets/%d/answer", sit.ID, i+1), as: as, body: api.SaveAnswer{Revision: 1, Answer: bad}}
		if p := s.do(c, 422).problem(); len(p.Errors) != 1 || !strings.HasPrefix(p.Errors[0].Field, "answer.") {
			s.t.Errorf("sheet %d (%s): %+v", i+1, it.Interaction.Kind, p.Errors)
		}
	}
	var v SittingView
	s.do(call{method: "GET", path: "/sittings/" + sit.ID, as: as}, 200).into(&v)
	if i := slices.IndexFunc(v.Sheets, func(l SheetLine) bool { return l.Revision != 0 }); i >= 0 {
		s.t.Errorf("something is kept of sheet %d", i+1)
	}
}

// outages: each operation says 503 with Retry-After where the database is lost,
// and 500 without a word of what went wrong where something else does.
func (s *site) outages(sitting Sitting) {
	s.refreshTokens()
	defer func() { s.trouble = nil }()
	for id, c := range s.samples(sitting.ID) {
		i := slices.IndexFunc(routes, func(r route) bool { return r.id == id })
		c.method = routes[i].method
		if c.as == "" {
			c.as = s.token[api.Administrator]
		}
		if routes[i].fixed {
			continue
		}
		s.trouble = &api.Error{Kind: api.Unavailable, Message: "The database cannot be reached just now."}
		s.do(c, http.StatusServiceUnavailable)
		s.trouble = errors.New("relation secrets does not exist")
		if a := s.do(c, http.StatusInternalServerError); strings.Contains(string(a.body), "secrets") {
			s.t.Errorf("%s tells what went wrong inside: %s", a.what, a.body)
		}
	}
}

// refreshTokens signs everybody in again: the clock was moved.
func (s *site) refreshTokens() {
	for r, p := range s.person {
		s.token[r] = s.signIn(p.SignIn)
	}
	s.wait(time.Second)
}

// checkCoverage fails for each status that the document gives an operation and
// that was never seen, so that it promises nothing that does not happen.
func (s *site) checkCoverage() {
	for path, item := range s.doc.Paths.Map() {
		for method, op := range item.Operations() {
			for status := range op.Responses.Map() {
				n, err := strconv.Atoi(status)
				if err != nil || s.seen[op.OperationID][n] == 0 {
					s.t.Errorf("%s %s (%s) never answered %s", method, path, op.OperationID, status)
				}
			}
		}
	}
}
