package v1

import (
	"maps"
	"net/url"
	"time"

	"soloright/api"
)

var cupSeal = Withdraw{Fact: "facing/rod-cup-seal", Model: "pick-the-facing", Reason: "Two of its options are right."}

func subject(w Withdraw) string {
	return "?" + url.Values{"fact": {string(w.Fact)}, "model": {w.Model}}.Encode()
}

func remarkWith(w Withdraw, digest string) RemarkCommand {
	return RemarkCommand{Fact: w.Fact, Model: w.Model, Item: w.Item, Revision: w.Revision, Digest: digest, Reason: w.Reason}
}

// healthSamples are requests about items that are right but for who sends them.
func (s *site) healthSamples() map[string]call {
	return map[string]call{
		"itemsHealth":     {path: ofPump + "/health?from=1"},
		"analyseItems":    {path: ofPump + "/health/analysis"},
		"itemHealth":      {path: ofPump + "/health/item" + subject(cupSeal)},
		"itemWithdrawals": {path: ofPump + "/withdrawals"},
		"withdrawItem":    {path: ofPump + "/withdrawals", body: cupSeal},
		"takeUpItem":      {path: ofPump + "/withdrawals/end", body: cupSeal},
		"previewRemark":   {path: ofPump + "/re-marking" + subject(cupSeal)},
		"remark":          {path: ofPump + "/re-marking", body: remarkWith(cupSeal, "x")},
	}
}

func init() {
	maps.Copy(mayNot, map[string]api.Role{"itemsHealth": api.SafetyOfficer, "analyseItems": api.SafetyOfficer, "itemHealth": api.Technician, "itemWithdrawals": api.Technician,
		"withdrawItem": api.SafetyOfficer, "takeUpItem": api.SafetyOfficer, "previewRemark": api.Trainer, "remark": api.Trainer})
}

// judge walks over the items: the analysis, a withdrawal, who would change, and
// marking again.
func (s *site) judge() {
	s.refreshTokens()
	trainer, officer := s.token[api.Trainer], s.token[api.SafetyOfficer]
	p := s.add("pat", api.Technician)
	as := s.signIn(p.SignIn)
	sat := s.open(as, api.Qualifying)
	it := s.form(sat.ID).Items[len(s.form(sat.ID).Items)-1]
	for i, it := range s.form(sat.ID).Items {
		if _, err := s.app.SaveAnswer(s.t.Context(), api.Bearer(as), api.SaveAnswer{Sitting: sat.ID, Sheet: i + 1, Revision: 1, Answer: s.right(it)}); err != nil {
			s.t.Fatal(err)
		}
	}
	s.handIn(as, sat.ID)
	bad := Withdraw{Fact: it.Lead, Model: it.Model, Reason: cupSeal.Reason}
	s.analysed(trainer, bad)
	s.withdrawal(trainer, officer, bad)
	s.wait(2 * time.Hour)
	s.refreshTokens()
	s.markedAgain(s.token[api.SafetyOfficer], bad, sat.ID)
	s.do(call{method: "POST", path: ofPump + "/withdrawals/end", as: s.token[api.Trainer], body: bad}, 201)
	s.do(call{method: "POST", path: ofPump + "/withdrawals/end", as: s.token[api.Trainer], body: bad}, 409)
	s.itemsNotThere(s.token[api.Trainer], s.token[api.SafetyOfficer], bad)
}

// analysed waits for the analysis that the first request starts.
func (s *site) analysed(trainer string, bad Withdraw) {
	s.do(call{method: "POST", path: ofPump + "/health/analysis", as: trainer}, 202)
	var all ItemsHealth
	for range 400 {
		s.do(call{method: "GET", path: ofPump + "/health?limit=1000", as: trainer}, 200).into(&all)
		if all.AsOf != nil && !all.Stale && all.Progress == nil {
			break
		}
		if all.Stale && all.Progress == nil {
			s.wait(time.Minute)
		}
		time.Sleep(5 * time.Millisecond)
	}
	if all.AsOf == nil || all.People == 0 || len(all.Items) != all.Total || all.Total == 0 || all.Phi == nil {
		s.t.Fatalf("the items: %d of %d, as of %+v", len(all.Items), all.Total, all.AsOf)
	}
	var one ItemHealth
	s.do(call{method: "GET", path: ofPump + "/health/item" + subject(bad), as: trainer}, 200).into(&one)
	if one.Fact.ID != bad.Fact || len(one.Lines) == 0 || len(one.Items) == 0 || one.Items[0].Stem == "" || one.Lines[0].Difficulty.N == 0 {
		s.t.Errorf("the item: %+v", one)
	}
}

