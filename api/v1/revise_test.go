package v1

import (
	"net/http"
	"regexp"
	"strings"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

const ofPump = "/procedures/aodd-air-side"

var someDay = content.DateOf(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC))

// reviseSamples are requests about revisions and assessing that are right but for
// who sends them.
func (s *site) reviseSamples() map[string]call {
	why, tech, trainer := "knows the pump from school", s.person[api.Technician].ID, s.person[api.Trainer].ID
	return map[string]call{
		"revisions":         {path: ofPump + "/revisions"},
		"revisionText":      {path: ofPump + "/revisions/Q/text"},
		"previewAdoption":   {path: ofPump + "/revisions/Q/adoption"},
		"adopt":             {path: ofPump + "/revisions/Q/adoption", body: Adopt{}},
		"withdrawProcedure": {path: ofPump + "/withdrawal", body: api.WithdrawProcedure{Reason: why}},
		"catchUp":           {path: ofPump + "/catch-up"},
		"signReading":       {path: ofPump + "/catch-up/signature", body: api.SignReading{Digest: strings.Repeat("0", 64), Facts: []content.FactID{"hazard/x"}, Password: password}},
		"policy":            {path: "/policy?procedure=aodd-air-side"},
		"setPolicy":         {path: "/policy", body: api.SetPolicy{Policy: clearance.DefaultPolicy()}},
		"trainings":         {path: "/trainings?limit=5"},
		"giveTraining":      {path: "/trainings", body: api.GiveTraining{Technician: tech, Procedure: "aodd-air-side", Date: someDay}},
		"appointments":      {path: "/appointments?procedure=aodd-air-side"},
		"appoint":           {path: "/appointments", body: api.AppointAssessor{Assessor: trainer, Procedure: "aodd-air-side", Reason: why}},
		"endAppointment":    {path: "/appointments/none/end", body: api.EndAppointment{Reason: why}},
		"exceptions":        {path: "/exceptions?procedure=aodd-air-side"},
		"except":            {path: "/exceptions", body: api.RecordException{Assessor: trainer, Technician: tech, Procedure: "aodd-air-side", Reason: why, Password: password}},
	}
}

func init() {
	for id, r := range map[string]api.Role{"revisionText": api.Technician, "previewAdoption": api.Technician, "adopt": api.Trainer, "withdrawProcedure": api.Trainer,
		"catchUp": api.Administrator, "signReading": api.Administrator, "setPolicy": api.Trainer, "trainings": api.Technician, "giveTraining": api.Technician,
		"appointments": api.Technician, "appoint": api.Trainer, "endAppointment": api.Trainer, "exceptions": api.Technician, "except": api.Trainer} {
		mayNot[id] = r
	}
	short := `{"reason":"short"}`
	wrongFields = append(wrongFields,
		wrongField{"adopt", `{"replaces":"` + strings.Repeat("x", 65) + `"}`, 422, "replaces"},
		wrongField{"adopt", `{"revision":"Q"}`, 422, "revision"},
		wrongField{"withdrawProcedure", short, 422, "reason"},
		wrongField{"endAppointment", short, 422, "reason"},
		wrongField{"signReading", `{"digest":"00","facts":["x"],"password":"y"}`, 422, "digest"},
		wrongField{"signReading", `{"digest":"00"}`, 422, "facts password"},
		wrongField{"giveTraining", `{"technician":"x","procedure":"y","date":"2026-02-30"}`, 422, "date"},
		wrongField{"giveTraining", `{"technician":"x","procedure":"y","date":""}`, 422, "date"},
		wrongField{"giveTraining", `{"technician":"x","procedure":"y","date":{}}`, 422, "date"},
		wrongField{"giveTraining", `{"technician":"x","procedure":"y"}`, 422, "date"},
		wrongField{"giveTraining", `{"technician":"x","procedure":"y","date":"2036-02-10"}`, 422, "date"},
		wrongField{"appoint", `{"assessor":"x","procedure":"y","reason":"long enough it is","until":"soon"}`, 422, "until"},
		wrongField{"appoint", `{"assessor":"x","procedure":"y","reason":"long enough it is","from":"2020-01-01"}`, 422, "from"},
		wrongField{"except", `{"assessor":"x","technician":"y","procedure":"z","reason":"short","password":"x"}`, 422, "reason"},
		wrongField{"setPolicy", `{"policy":{"cut":80}}`, 422, "policy.tries policy.wait_days policy.rebuilds policy.officer policy.months policy.notice_days policy.grace_days policy.training_window"},
		wrongField{"setPolicy", `{"policy":{"cut":10,"tries":0,"wait_days":1,"rebuilds":1,"officer":false,"months":12,"notice_days":1,"grace_days":1,"training_window":1,"observe_again":["paint"]}}`, 422, "policy.cut policy.tries policy.observe_again"})
}

