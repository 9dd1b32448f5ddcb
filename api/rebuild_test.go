package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// yard is a site on which the technician has passed the pump, the trainer is
// appointed to assess on it, and there is a good wrench.
type yard struct {
	*site
	tech, assessor, officer api.Caller
	at                      time.Time // of the hand-in
}

func newYard(t *testing.T) *yard { return yardOn(newSite(t)) }

func yardOn(s *site) *yard {
	s.t.Helper()
	s.lone("lone", false, nil)
	y := &yard{site: s, tech: s.role(api.Technician), assessor: s.role(api.Trainer), officer: s.role(api.SafetyOfficer)}
	_, err := s.AppointAssessor(s.t.Context(), y.officer, api.AppointAssessor{Assessor: s.people[api.Trainer].ID, Procedure: pump, Reason: "knows the pump from the maker’s school"})
	s.do(err)
	s.wait(time.Minute)
	y.at = s.passed(s.people[api.Technician]).HandIn.At
	y.wrench("TW-1", true, s.now())
	s.wait(time.Hour)
	return y
}

// wrench puts a wrench on the register, with a calibration.
func (y *yard) wrench(id string, good bool, done time.Time) {
	y.t.Helper()
	_, err := y.AddWrench(y.t.Context(), y.officer, api.AddWrench{ID: id, Kind: api.SettingWrench})
	y.do(err)
	_, err = y.Calibrate(y.t.Context(), y.officer, api.Calibrate{Wrench: id, Done: content.DateOf(done), Good: good, Certificate: "C 12"})
	y.do(err)
}

func (y *yard) begin() api.OpenRebuild {
	y.t.Helper()
	o, err := y.BeginRebuild(y.t.Context(), y.assessor, api.BeginRebuild{Technician: y.people[api.Technician].ID, Procedure: pump})
	y.do(err)
	return o
}

func (y *yard) view(c api.Caller, id string) api.RebuildView {
	y.t.Helper()
	v, err := y.Rebuild(y.t.Context(), c, id)
	y.do(err)
	return v
}

func (y *yard) save(id, place string, revision int64, e rebuild.Entry) error {
	_, err := y.SaveEntry(y.t.Context(), y.assessor, api.SaveEntry{Rebuild: id, Place: place, Revision: revision, Entry: e})
	return err
}

// fill writes what is wanted at every place, from an hour ago to now.
func (y *yard) fill(id string) {
	y.t.Helper()
	v := y.view(y.assessor, id)
	for _, place := range v.Plan.Places() {
		if e := v.Plan.Good(place, "TW-1"); !e.Empty() {
			y.do(y.save(id, place, 1, e))
		}
	}
	y.wait(time.Hour)
	y.do(y.save(id, rebuild.PlaceTimes, 1, rebuild.Entry{Started: y.now().Add(-time.Hour).Format(time.RFC3339), Ended: y.now().Format(time.RFC3339)}))
}

func (y *yard) finish(id string) (api.FinishedRebuild, error) {
	y.t.Helper()
	v := y.view(y.assessor, id)
	return y.FinishRebuild(y.t.Context(), y.assessor, api.FinishRebuild{Rebuild: id, Digest: v.Digest, Seen: v.Now})
}

// finished is a good sheet, finished.
func (y *yard) finished() api.FinishedRebuild {
	y.t.Helper()
	o := y.begin()
	y.fill(o.ID)
	f, err := y.finish(o.ID)
	y.do(err)
	y.wait(time.Minute)
	return f
}

func (y *yard) sign(c api.Caller, f api.FinishedRebuild, m clearance.Meaning) error {
	_, err := y.SignRebuild(y.t.Context(), c, api.SignRebuild{Rebuild: f.ID, Meaning: m, Digest: fmt.Sprintf("%x", f.Digest), Password: password})
	return err
}

func (y *yard) reason() string {
	y.t.Helper()
	return y.standing(y.people[api.Technician], content.DateOf(y.now())).Reason
}

