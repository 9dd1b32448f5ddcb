package v1

import (
	"slices"
	"strings"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// rebuildSamples are requests about rebuilds that are right but for who sends them.
func (s *site) rebuildSamples() map[string]call {
	zeros := strings.Repeat("0", 64)
	return map[string]call{
		"rebuilds":       {path: "/rebuilds?of=all"},
		"observables":    {path: "/rebuilds/observable"},
		"beginRebuild":   {path: "/rebuilds", body: api.BeginRebuild{Technician: s.person[api.Technician].ID, Procedure: "aodd-air-side"}},
		"rebuild":        {path: "/rebuilds/r"},
		"saveEntry":      {path: "/rebuilds/r/entries/hold.isolate", body: api.SaveEntry{Revision: 1}},
		"finishRebuild":  {path: "/rebuilds/r/finish", body: api.FinishRebuild{Digest: zeros}},
		"abandonRebuild": {path: "/rebuilds/r/abandonment", body: api.AbandonRebuild{Reason: "a reason of some length"}},
		"signRebuild":    {path: "/rebuilds/r/signatures", body: api.SignRebuild{Meaning: clearance.Performed, Digest: zeros, Password: password}},
		"voidRebuild":    {path: "/rebuilds/r/void", body: api.VoidRebuildCommand{Reason: "a reason of some length"}},
		"wrenches":       {path: "/wrenches"},
		"addWrench":      {path: "/wrenches", body: api.AddWrench{ID: "TW-9", Kind: api.SettingWrench}},
		"wrench":         {path: "/wrenches/TW-9"},
		"calibrate":      {path: "/wrenches/TW-9/calibrations", body: api.Calibrate{Done: s.today(), Good: true, Certificate: "C 1"}},
	}
}

func init() {
	for _, id := range []string{"rebuilds", "observables", "beginRebuild", "rebuild", "saveEntry", "finishRebuild", "abandonRebuild", "signRebuild", "voidRebuild", "wrenches", "addWrench", "wrench", "calibrate"} {
		mayNot[id] = api.Administrator
	}
	zeros := `"` + strings.Repeat("0", 64) + `"`
	wrongFields = append(wrongFields,
		wrongField{"beginRebuild", `{"technician":"x"}`, 422, "procedure"},
		wrongField{"finishRebuild", `{"digest":"12"}`, 422, "digest"},
		wrongField{"abandonRebuild", `{"reason":"short"}`, 422, "reason"},
		wrongField{"voidRebuild", `{"reason":"short"}`, 422, "reason"},
		wrongField{"signRebuild", `{"meaning":"seen","digest":` + zeros + `,"password":"x"}`, 422, "meaning"},
		wrongField{"addWrench", `{"id":"a b","kind":"setting"}`, 422, "id"},
		wrongField{"calibrate", `{"done":"2999-01-01","good":true,"certificate":"x"}`, 422, "done"},
	)
}

func (s *site) today() content.Date { return content.DateOf(s.now()) }

// observe goes from a passed sitting over an observed rebuild to a clearance, with
// everything that stands in between.
func (s *site) observe() {
	tech := s.add("rebuilder", api.Technician)
	own, trainer, officer := s.signIn(tech.SignIn), s.token[api.Trainer], s.token[api.SafetyOfficer]
	sit := s.open(own, api.Qualifying)
	for i, it := range s.form(sit.ID).Items {
		s.save(own, sit.ID, i+1, 1, s.right(it))
	}
	s.handIn(own, sit.ID)
	s.result(own, sit.ID)
	begin := call{method: "POST", path: "/rebuilds", as: trainer, body: api.BeginRebuild{Technician: tech.ID, Procedure: "aodd-air-side"}}
	s.do(begin, 409) // neither cleared nor appointed
	_, err := s.app.AppointAssessor(s.t.Context(), api.Bearer(officer), api.AppointAssessor{Assessor: s.person[api.Trainer].ID, Procedure: "aodd-air-side", Reason: "knows the pump well"})
	if err != nil {
		s.t.Fatal(err)
	}
	s.wait(time.Minute)
	s.tools(officer)
	var could Observables
	s.do(call{method: "GET", path: "/rebuilds/observable", as: trainer}, 200).into(&could)
	if !slices.ContainsFunc(could.Observables, func(o Observable) bool { return o.Technician.ID == tech.ID && !o.Partial }) {
		s.t.Errorf("observable: %+v", could)
	}
	var r Rebuild
	a := s.do(begin, 201)
	a.into(&r)
	path := "/rebuilds/" + r.ID
	if !r.Open || a.header.Get("Location") != Prefix+path {
		s.t.Errorf("begun: %+v", r)
	}
	s.do(call{method: "POST", path: "/rebuilds", as: trainer, body: api.BeginRebuild{Technician: tech.ID, Procedure: "none"}}, 404)
	done := s.write(path, own)
	s.signed(path, done, own, tech)
	s.strikeRebuildOut(path, tech)
}

// tools puts wrenches on the register.
func (s *site) tools(officer string) {
	add := call{method: "POST", path: "/wrenches", as: officer, body: api.AddWrench{ID: "TW-1", Kind: api.SettingWrench, Lowest: "1 N·m", Highest: "400 N·m"}}
	s.do(add, 201)
	s.do(add, 201)
	add.body = api.AddWrench{ID: "TW-1", Kind: api.IndicatingWrench}
	s.do(add, 409)
	calibrate := call{method: "POST", path: "/wrenches/TW-1/calibrations", as: officer, body: api.Calibrate{Done: s.today(), Good: true, Certificate: "C 1"}}
	var k Calibration
	s.do(calibrate, 201).into(&k)
	calibrate.path = "/wrenches/TW-0/calibrations"
	s.do(calibrate, 404)
	s.do(call{method: "GET", path: "/wrenches/TW-0", as: officer}, 404)
	var all Wrenches
	s.do(call{method: "GET", path: "/wrenches", as: officer}, 200).into(&all)
	if len(all.Wrenches) != 1 || !all.Wrenches[0].Holds || all.Wrenches[0].Last == nil || *all.Wrenches[0].Last != k {
		s.t.Errorf("wrenches: %+v", all)
	}
}

// write fills the sheet as its assessor and finishes it.
func (s *site) write(path, own string) Rebuild {
	trainer := s.token[api.Trainer]
	var v RebuildView
	s.do(call{method: "GET", path: path, as: trainer}, 200).into(&v)
	if !v.Writes || len(v.Entries) < 20 || v.Sheet.Faults != len(v.Entries)-2 {
		s.t.Errorf("an empty sheet: writes %t, %d places, %d faults", v.Writes, len(v.Entries), v.Sheet.Faults)
	}
	s.do(call{method: "POST", path: path + "/finish", as: trainer, body: api.FinishRebuild{Digest: v.Digest, Seen: v.Now}}, 409) // no outcomes
	p, err := s.app.Rebuild(s.t.Context(), api.Bearer(trainer), strings.TrimPrefix(path, "/rebuilds/"))
	if err != nil {
		s.t.Fatal(err)
	}
	put := call{method: "PUT", as: trainer}
	for _, e := range v.Entries {
		put.path, put.body = path+"/entries/"+e.Place, api.SaveEntry{Revision: 1, Entry: p.Plan.Good(e.Place, "TW-1")}
		var k KeptPlace
		s.do(put, 200).into(&k)
		if !k.Applied || k.Fault != "" || k.Place != e.Place {
			s.t.Errorf("kept %+v", k)
		}
	}
	s.wait(time.Hour)
	put.path = path + "/entries/" + rebuild.PlaceTimes
	put.body = api.SaveEntry{Revision: 2, Entry: rebuild.Entry{Started: s.now().Add(-30 * time.Minute).Format(time.RFC3339), Ended: s.now().Format(time.RFC3339)}}
	s.do(put, 200)
	put.body = api.SaveEntry{Revision: 3, Entry: rebuild.Entry{Started: "this morning"}}
	if e := s.do(put, 422).problem().Errors; len(e) != 1 || e[0].Field != "entry.started" {
		s.t.Errorf("wrong times: %+v", e)
	}
	put.path = path + "/entries/hold.none"
	s.do(put, 404)
	put.as = own
	put.path = path + "/entries/" + rebuild.PlaceTimes
	s.do(put, 403)
	again := s.open(own, api.Qualifying) // the book is closed meanwhile
	s.do(call{method: "GET", path: path, as: own}, 409)
	s.handIn(own, again.ID)
	if err := s.app.VoidSitting(s.t.Context(), api.Bearer(s.token[api.SafetyOfficer]), api.VoidCommand{Sitting: again.ID, Reason: "opened to see the book closed"}); err != nil {
		s.t.Fatal(err)
	}
	s.do(call{method: "GET", path: path, as: trainer}, 200).into(&v)
	finish := call{method: "POST", path: path + "/finish", as: own, body: api.FinishRebuild{Digest: v.Digest, Seen: v.Now}}
	s.do(finish, 403)
	finish.as = trainer
	var done, twice Rebuild
	s.do(finish, 200).into(&done)
	s.do(finish, 200).into(&twice)
	if done.Open || done.Fault != "" || done.Finished == nil || !done.Finished.Equal(*twice.Finished) {
		s.t.Errorf("finished: %+v, twice %+v", done, twice)
	}
	put.as = trainer
	s.do(put, 409)
	finish.path = "/rebuilds/none/finish"
	s.do(finish, 404)
	return done
}

// signed has both sign, each at the right time, and sees what is refused.
func (s *site) signed(path string, done Rebuild, own string, tech Person) {
	trainer := s.token[api.Trainer]
	var v RebuildView
	s.do(call{method: "GET", path: path, as: own}, 200).into(&v)
	if !slices.Equal(v.MaySign, []clearance.Meaning{clearance.Performed}) || !strings.HasSuffix(v.Text, "counts\tyes\n") {
		s.t.Errorf("the technician may sign %v", v.MaySign)
	}
	sign := func(as string, m clearance.Meaning, digest, with string, want int) answer {
		s.t.Helper()
		return s.do(call{method: "POST", path: path + "/signatures", as: as, body: api.SignRebuild{Meaning: m, Digest: digest, Password: with}}, want)
	}
	sign(trainer, clearance.Observed, v.Digest, password, 409) // before the technician
	sign(trainer, clearance.Performed, v.Digest, password, 403)
	sign(own, clearance.Performed, strings.Repeat("0", 64), password, 409)
	for i := range 5 {
		if e := sign(own, clearance.Performed, v.Digest, password+"x", 422).problem().Errors; len(e) != 1 || e[0].Field != "password" {
			s.t.Errorf("wrong password %d: %+v", i, e)
		}
	}
	sign(own, clearance.Performed, v.Digest, password, 401) // the fifth ended the session
	own = s.signIn(tech.SignIn)
	sign(own, clearance.Performed, v.Digest, password, 429)
	s.exceptTooOften()
	s.wait(time.Hour)
	var first, twice Signature
	sign(own, clearance.Performed, v.Digest, password, 201).into(&first)
	sign(own, clearance.Performed, v.Digest, password, 201).into(&twice)
	if first != twice || first.Name != tech.Name || first.Digest != v.Digest || !first.At.Equal(s.now()) {
		s.t.Errorf("signed: %+v, twice %+v", first, twice)
	}
	sign(trainer, clearance.Observed, v.Digest, password, 201)
	s.do(call{method: "POST", path: "/rebuilds/none/signatures", as: own, body: api.SignRebuild{Meaning: clearance.Performed, Digest: v.Digest, Password: password}}, 404)
	var all Rebuilds
	s.do(call{method: "GET", path: "/rebuilds", as: own}, 200).into(&all)
	if len(all.Finished) != 1 || all.Finished[0].Waits != "" || all.Finished[0].Observed == nil {
		s.t.Errorf("own rebuilds: %+v", all)
	}
	s.do(call{method: "GET", path: "/rebuilds?of=all", as: own}, 403)
	s.do(call{method: "GET", path: "/rebuilds?of=mine", as: trainer}, 422)
	s.do(call{method: "GET", path: "/rebuilds?of=all", as: trainer}, 200)
}

// strikeRebuildOut: a wrench is found out, the rebuild is struck out, and the next
// sheet is given up.
func (s *site) strikeRebuildOut(path string, tech Person) {
	s.refreshTokens()
	trainer, officer := s.token[api.Trainer], s.token[api.SafetyOfficer]
	s.do(call{method: "POST", path: "/wrenches/TW-1/calibrations", as: officer, body: api.Calibrate{Done: s.today(), Certificate: "C 2"}}, 201)
	var w WrenchView
	s.do(call{method: "GET", path: "/wrenches/TW-1", as: officer}, 200).into(&w)
	if len(w.Doubts) != 1 || len(w.Doubts[0].Rebuilds) != 1 || "/rebuilds/"+w.Doubts[0].Rebuilds[0].ID != path || w.Wrench.Holds {
		s.t.Errorf("in doubt: %+v", w)
	}
	void := call{method: "POST", path: path + "/void", as: officer, body: api.VoidRebuildCommand{Reason: "the wrench was found out"}}
	s.do(void, 204)
	s.do(void, 409)
	void.path = "/rebuilds/none/void"
	s.do(void, 404)
	s.do(call{method: "GET", path: "/rebuilds/none", as: officer}, 404)
	var r Rebuild
	s.do(call{method: "POST", path: "/rebuilds", as: trainer, body: api.BeginRebuild{Technician: tech.ID, Procedure: "aodd-air-side"}}, 201).into(&r)
	give := call{method: "POST", path: "/rebuilds/" + r.ID + "/abandonment", as: trainer, body: api.AbandonRebuild{Reason: "the shift ended early"}}
	s.do(give, 204)
	s.do(give, 404)
	give.path = path + "/abandonment"
	s.do(give, 409) // finished
}

// exceptTooOften has an officer give the wrong password until nothing is signed any
// more; the exception asks for it as a rebuild does.
func (s *site) exceptTooOften() {
	p := s.add("hasty", api.SafetyOfficer)
	as := s.signIn(p.SignIn)
	c := call{method: "POST", path: "/exceptions", as: as, body: api.RecordException{Assessor: s.person[api.Trainer].ID, Technician: s.person[api.Technician].ID, Procedure: "aodd-air-side", Reason: "nobody else is here", Password: "not-the-password"}}
	for range 5 {
		s.do(c, 422)
	}
	c.as = s.signIn(p.SignIn)
	s.do(c, 429)
}