var blowCleaning = regexp.MustCompile(`(?s)  - id: blow-cleaning\n.*?step: clean\n`)

// nextPump changes a torque, removes a hazard and changes a tool on which no model
// writes.
func (s *site) nextPump() string {
	text := strings.Replace(another(s.t, "aodd-air-side", "Q"), "torque: 28 N·m, tolerance: ±10 %", "torque: 30 N·m, tolerance: ±8 %", 1)
	text = strings.Replace(text, "tools: [ring-driver]", "tools: [seal-sleeve]", 1)
	return blowCleaning.ReplaceAllString(text, "")
}

// revise has somebody who passed caught out by a revision, read, sign, and sit the
// delta sitting.
func (s *site) revise() {
	s.refreshTokens()
	officer := s.token[api.SafetyOfficer]
	as := s.signIn(s.add("walker", api.Technician).SignIn)
	first := s.open(as, api.Qualifying)
	for i, it := range s.form(first.ID).Items {
		s.save(as, first.ID, i+1, 1, s.right(it))
	}
	s.handIn(as, first.ID)
	s.wait(time.Minute)
	s.importProcedure(api.Import{Name: "next", Source: []byte(s.nextPump())})
	var pre Adoption
	s.do(call{method: "GET", path: ofPump + "/revisions/Q/adoption", as: s.token[api.Trainer]}, 200).into(&pre)
	if len(pre.Changed) != 2 || len(pre.Removed) != 1 || len(pre.Touched) == 0 || pre.From != first.Revision || pre.Touched[0].Name == "" {
		s.t.Errorf("before it is adopted: %+v", pre)
	}
	adopt := call{method: "POST", path: ofPump + "/revisions/Q/adoption", as: officer, body: Adopt{Replaces: "never"}}
	s.do(adopt, 409)
	adopt.body = Adopt{Replaces: first.Revision}
	s.do(adopt, 200)
	s.do(adopt, 200)
	s.do(call{method: "GET", path: ofPump + "/revisions/" + first.Revision + "/adoption", as: officer}, 409) // it was in force before
	s.catchUpAndSit(as, first)
	s.forget()
	s.revisionsAreListed(officer, first.Revision)
	s.assessing(officer)
	s.notTherePlease(officer)
}

