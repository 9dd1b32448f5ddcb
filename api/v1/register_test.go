package v1

import (
	"net/http"
	"strings"
	"time"

	"soloright/api"
)

const pumpStanding = "/standings/aodd-air-side"

// registerSamples are requests about standings that are right but for who sends them.
func (s *site) registerSamples() map[string]call {
	of := "/people/" + s.person[api.Technician].ID + pumpStanding
	reason := Reason{Reason: "a cap was found loose"}
	return map[string]call{
		"register":  {path: "/register?on=2026-03-02"},
		"cover":     {path: "/register/cover?on=2026-03-02"},
		"lapsing":   {path: "/register/lapsing?days=30"},
		"signers":   {path: "/register/signers/aodd-air-side?from=1"},
		"roads":     {path: "/me/roads"},
		"standing":  {path: of + "?on=2026-03-02"},
		"suspend":   {path: of + "/suspension", body: reason},
		"reinstate": {path: of + "/reinstatement", body: reason},
		"withdraw":  {path: of + "/withdrawal", body: reason},
	}
}

func init() {
	for _, id := range []string{"register", "cover", "lapsing", "signers", "standing"} {
		mayNot[id] = api.Administrator
	}
	for _, id := range []string{"suspend", "reinstate", "withdraw"} {
		mayNot[id] = api.Trainer
	}
	short := `{"reason":"short"}`
	wrongFields = append(wrongFields, wrongField{"suspend", short, 422, "reason"}, wrongField{"reinstate", short, 422, "reason"}, wrongField{"withdraw", short, 422, "reason"},
		wrongField{"suspend", `{"reason":"long enough to keep","person":"x"}`, 422, "person"})
}

// standings walks over the register: who passed is on the road, and what the
// officer does shows, with the time, and yesterday stays as it was.
func (s *site) standings(passed Sitting) {
	officer, own := s.token[api.SafetyOfficer], s.token[api.Technician]
	of := "/people/" + passed.Person + pumpStanding
	s.roadsOf(own)
	yesterday := s.now().Format(time.DateOnly)
	s.wait(24 * time.Hour)
	s.refreshTokens()
	officer = s.token[api.SafetyOfficer]
	do := func(what string) {
		s.t.Helper()
		s.do(call{method: "POST", path: of + what, as: officer, body: Reason{Reason: "a cap was found loose"}}, 204)
		s.wait(time.Minute)
	}
	was := s.one("/register?person=" + passed.Person + "&procedure=aodd-air-side&on=" + yesterday)
	do("/suspension")
	do("/suspension") // again is no error
	is := s.one("/register?person=" + passed.Person + "&procedure=aodd-air-side")
	if is.State != "suspended" || is.ChangedAt == nil || !strings.Contains(is.Reason, "a cap was found loose") || is.Name != s.person[api.Technician].Name || is.Title == is.Procedure {
		s.t.Errorf("suspended: %+v", is)
	}
	if again := s.one("/register?state=suspended"); again.Person != passed.Person {
		s.t.Errorf("the only one suspended: %+v", again)
	}
	if now := s.one("/register?person=" + passed.Person + "&procedure=aodd-air-side&known=now&on=" + yesterday); now.Reason != was.Reason || now.State == "suspended" {
		s.t.Errorf("yesterday was %q and is by now %q", was.Reason, now.Reason)
	}
	p := s.do(call{method: "POST", path: of + "/suspension", as: officer, body: Reason{Reason: "for another reason"}}, 409).problem()
	if p.State != "suspended" {
		s.t.Errorf("suspended for another reason: %+v", p)
	}
	do("/reinstatement")
	s.do(call{method: "POST", path: of + "/reinstatement", as: officer, body: Reason{Reason: "for another reason"}}, 409)
	do("/withdrawal")
	s.trail(of)
	s.notThere(officer)
}