func (s *site) withdrawal(trainer, officer string, bad Withdraw) {
	s.do(call{method: "GET", path: ofPump + "/re-marking" + subject(bad), as: officer}, 409)
	var w api.Withdrawal
	s.do(call{method: "POST", path: ofPump + "/withdrawals", as: trainer, body: bad}, 201).into(&w)
	if w.N != 1 || !w.Withdrawn || w.Fact != bad.Fact || w.By != s.person[api.Trainer].ID {
		s.t.Errorf("the withdrawal: %+v", w)
	}
	s.do(call{method: "POST", path: ofPump + "/withdrawals", as: trainer, body: bad}, 409)
	var all ItemWithdrawals
	s.do(call{method: "GET", path: ofPump + "/withdrawals", as: officer}, 200).into(&all)
	if len(all.Withdrawals) != 1 || all.Withdrawals[0].Reason != bad.Reason {
		s.t.Errorf("what is withdrawn: %+v", all)
	}
}

func (s *site) markedAgain(officer string, bad Withdraw, sitting string) {
	var plan, done Remark
	s.do(call{method: "GET", path: ofPump + "/re-marking" + subject(bad), as: officer}, 200).into(&plan)
	found := false
	for _, c := range plan.Changes {
		found = found || c.Sitting == sitting && c.Name != "" && len(c.Left) == 1
	}
	if !found {
		s.t.Fatalf("who would change: %+v", plan)
	}
	cmd := remarkWith(bad, plan.Digest)
	stale := cmd
	stale.Digest = "another"
	s.do(call{method: "POST", path: ofPump + "/re-marking", as: officer, body: stale}, 409)
	s.do(call{method: "POST", path: ofPump + "/re-marking", as: officer, body: cmd}, 200).into(&done)
	if len(done.Changes) != len(plan.Changes) || done.Digest != plan.Digest {
		s.t.Errorf("done: %+v", done)
	}
}

func (s *site) itemsNotThere(trainer, officer string, bad Withdraw) {
	none := "/procedures/none"
	s.do(call{method: "GET", path: none + "/health", as: trainer}, 404)
	s.do(call{method: "GET", path: none + "/health/item" + subject(bad), as: trainer}, 404)
	s.do(call{method: "GET", path: none + "/withdrawals", as: trainer}, 404)
	s.do(call{method: "POST", path: none + "/withdrawals", as: trainer, body: bad}, 404)
	s.do(call{method: "POST", path: none + "/withdrawals/end", as: trainer, body: bad}, 404)
	s.do(call{method: "GET", path: none + "/re-marking" + subject(bad), as: officer}, 404)
	s.do(call{method: "POST", path: none + "/re-marking", as: officer, body: remarkWith(bad, "x")}, 404)
	s.do(call{method: "GET", path: ofPump + "/health?from=0", as: trainer, bad: true}, 422)
	s.do(call{method: "GET", path: ofPump + "/re-marking", as: officer, bad: true}, 422)
	short := bad
	short.Reason = "short"
	s.do(call{method: "POST", path: ofPump + "/withdrawals", as: trainer, body: short, bad: true}, 422)
	s.do(call{method: "POST", path: ofPump + "/withdrawals/end", as: trainer, body: short, bad: true}, 422)
	s.do(call{method: "POST", path: ofPump + "/re-marking", as: officer, body: remarkWith(short, "x"), bad: true}, 422)
	trainer = s.signIn(s.add("teacher", api.Trainer).SignIn)
	own := s.open(trainer, api.Qualifying) // a closed book
	s.do(call{method: "GET", path: ofPump + "/health", as: trainer}, 409)
	s.do(call{method: "GET", path: ofPump + "/health/item" + subject(bad), as: trainer}, 409)
	s.handIn(trainer, own.ID)
}