// state is the state of a Conflict.
func (y *yard) state(err error, want string) {
	y.t.Helper()
	if e := wantKind(y.t, err, api.Conflict); e.State != want {
		y.t.Errorf("the state is %q (%s), want %q", e.State, e.Message, want)
	}
}

// From a passed sitting to a clearance, by the use cases alone.
func TestAnObservedRebuildClears(t *testing.T) {
	y := newYard(t)
	at := y.last()
	f := y.finished()
	if f.Fault != "" {
		t.Fatalf("a good sheet does not count: %s", f.Fault)
	}
	if got := y.reason(); got != "not cleared: technician’s signature outstanding" {
		t.Errorf("after the sheet: %s", got)
	}
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.wait(time.Minute)
	y.do(y.sign(y.assessor, f, clearance.Observed))
	if got := y.reason(); got != "cleared until 2027-03-02 on revision lone" {
		t.Errorf("after both signed: %s", got)
	}
	y.wantKinds(at, "rebuild finished, signed, signed")
	v := y.view(y.tech, f.ID)
	if len(v.Signatures) != 2 || v.Signatures[0].Name != y.people[api.Technician].Name || v.Signatures[1].Meaning != clearance.Observed || v.Signatures[1].Role != api.Trainer {
		t.Errorf("the signatures: %+v", v.Signatures)
	}
	if !v.Counts.Counts || !v.Counts.Ready || len(v.Mine) > 0 || !strings.HasSuffix(v.Text, "counts\tyes\n") {
		t.Errorf("the view: %+v %v", v.Counts, v.Mine)
	}
	y.sound()
}

// The whole road with an officer's approval, which the policy asks for.
func TestTheOfficerApproves(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.state(y.sign(y.officer, f, clearance.Approved), "assessor first")
	y.do(y.sign(y.assessor, f, clearance.Observed))
	y.state(y.sign(y.officer, f, clearance.Approved), "not asked")
	p := clearance.DefaultPolicy()
	p.Officer, p.Rebuilds = true, 2
	_, err := y.SetPolicy(t.Context(), y.officer, api.SetPolicy{Procedure: pump, Policy: p})
	y.do(err)
	y.do(y.Withdraw(t.Context(), y.officer, api.StandingCommand{Person: y.people[api.Technician].ID, Procedure: pump, Reason: "to begin the road anew"}))
	y.wait(48 * time.Hour)
	y.tech, y.assessor, y.officer = y.role(api.Technician), y.role(api.Trainer), y.role(api.SafetyOfficer)
	y.passed(y.people[api.Technician])
	y.wait(time.Hour)
	first := y.finished()
	y.do(y.sign(y.tech, first, clearance.Performed))
	y.do(y.sign(y.assessor, first, clearance.Observed))
	y.state(y.sign(y.officer, first, clearance.Approved), "not ready")
	second := y.finished()
	y.do(y.sign(y.tech, second, clearance.Performed))
	y.do(y.sign(y.assessor, second, clearance.Observed))
	all, err := y.Rebuilds(t.Context(), y.officer, true)
	y.do(err)
	if len(all.Finished) != 3 || all.Finished[0].Waits != string(api.SafetyOfficer) {
		t.Errorf("the officer’s list: %+v", all.Finished)
	}
	wantKind(t, y.sign(y.assessor, second, clearance.Approved), api.Forbidden)
	y.do(y.sign(y.officer, second, clearance.Approved))
	if got := y.reason(); !strings.HasPrefix(got, "cleared until") {
		t.Error(got)
	}
	y.state(y.sign(y.officer, first, clearance.Approved), "approved")
	y.sound()
}