// roadsOf: after the pass one knows what is next, and by whom it can be observed.
func (s *site) roadsOf(own string) {
	s.t.Helper()
	var roads Roads
	s.do(call{method: "GET", path: "/me/roads", as: own}, 200).into(&roads)
	if len(roads.Roads) != 2 {
		s.t.Fatalf("%d roads", len(roads.Roads))
	}
	for _, r := range roads.Roads {
		kinds := map[string]bool{}
		for _, n := range r.Standing.Next {
			kinds[n.Kind] = true
		}
		sat := r.Standing.Procedure == "aodd-air-side"
		if kinds["observed rebuild"] != sat || kinds["qualifying sitting"] == sat || r.InForce == "" || r.Standing.Cleared {
			s.t.Errorf("road: %+v", r)
		}
		if sat && !strings.Contains(r.Standing.Reason, "“") {
			s.t.Errorf("the prerequisite stands without its title: %s", r.Standing.Reason)
		}
	}
}

// one reads a register that has one line.
func (s *site) one(path string) Standing {
	s.t.Helper()
	var reg RegisterPart
	s.do(call{method: "GET", path: path, as: s.token[api.SafetyOfficer]}, 200).into(&reg)
	if len(reg.Standings) != 1 || reg.Total != 1 {
		s.t.Fatalf("%s: %d lines of %d", path, len(reg.Standings), reg.Total)
	}
	return reg.Standings[0]
}

// trail reads the way of one person, which that person may read too.
func (s *site) trail(of string) {
	s.t.Helper()
	var v PersonTrail
	s.do(call{method: "GET", path: of, as: s.token[api.Technician]}, 200).into(&v)
	kinds := ""
	for _, a := range v.Acts {
		if kinds += a.Kind + ", "; a.Kind == "sitting marked" && (!a.Struck || a.Note != "withdrawn" || a.Sitting == "") {
			s.t.Errorf("a sitting before the withdrawal: %+v", a)
		}
	}
	if !strings.HasSuffix(kinds, "suspended, reinstated, withdrawn, ") || !strings.Contains(kinds, "sitting marked, ") || v.Standing.State != "withdrawn" || v.Rests.Sitting != "" {
		s.t.Errorf("the trail: %s; %+v", kinds, v.Standing)
	}
	for _, path := range []string{"/register/cover", "/register/lapsing", "/register/signers/aodd-air-side", "/register?from=2&limit=1", of + "?known=now"} {
		s.do(call{method: "GET", path: path, as: s.token[api.Trainer]}, 200)
	}
}

// notThere asks about who and what is not there, and for what cannot be read.
func (s *site) notThere(officer string) {
	s.t.Helper()
	tech := "/people/" + s.person[api.Technician].ID
	s.do(call{method: "GET", path: "/people/nobody" + pumpStanding, as: officer}, 404)
	s.do(call{method: "GET", path: tech + "/standings/nosuch", as: officer}, 404)
	s.do(call{method: "GET", path: "/register/signers/nosuch", as: officer}, 404)
	for _, what := range []string{"/suspension", "/reinstatement", "/withdrawal"} {
		s.do(call{method: "POST", path: tech + "/standings/nosuch" + what, as: officer, body: Reason{Reason: "a cap was found loose"}}, 404)
	}
	s.do(call{method: "POST", path: tech + "/standings/energy-isolation/withdrawal", as: officer, body: Reason{Reason: "a cap was found loose"}}, 409)
	for path, field := range map[string]string{"/register?on=soon": "on", "/register?known=then": "known", "/register?state=lost": "state", "/register?from=0": "from", "/register?limit=9999": "limit",
		"/register/cover?on=2026-02-30": "on", "/register/lapsing?days=-1": "days", "/register/signers/aodd-air-side?limit=x": "limit", tech + pumpStanding + "?on=x": "on"} {
		s.named(call{method: http.MethodGet, path: path, as: officer, bad: true}, wrongField{status: 422, fields: field})
	}
}