func (s *site) catchUpAndSit(as string, first Sitting) {
	s.t.Helper()
	var u CatchUp
	catchUp := call{method: "GET", path: ofPump + "/catch-up", as: as}
	s.do(catchUp, 200).into(&u)
	if u.From != first.Revision || u.To != "Q" || len(u.Asked) != 1 || len(u.Read) != 2 || u.MaySit || u.Digest == "" || !strings.Contains(u.Text, "stated no more: hazard/blow-cleaning") {
		s.t.Fatalf("to catch up: %+v", u)
	}
	delta := call{method: "POST", path: "/sittings", as: as, body: api.OpenSitting{Procedure: "aodd-air-side", Mode: api.DeltaSitting}}
	s.do(delta, 409)
	sign := api.SignReading{Digest: u.Digest, Password: password + "x"}
	for _, f := range u.Read {
		sign.Facts = append(sign.Facts, content.FactID(f.Fact))
	}
	c := call{method: "POST", path: ofPump + "/catch-up/signature", as: as, body: sign}
	s.named(c, wrongField{status: 422, fields: "password"})
	other := sign
	other.Password, other.Digest = password, strings.Repeat("0", 64)
	c.body = other
	s.do(c, 409)
	sign.Password = password
	c.body = sign
	s.do(c, 204)
	s.do(c, 204)
	s.do(catchUp, 200).into(&u)
	if len(u.Read) != 0 || !u.MaySit {
		s.t.Errorf("after the signature: %+v", u)
	}
	var sit Sitting
	s.do(delta, 201).into(&sit)
	if sit.Mode != api.DeltaSitting || sit.Revision != "Q" || sit.Items > 3 {
		s.t.Errorf("delta sitting: %+v", sit)
	}
	s.do(catchUp, 409)
	for i, it := range s.form(sit.ID).Items {
		s.save(as, sit.ID, i+1, 1, s.right(it))
	}
	if done := s.handIn(as, sit.ID); done.Verdict != string(scoring.Passed) {
		s.t.Errorf("handed in: %+v", done)
	}
	if r := s.result(as, sit.ID); r.Cut != 100 || len(r.Sheets) != 0 {
		s.t.Errorf("result: cut %d, %d sheets with keys", r.Cut, len(r.Sheets))
	}
	var end CatchUp
	s.do(catchUp, 200).into(&end)
	if len(end.Asked)+len(end.Read) != 0 || end.From != "" {
		s.t.Errorf("in the end: %+v", end)
	}
}

// forget: five wrong passwords, and nothing is signed for an hour.
func (s *site) forget() {
	s.t.Helper()
	who := s.add("forgetful", api.Technician).SignIn
	c := call{method: "POST", path: ofPump + "/catch-up/signature", as: s.signIn(who), body: api.SignReading{Digest: strings.Repeat("0", 64), Facts: []content.FactID{"x"}, Password: "wrong"}}
	for range 5 {
		s.do(c, 422)
	}
	c.as = s.signIn(who)
	s.do(c, 429)
}

func (s *site) revisionsAreListed(officer, before string) {
	s.t.Helper()
	var all Revisions
	list := call{method: "GET", path: ofPump + "/revisions", as: s.token[api.Technician]}
	s.do(list, 200).into(&all)
	if all.InForce != "Q" || len(all.Revisions) != 2 || all.Revisions[0].State != "in force" || all.Revisions[1].State != "replaced" || all.Revisions[1].Ended == nil || len(all.Revisions[0].Adopted) != 1 {
		s.t.Errorf("revisions: %+v", all)
	}
	var text RevisionText
	read := call{method: "GET", path: ofPump + "/revisions/Q/text", as: s.token[api.Trainer]}
	s.do(read, 200).into(&text)
	if text.Source != s.nextPump() || len(text.Digest) != 64 {
		s.t.Errorf("%d bytes of text, digest %s", len(text.Source), text.Digest)
	}
	open := s.open(s.token[api.Trainer], api.Qualifying)
	s.do(read, 409)
	s.handIn(s.token[api.Trainer], open.ID)

	withdraw := call{method: "POST", path: ofPump + "/withdrawal", as: officer, body: api.WithdrawProcedure{Reason: "the maker recalls it"}}
	s.do(withdraw, 204)
	s.do(withdraw, 204)
	withdraw.body = api.WithdrawProcedure{Reason: "for another reason"}
	s.do(withdraw, 409)
	all = Revisions{}
	s.do(list, 200).into(&all)
	if all.Withdrawn == nil || all.Withdrawn.Reason != "the maker recalls it" || all.InForce != "" {
		s.t.Errorf("withdrawn: %+v", all)
	}
	s.wait(time.Minute)
	s.do(call{method: "POST", path: ofPump + "/revisions/Q/adoption", as: officer, body: Adopt{}}, 200)
}