// Order, person, digest, password: 21 CFR 11.50 and 11.200 (the table stands in the
// tests of package clearance).
func TestWhoSignsWhatWhen(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	y.state(y.sign(y.assessor, f, clearance.Observed), "technician first")
	wantKind(t, y.sign(y.assessor, f, clearance.Performed), api.Forbidden) // for another
	wantKind(t, y.sign(y.tech, f, clearance.Observed), api.Forbidden)      // for himself or herself
	wantKind(t, y.sign(y.officer, f, clearance.Performed), api.Forbidden)
	wantKind(t, y.sign(y.as(y.add("stranger", api.Technician)), f, clearance.Performed), api.NotFound)
	other := f
	other.Digest = slices.Clone(f.Digest)
	other.Digest[0] ^= 1
	y.state(y.sign(y.tech, other, clearance.Performed), "changed")
	_, err := y.SignRebuild(t.Context(), y.tech, api.SignRebuild{Rebuild: f.ID, Meaning: clearance.Exception, Digest: fmt.Sprintf("%x", f.Digest), Password: password})
	wantKind(t, err, api.Invalid)
	if n := len(y.view(y.tech, f.ID).Signatures); n != 0 {
		t.Errorf("%d signatures after refusals", n)
	}
	_, err = y.SignRebuild(t.Context(), y.tech, api.SignRebuild{Rebuild: f.ID, Meaning: clearance.Performed, Digest: fmt.Sprintf("%x", f.Digest), Password: "not-the-password"})
	wantKind(t, err, api.Invalid)
	if n := len(y.view(y.tech, f.ID).Signatures); n != 0 || y.refusals() != 1 {
		t.Errorf("after a wrong password: %d signatures, %d refusals", n, y.refusals())
	}
	y.do(y.sign(y.tech, f, clearance.Performed))
	first := y.view(y.tech, f.ID).Signatures
	at := len(y.entries())
	y.wait(time.Minute)
	y.do(y.sign(y.tech, f, clearance.Performed)) // told twice
	if again := y.view(y.tech, f.ID).Signatures; len(again) != 1 || again[0] != first[0] || len(y.entries()) != at {
		t.Errorf("a second signature for the same act: %+v, %d entries more", again, len(y.entries())-at)
	}
	y.sound()
}

// The assessor must be entitled when signing, too.
func TestTheAssessorMustBeEntitledWhenSigning(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.GiveTraining(t.Context(), y.assessor, api.GiveTraining{Technician: y.people[api.Technician].ID, Procedure: pump, Date: content.DateOf(y.now())}))
	y.state(y.sign(y.assessor, f, clearance.Observed), "may not assess")
	y.do(y.RecordException(t.Context(), y.officer, api.RecordException{Assessor: y.people[api.Trainer].ID, Technician: y.people[api.Technician].ID, Procedure: pump, Reason: "nobody else is on site", Password: password}))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	y.sound()
}

// Who cannot begin, and why.
func TestWhoMayBeObserved(t *testing.T) {
	y := newYard(t)
	begin := func(c api.Caller, technician string) error {
		_, err := y.BeginRebuild(t.Context(), c, api.BeginRebuild{Technician: technician, Procedure: pump})
		return err
	}
	tech := y.people[api.Technician].ID
	fresh := y.add("fresh", api.Technician)
	y.state(begin(y.assessor, fresh.ID), "no sitting")
	y.state(begin(y.tech, tech), "may not assess") // himself or herself
	y.state(begin(y.officer, tech), "may not assess")
	wantKind(t, begin(y.role(api.Administrator), tech), api.Forbidden)
	wantKind(t, begin(y.assessor, "nobody"), api.Invalid)
	_, err := y.BeginRebuild(t.Context(), y.assessor, api.BeginRebuild{Technician: tech, Procedure: pump, Build: "odd"})
	wantKind(t, err, api.Invalid)

	list, err := y.Observables(t.Context(), y.assessor)
	y.do(err)
	if len(list) != 1 || list[0].Technician.ID != tech || list[0].Procedure.ID != pump || list[0].Partial {
		t.Errorf("whom the assessor could observe: %+v", list)
	}
	o := y.begin()
	if again := y.begin(); again.ID != o.ID {
		t.Error("the open sheet was not returned")
	}
	if list, err = y.Observables(t.Context(), y.assessor); err != nil || len(list) != 0 {
		t.Errorf("somebody is observed already: %v %v", list, err)
	}
	_, err = y.AppointAssessor(t.Context(), y.role(api.SafetyOfficer), api.AppointAssessor{Assessor: fresh.ID, Procedure: pump, Reason: "knows the pump as well"})
	y.do(err)
	y.state(begin(y.as(fresh), tech), "open")
	y.do(y.Suspend(t.Context(), y.officer, api.StandingCommand{Person: tech, Procedure: pump, Reason: "worked without a lock"}))
	y.do(y.AbandonRebuild(t.Context(), y.assessor, api.AbandonRebuild{Rebuild: o.ID, Reason: "suspended in the meantime"}))
	y.state(begin(y.assessor, tech), "suspended")
	y.sound()
}

