package api_test

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// A wrench that is found out names every rebuild since its last good calibration.
func TestAWrenchIsFoundOut(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	v, err := y.Wrench(t.Context(), y.officer, "TW-1")
	y.do(err)
	if len(v.Since) != 1 || v.Since[0].ID != f.ID || len(v.Doubts) != 0 || v.Fault != "" {
		t.Errorf("before: %+v", v)
	}
	y.wait(30 * 24 * time.Hour)
	y.officer, y.tech = y.role(api.SafetyOfficer), y.role(api.Technician)
	cmd := api.Calibrate{Wrench: "TW-1", Done: content.DateOf(y.now()), Certificate: "C 13"}
	first, err := y.Calibrate(t.Context(), y.officer, cmd)
	y.do(err)
	again, err := y.Calibrate(t.Context(), y.officer, cmd)
	if y.do(err); again != first || first.N != 2 || first.Due.String() != "2027-04-01" {
		t.Errorf("told twice: %+v %+v", first, again)
	}
	if v, err = y.Wrench(t.Context(), y.officer, "TW-1"); err != nil || len(v.Doubts) != 1 || len(v.Doubts[0].Rebuilds) != 1 || v.Doubts[0].Rebuilds[0].ID != f.ID || v.Doubts[0].From.String() != "2026-03-02" {
		t.Errorf("found out: %+v %v", v.Doubts, err)
	}
	if v, err = y.Wrench(t.Context(), y.as(y.add("else", api.Technician)), "TW-1"); err != nil || len(v.Doubts[0].Rebuilds) != 0 {
		t.Errorf("somebody else sees %+v %v", v.Doubts, err)
	}
	if v, err = y.Wrench(t.Context(), y.tech, "TW-1"); err != nil || len(v.Doubts[0].Rebuilds) != 1 {
		t.Errorf("the technician sees %+v %v", v.Doubts, err)
	}
	list, err := y.Wrenches(t.Context(), y.tech)
	if y.do(err); len(list) != 1 || list[0].Fault != "was found out of tolerance on 2026-04-01" {
		t.Errorf("the list: %+v", list)
	}
	for _, c := range []struct {
		cmd  api.Calibrate
		kind api.Kind
	}{
		{api.Calibrate{Wrench: "none", Done: cmd.Done, Certificate: "x"}, api.NotFound},
		{api.Calibrate{Wrench: "TW-1", Done: content.DateOf(y.now().AddDate(0, 0, 1)), Certificate: "x"}, api.Invalid},
		{api.Calibrate{Wrench: "TW-1", Done: cmd.Done, Due: content.DateOf(y.now().AddDate(0, 0, -1)), Certificate: "x"}, api.Invalid},
	} {
		_, err := y.Calibrate(t.Context(), y.officer, c.cmd)
		wantKind(t, err, c.kind)
	}
	for _, w := range []api.AddWrench{{ID: "a/b", Kind: api.SettingWrench}, {ID: "c", Kind: "spanner"}, {ID: "c", Kind: api.SettingWrench, Lowest: "5 N·m"}, {ID: "c", Kind: api.SettingWrench, Lowest: "5 N·m", Highest: "5 N·m"}} {
		_, err := y.AddWrench(t.Context(), y.officer, w)
		wantKind(t, err, api.Invalid)
	}
	_, err = y.AddWrench(t.Context(), y.officer, api.AddWrench{ID: "TW-1", Kind: api.IndicatingWrench})
	y.state(err, "taken")
	wantKind(t, func() error {
		_, err := y.AddWrench(t.Context(), y.tech, api.AddWrench{ID: "TW-7", Kind: api.SettingWrench})
		return err
	}(), api.Forbidden)
	y.sound()
}

// On a store that fails before and after the commit and runs everything again, what
// is told until it is acknowledged is on the record once.
func TestARebuildUnderAHostileStore(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { hostileRebuild(t, newYard(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { hostileRebuild(t, yardOn(newSiteAt(t, "", testenv.PostgreSQL(t)))) })
}

func hostileRebuild(t *testing.T, y *yard) {
	at := y.last()
	calm := y.App
	y.App = y.on(storetest.Hostile(y.store, 7))
	insist := func(f func() error) {
		t.Helper()
		for range 50 {
			err := f()
			if err == nil {
				return
			}
			if api.KindOf(err) != api.Unavailable {
				t.Fatal(err)
			}
		}
		t.Fatal("not in fifty tries")
	}
	var o api.OpenRebuild
	insist(func() (err error) {
		o, err = y.BeginRebuild(t.Context(), y.assessor, api.BeginRebuild{Technician: y.people[api.Technician].ID, Procedure: pump})
		return err
	})
	v, err := calm.Rebuild(t.Context(), y.assessor, o.ID)
	y.do(err)
	for i, place := range v.Plan.Places() {
		if e := v.Plan.Good(place, "TW-1"); !e.Empty() {
			insist(func() error { return y.save(o.ID, place, int64(i+1), e) })
		}
	}
	insist(func() error {
		return y.save(o.ID, rebuild.PlaceTimes, 1, rebuild.Entry{Started: y.at.Format(time.RFC3339), Ended: y.now().Format(time.RFC3339)})
	})
	v, err = calm.Rebuild(t.Context(), y.assessor, o.ID)
	y.do(err)
	if v.Record.Faults != 0 {
		t.Fatalf("what was acknowledged is not there: %s", v.Record.Fault())
	}
	var f api.FinishedRebuild
	insist(func() (err error) {
		f, err = y.FinishRebuild(t.Context(), y.assessor, api.FinishRebuild{Rebuild: o.ID, Digest: v.Digest})
		return err
	})
	insist(func() error { return y.sign(y.tech, f, clearance.Performed) })
	insist(func() error { return y.sign(y.assessor, f, clearance.Observed) })
	y.App = calm
	y.wantKinds(at, "rebuild finished, signed, signed")
	if got := y.reason(); !strings.HasPrefix(got, "cleared until") {
		t.Error(got)
	}
	y.sound()
}

// An exception is signed by its officer, with the password again, under what it says.
func TestAnExceptionIsSigned(t *testing.T) {
	y := newYard(t)
	trainer, tech := y.people[api.Trainer].ID, y.people[api.Technician].ID
	cmd := api.RecordException{Assessor: trainer, Technician: tech, Procedure: pump, Reason: "nobody else is  on site", Password: "not-the-password"}
	at := y.last()
	wantKind(t, y.RecordException(t.Context(), y.officer, cmd), api.Invalid)
	y.wantKinds(at, "")
	cmd.Password = password
	y.do(y.RecordException(t.Context(), y.officer, cmd))
	y.do(y.RecordException(t.Context(), y.officer, cmd))
	y.wantKinds(at, "exception granted, signed")
	signed := y.record(at)[1].Act.(clearance.Signed)
	const text = "soloright exception 1\nprocedure\taodd-air-side\nassessor\t%s\ntechnician\t%s\nreason\tnobody else is on site\n"
	if want := fmt.Sprintf("%x", sha256.Sum256(fmt.Appendf(nil, text, trainer, tech))); signed.Covers.Digest != want || signed.Meaning != clearance.Exception || signed.Signer != y.people[api.SafetyOfficer].ID {
		t.Errorf("signed: %+v, want the digest %s", signed, want)
	}
	y.sound()
}