// assessing records training, appointments, exceptions and policies, and reads the lists.
func (s *site) assessing(officer string) {
	s.t.Helper()
	samples := s.reviseSamples()
	post := func(id, method string, want int) answer {
		s.t.Helper()
		c := samples[id]
		c.method, c.as = method, officer
		return s.do(c, want)
	}
	train := call{method: "POST", path: "/trainings", as: s.token[api.Trainer], body: api.GiveTraining{Technician: s.person[api.Technician].ID, Procedure: "aodd-air-side", Date: someDay, Verified: "questions"}}
	s.do(train, 204)
	s.do(train, 204)
	var made Appointed
	post("appoint", "POST", 201).into(&made)
	post("except", "POST", 204)
	end := call{method: "POST", path: "/appointments/" + made.ID + "/end", as: officer, body: api.EndAppointment{Reason: "back to the day shift"}}
	s.do(end, 204)
	end.body = api.EndAppointment{Reason: "for another reason"}
	s.do(end, 409)
	var trainings Trainings
	var appointments Appointments
	var exceptions Exceptions
	post("trainings", "GET", 200).into(&trainings)
	post("appointments", "GET", 200).into(&appointments)
	post("exceptions", "GET", 200).into(&exceptions)
	if t := trainings.Trainings; len(t) != 1 || t[0].Verified != "questions" || t[0].Trainer.ID != s.person[api.Trainer].ID || t[0].Procedure.Name == "" {
		s.t.Errorf("trainings: %+v", t)
	}
	if a := appointments.Appointments; len(a) != 1 || a[0].ID != made.ID || a[0].Holds || a[0].Ended == nil {
		s.t.Errorf("appointments: %+v", a)
	}
	if e := exceptions.Exceptions; len(e) != 1 || e[0].Reason == "" || e[0].Officer.ID != s.person[api.SafetyOfficer].ID {
		s.t.Errorf("exceptions: %+v", e)
	}
	var p PolicyInForce
	policy := clearance.DefaultPolicy()
	policy.Months, policy.ObserveAgain = 6, nil
	set := call{method: "PUT", path: "/policy", as: officer, body: api.SetPolicy{Procedure: "energy-isolation", Policy: policy}}
	s.do(set, 200).into(&p)
	if !p.Own || p.Policy.Months != 6 || len(p.History) != 1 || p.History[0].By != s.person[api.SafetyOfficer].Name {
		s.t.Errorf("policy: %+v", p)
	}
	s.do(call{method: "GET", path: "/policy", as: s.token[api.Technician]}, 200).into(&p)
	if p.Own || p.Policy.Months != clearance.DefaultPolicy().Months {
		s.t.Errorf("the site's: %+v", p)
	}
}

// notTherePlease asks about what is not there, and for whom who left.
func (s *site) notTherePlease(officer string) {
	s.t.Helper()
	left := true
	gone := s.add("gone-for-good", api.Technician)
	if _, err := s.app.ChangeAccount(s.t.Context(), api.Operator(), api.ChangeAccount{Person: gone.ID, Left: &left}); err != nil {
		s.t.Fatal(err)
	}
	for id, c := range s.reviseSamples() {
		for _, r := range routes {
			if r.id == id {
				c.method = r.method
			}
		}
		c.as = officer
		c.path = strings.Replace(c.path, "aodd-air-side", "nosuch", 1)
		goneToo := c
		switch b := c.body.(type) {
		case api.SetPolicy:
			b.Procedure = "nosuch"
			c.body = b
		case api.GiveTraining:
			b.Technician, goneToo.body = gone.ID, nil
			goneToo.body = b
			b.Technician, b.Procedure = s.person[api.Technician].ID, "nosuch"
			c.body = b
		case api.AppointAssessor:
			b.Assessor = gone.ID
			goneToo.body = b
			b.Assessor, b.Procedure = s.person[api.Trainer].ID, "nosuch"
			c.body = b
		case api.RecordException:
			b.Technician = gone.ID
			goneToo.body = b
			b.Technician, b.Procedure = s.person[api.Technician].ID, "nosuch"
			c.body = b
		}
		if strings.HasSuffix(id, "s") && id != "revisions" {
			continue // a list of nothing
		}
		s.do(c, http.StatusNotFound)
		if id == "giveTraining" || id == "appoint" || id == "except" {
			s.do(goneToo, http.StatusConflict)
		}
	}
	for _, path := range []string{"/trainings?limit=x", "/appointments?limit=1001", "/exceptions?before=-1"} {
		s.do(call{method: "GET", path: path, as: officer, bad: true}, 422)
	}
}