// Only the assessor writes; the technician looks; nobody else sees it.
func TestTheSheetIsKept(t *testing.T) {
	y := newYard(t)
	o := y.begin()
	entry := rebuild.Entry{Outcome: clearance.Prompted, Note: "  asked for the list "}
	y.do(y.save(o.ID, "hold.sort", 2, entry))
	k, err := y.SaveEntry(t.Context(), y.assessor, api.SaveEntry{Rebuild: o.ID, Place: "hold.sort", Revision: 1, Entry: rebuild.Entry{Outcome: clearance.Unaided}})
	y.do(err)
	if k.Applied || k.Revision != 2 || k.Line.Fault != "not unaided" {
		t.Errorf("a save that came late: %+v", k)
	}
	v := y.view(y.tech, o.ID)
	if v.Writes || v.Entries["hold.sort"].Outcome != clearance.Prompted || v.Revisions["hold.sort"] != 2 {
		t.Errorf("the technician sees %+v", v.Entries)
	}
	_, err = y.SaveEntry(t.Context(), y.tech, api.SaveEntry{Rebuild: o.ID, Place: "hold.sort", Revision: 9})
	wantKind(t, err, api.Forbidden)
	stranger := y.as(y.add("stranger", api.Technician))
	_, err = y.Rebuild(t.Context(), stranger, o.ID)
	wantKind(t, err, api.NotFound)
	_, err = y.SaveEntry(t.Context(), stranger, api.SaveEntry{Rebuild: o.ID, Place: "hold.sort", Revision: 9})
	wantKind(t, err, api.NotFound)
	wantKind(t, y.save(o.ID, "hold.gone", 1, entry), api.NotFound)
	if e := wantKind(t, y.save(o.ID, "joint.air-valve.1", 1, rebuild.Entry{Value: "5"}), api.Invalid); e.Fields[0].Field != "entry.value" {
		t.Errorf("the field: %+v", e.Fields)
	}
	wantKind(t, y.save(o.ID, rebuild.PlaceTimes, 1, rebuild.Entry{Started: y.now().Add(time.Second).Format(time.RFC3339Nano)}), api.Invalid)
	y.state(y.sign(y.tech, api.FinishedRebuild{OpenRebuild: o, Digest: make([]byte, 32)}, clearance.Performed), "open")
}

