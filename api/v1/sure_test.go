package v1

import (
	"math"

	"soloright/api"
)

func (s *site) sureSamples(sitting string) map[string]call {
	return map[string]call{
		"risk":     {path: "/sittings/" + sitting + "/risk"},
		"mastery":  {path: "/sittings/" + sitting + "/mastery"},
		"sureness": {path: "/procedures/aodd-air-side/sureness"},
		"planTest": {path: "/test-plans", body: api.PlanLength{Weak: .7, FalsePass: .05, Strong: .9, FalseFail: .1, Tries: 2}},
	}
}

func init() {
	for _, id := range []string{"risk", "sureness", "planTest"} {
		mayNot[id] = api.Technician
	}
	mayNot["mastery"] = api.Administrator
	wrongFields = append(wrongFields, wrongField{"planTest", `{"weak":0.7,"false_pass":0.05,"strong":1.9,"false_fail":0.1,"tries":2}`, 422, "strong"},
		wrongField{"planTest", `{"weak":0.9,"false_pass":0.05,"strong":0.7,"false_fail":0.1,"tries":2}`, 422, "weak"})
}

// sure asks how sure the results are.
func (s *site) sure(passed Sitting, practice string) {
	trainer, own := s.token[api.Trainer], s.token[api.Technician]
	var r Risk
	s.do(call{method: "GET", path: "/sittings/" + passed.ID + "/risk", as: trainer}, 200).into(&r)
	if r.Of != passed.Items || r.Right < r.Of-1 || r.ByCrew != nil || r.WithoutCrew == "" || r.Below != r.Alone.Below || r.Below > .05 {
		s.t.Errorf("the risk of a sitting with next to all right: %+v", r)
	}
	s.do(call{method: "GET", path: "/sittings/" + practice + "/risk", as: trainer}, 409)
	s.do(call{method: "GET", path: "/sittings/none/risk", as: trainer}, 404)
	var m Mastery
	s.do(call{method: "GET", path: "/sittings/" + practice + "/mastery", as: own}, 200).into(&m)
	if m.Verdict == "" || m.Right > m.Of || m.Low >= m.High {
		s.t.Errorf("mastery: %+v", m)
	}
	s.do(call{method: "GET", path: "/sittings/" + passed.ID + "/mastery", as: own}, 409)
	s.do(call{method: "GET", path: "/sittings/none/mastery", as: own}, 404)
	var f Sureness
	s.do(call{method: "GET", path: "/procedures/aodd-air-side/sureness", as: trainer}, 200).into(&f)
	if f.People != 1 || f.Phi.NotYet == "" || f.Items == 0 || f.Needed == 0 {
		s.t.Errorf("sureness of one person's try: %+v", f)
	}
	s.do(call{method: "GET", path: "/procedures/none/sureness", as: trainer}, 404)
	// measurement's own value for two tries: 40 sheets, 34 right.
	var p TestPlan
	s.do(call{method: "POST", path: "/test-plans", as: trainer, body: s.sureSamples("")["planTest"].body}, 200).into(&p)
	if p.Length != 40 || p.Cut != 34 || math.IsNaN(p.FalsePass) || p.FalsePass >= .05 || p.FalseFail >= .1 {
		s.t.Errorf("plan: %+v, want 40 sheets and 34 right", p)
	}
}