// What stops a sheet from being finished, and what does not.
func TestFinishing(t *testing.T) {
	y := newYard(t)
	o := y.begin()
	_, err := y.finish(o.ID)
	y.state(err, "incomplete")
	y.fill(o.ID)
	times := func(revision int64, started, ended time.Time) error {
		y.do(y.save(o.ID, rebuild.PlaceTimes, revision, rebuild.Entry{Started: started.Format(time.RFC3339Nano), Ended: ended.Format(time.RFC3339Nano)}))
		_, err := y.finish(o.ID)
		return err
	}
	y.state(times(2, y.at.Add(-time.Microsecond), y.now()), "times") // before the sitting
	y.state(times(3, y.now(), y.now().Add(-time.Minute)), "times")
	y.do(y.save(o.ID, rebuild.PlaceTimes, 4, rebuild.Entry{}))
	_, err = y.finish(o.ID)
	y.state(err, "no times")
	y.do(y.save(o.ID, rebuild.PlaceTimes, 5, rebuild.Entry{Started: y.at.Format(time.RFC3339Nano), Ended: y.now().Format(time.RFC3339Nano)}))

	shown := y.view(y.assessor, o.ID)
	y.wait(time.Second)
	y.do(y.save(o.ID, "hold.sort", 9, rebuild.Entry{Outcome: clearance.Prompted}))
	_, err = y.FinishRebuild(t.Context(), y.assessor, api.FinishRebuild{Rebuild: o.ID, Digest: shown.Digest, Seen: shown.Now})
	y.state(err, "changed")
	if e := wantKind(t, err, api.Conflict); !strings.Contains(e.Message, "The scrap bin counted against the parts list at 10:01:01") {
		t.Errorf("what changed: %s", e.Message)
	}
	_, err = y.FinishRebuild(t.Context(), y.tech, api.FinishRebuild{Rebuild: o.ID, Digest: shown.Digest})
	wantKind(t, err, api.Forbidden)
	f, err := y.finish(o.ID)
	y.do(err)
	if f.Fault != "The scrap bin counted against the parts list: not unaided" {
		t.Errorf("the fault: %q", f.Fault)
	}
	again, err := y.FinishRebuild(t.Context(), y.assessor, api.FinishRebuild{Rebuild: o.ID, Digest: fmt.Sprintf("%x", f.Digest)})
	if y.do(err); again.Finished != f.Finished {
		t.Error("finished twice is once")
	}
	y.state(y.save(o.ID, "hold.sort", 10, rebuild.Entry{}), "finished")

	// It can be signed as what it is, and counts nothing.
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	if got := y.reason(); got != "not cleared: one observed rebuild outstanding" {
		t.Errorf("a prompted rebuild: %s", got)
	}
	y.sound()
}

// A reading out of tolerance and a wrench out of calibration never count.
func TestNothingOutCountsAsGood(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(y *yard, id string)
		want string
	}{
		{"out of tolerance", func(y *yard, id string) {
			y.do(y.save(id, "joint.air-valve.2", 5, rebuild.Entry{As: rebuild.AsSet, Value: "6.06 N·m", Reached: true, Wrench: "TW-1"}))
		}, "6.06 N·m lies above 6.05 N·m"},
		{"a reading missing", func(y *yard, id string) { y.do(y.save(id, "joint.air-valve.2", 5, rebuild.Entry{})) }, "nothing is written"},
		{"out of calibration", func(y *yard, id string) {
			y.wrench("TW-2", true, y.now().AddDate(-2, 0, 0))
			y.do(y.save(id, "joint.air-valve.2", 5, rebuild.Entry{As: rebuild.AsSet, Value: "5.5 N·m", Reached: true, Wrench: "TW-2"}))
		}, "wrench TW-2 was out of calibration since 2025-03-02"},
		{"found out before it was finished", func(y *yard, id string) {
			_, err := y.Calibrate(y.t.Context(), y.officer, api.Calibrate{Wrench: "TW-1", Done: content.DateOf(y.now()), Certificate: "C 13"})
			y.do(err)
		}, "wrench TW-1 was found out of tolerance on 2026-03-02"},
	} {
		t.Run(c.name, func(t *testing.T) {
			y := newYard(t)
			o := y.begin()
			y.fill(o.ID)
			c.do(y, o.ID)
			f, err := y.finish(o.ID)
			y.do(err)
			if !strings.Contains(f.Fault, c.want) {
				t.Errorf("the fault is %q, want %q", f.Fault, c.want)
			}
			y.do(y.sign(y.tech, f, clearance.Performed))
			y.do(y.sign(y.assessor, f, clearance.Observed))
			if got := y.reason(); got != "not cleared: one observed rebuild outstanding" {
				t.Errorf("it counted: %s", got)
			}
		})
	}
}

// A struck-out rebuild ends the clearance; nobody strikes out one of their own.
func TestStrikingARebuildOut(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	cmd := api.VoidRebuildCommand{Rebuild: f.ID, Reason: "the wrench was found out"}
	wantKind(t, y.VoidRebuild(t.Context(), y.assessor, cmd), api.Forbidden)
	wantKind(t, y.VoidRebuild(t.Context(), y.officer, api.VoidRebuildCommand{Rebuild: "none", Reason: cmd.Reason}), api.NotFound)
	y.do(y.VoidRebuild(t.Context(), y.officer, cmd))
	y.state(y.VoidRebuild(t.Context(), y.officer, cmd), "struck out")
	if got := y.reason(); got != "not cleared: one observed rebuild outstanding" {
		t.Error(got)
	}
	v := y.view(y.tech, f.ID)
	if v.Rebuild.Reason != cmd.Reason || v.VoidedBy.ID != y.people[api.SafetyOfficer].ID || !v.Counts.Voided {
		t.Errorf("the view: %+v", v.Rebuild)
	}
	f = y.finished()
	y.do(y.VoidRebuild(t.Context(), y.officer, api.VoidRebuildCommand{Rebuild: f.ID, Reason: cmd.Reason}))
	y.state(y.sign(y.tech, f, clearance.Performed), "struck out")
	y.sound()
}

// What is given up stays on the record.
func TestGivingUp(t *testing.T) {
	y := newYard(t)
	o := y.begin()
	y.do(y.save(o.ID, "hold.sort", 1, rebuild.Entry{Outcome: clearance.Stopped}))
	cmd := api.AbandonRebuild{Rebuild: o.ID, Reason: "the shift ended early"}
	wantKind(t, y.AbandonRebuild(t.Context(), y.tech, cmd), api.Forbidden)
	y.do(y.AbandonRebuild(t.Context(), y.officer, cmd))
	wantKind(t, y.AbandonRebuild(t.Context(), y.assessor, cmd), api.NotFound)
	wantKind(t, y.save(o.ID, "hold.sort", 2, rebuild.Entry{}), api.NotFound)
	y.do(y.store.Read(t.Context(), func(r api.Reader) error {
		g, err := r.AbandonedRebuild(t.Context(), o.ID)
		if !strings.Contains(string(g.Entries), "hold.sort") || g.Reason != cmd.Reason {
			t.Errorf("kept: %+v", g)
		}
		return err
	}))
	y.sound()
}

// A revision that wants a hold point seen again gets a sheet of that one alone, and
// it frees whoever was held.
func TestAHoldPointIsObservedAgain(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	y.put(clearance.RevisionAdopted{Procedure: pump, Revision: "lone", Previous: "lone", Observe: []clearance.ObserveAgain{{Fact: "facing/rod-cup-seal", Hold: "rod-seals-in"}}})
	y.wait(time.Minute)
	if got := y.standing(y.people[api.Technician], content.Date{}); len(got.Observe) != 1 {
		t.Fatalf("nothing to be observed again: %+v", got)
	}
	list, err := y.Observables(t.Context(), y.assessor)
	if y.do(err); len(list) != 1 || !list[0].Partial {
		t.Errorf("to be observed: %+v", list)
	}
	o := y.begin()
	plan := y.view(y.assessor, o.ID).Plan
	if got := plan.Places(); len(got) != 3 || got[0] != "hold.rod-seals-in" {
		t.Errorf("the places: %q", got)
	}
	y.fill(o.ID)
	again, err := y.finish(o.ID)
	y.do(err)
	y.do(y.sign(y.tech, again, clearance.Performed))
	y.do(y.sign(y.assessor, again, clearance.Observed))
	if got := y.standing(y.people[api.Technician], content.Date{}); len(got.Observe) != 0 || got.State != clearance.Cleared {
		t.Errorf("after it was observed again: %+v", got)
	}
	y.sound()
}
