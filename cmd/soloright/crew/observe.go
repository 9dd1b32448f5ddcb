package crew

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// The torque wrenches of the works. The second is found out of tolerance in the
// end: what was tightened with it is in doubt.
const (
	goodWrench = "TW-101"
	badWrench  = "TW-207"
)

// fitOut has the safety officer set up what signing takes: assessors, wrenches, and
// how often each kind of work comes up.
func (h *history) fitOut(ctx context.Context) error {
	officer := h.staff[api.SafetyOfficer]
	for _, work := range []struct {
		procedure string
		perYear   int
	}{{isolation, 24}, {pump, 96}, {flange, 24}, {seal, 12}} {
		for _, w := range []*worker{h.assessor, h.staff[api.Trainer]} {
			_, err := h.app.AppointAssessor(ctx, officer.as, api.AppointAssessor{Assessor: w.id, Procedure: work.procedure, Reason: "Has rebuilt these for years and knows the maker’s manual"})
			if err != nil {
				return err
			}
		}
		policy := clearance.DefaultPolicy()
		policy.TimesAYear = work.perYear
		if _, err := h.app.SetPolicy(ctx, officer.as, api.SetPolicy{Procedure: work.procedure, Policy: policy}); err != nil {
			return err
		}
	}
	for _, id := range []string{goodWrench, badWrench} {
		if _, err := h.app.AddWrench(ctx, officer.as, api.AddWrench{ID: id, Kind: api.SettingWrench}); err != nil {
			return err
		}
	}
	return h.calibrate(ctx)
}

// calibrate sends the wrenches out, and again every eleven months.
func (h *history) calibrate(ctx context.Context) error {
	for _, id := range []string{goodWrench, badWrench} {
		if err := h.calibrated(ctx, id, true); err != nil {
			return err
		}
	}
	h.in(335, 5, h.calibrate)
	return nil
}

func (h *history) calibrated(ctx context.Context, wrench string, good bool) error {
	day := dayOf(h.now, h.works.Zone)
	_, err := h.app.Calibrate(ctx, h.staff[api.SafetyOfficer].as, api.Calibrate{Wrench: wrench, Done: day, Good: good, Certificate: wrench + " of " + day.String()})
	return err
}

// observe plays an observed rebuild, with both signatures. Now and then the assessor
// has to prompt, and the rebuild does not count and is done again.
func (h *history) observe(ctx context.Context, w *worker, procedure string) error {
	if w.gone {
		return nil
	}
	prompted := w.mind.skill < 0.9 && h.rnd.IntN(4) == 0
	o, err := h.app.BeginRebuild(ctx, h.assessor.as, api.BeginRebuild{Technician: w.id, Procedure: procedure, Build: buildOf(procedure)})
	if api.KindOf(err) == api.Conflict {
		return nil // a revision came in between, or the technician is suspended
	}
	if err != nil {
		return fmt.Errorf("observe %s on %s: %w", w.SignIn, procedure, err)
	}
	begun := h.now
	h.now = h.now.Add(time.Duration(90+h.rnd.IntN(120)) * time.Minute)
	if err := h.fill(ctx, o.ID, begun, prompted); err != nil {
		return err
	}
	v, err := h.app.Rebuild(ctx, h.assessor.as, o.ID)
	if err != nil {
		return err
	}
	f, err := h.app.FinishRebuild(ctx, h.assessor.as, api.FinishRebuild{Rebuild: o.ID, Digest: v.Digest, Seen: v.Now})
	if err != nil {
		return err
	}
	if err := h.bothSign(ctx, w, f); err != nil || !prompted {
		return err
	}
	h.in(3, 4, func(ctx context.Context) error { return h.observe(ctx, w, procedure) })
	return nil
}

// fill writes what is wanted at every place; where the assessor prompts it is at the
// first hold point.
func (h *history) fill(ctx context.Context, id string, begun time.Time, prompted bool) error {
	v, err := h.app.Rebuild(ctx, h.assessor.as, id)
	if err != nil {
		return err
	}
	wrench := goodWrench
	if h.rnd.IntN(6) == 0 {
		wrench = badWrench
	}
	for _, place := range v.Plan.Places() {
		e := v.Plan.Good(place, wrench)
		switch {
		case place == rebuild.PlaceTimes:
			e = rebuild.Entry{Started: begun.UTC().Format(time.RFC3339), Ended: h.now.UTC().Format(time.RFC3339)}
		case prompted && e.Outcome == clearance.Unaided:
			e.Outcome, e.Note, prompted = clearance.Prompted, "Asked what comes next", false
		}
		if e.Empty() {
			continue
		}
		if _, err := h.app.SaveEntry(ctx, h.assessor.as, api.SaveEntry{Rebuild: id, Place: place, Revision: 1, Entry: e}); err != nil {
			return fmt.Errorf("write %s: %w", place, err)
		}
	}
	return nil
}

// bothSign signs for the technician and then for the assessor.
func (h *history) bothSign(ctx context.Context, w *worker, f api.FinishedRebuild) error {
	for _, s := range []struct {
		as      api.Caller
		meaning clearance.Meaning
	}{{w.as, clearance.Performed}, {h.assessor.as, clearance.Observed}} {
		h.now = h.now.Add(time.Duration(2+h.rnd.IntN(6)) * time.Minute)
		_, err := h.app.SignRebuild(ctx, s.as, api.SignRebuild{Rebuild: f.ID, Meaning: s.meaning, Digest: hex.EncodeToString(f.Digest), Password: "as was said at the bench"})
		if err != nil {
			return fmt.Errorf("sign: %w", err)
		}
	}
	return nil
}

// decide plays what the safety officer did of late: a wrench found out, somebody
// suspended, somebody suspended and reinstated, and somebody who left.
func (h *history) decide(ctx context.Context) error {
	officer := h.staff[api.SafetyOfficer]
	if err := h.calibrated(ctx, badWrench, false); err != nil {
		return err
	}
	for _, signIn := range []string{"pell", "tova"} {
		w, back := h.crew[signIn], signIn == "tova"
		if w == nil {
			continue
		}
		cmd := api.StandingCommand{Person: w.id, Procedure: w.Works[0], Reason: "Opened a joint before the gauge was read; to be talked through first"}
		if err := h.app.Suspend(ctx, officer.as, cmd); err != nil {
			return err
		}
		if back {
			cmd.Reason = "Talked through and shown at the bench"
			if err := h.app.Reinstate(ctx, officer.as, cmd); err != nil {
				return err
			}
		}
	}
	if w := h.crew["emil"]; w != nil {
		left := true
		_, err := h.app.ChangeAccount(ctx, api.Operator(), api.ChangeAccount{Person: w.id, Left: &left})
		w.gone = true
		return err
	}
	return nil
}

func buildOf(procedure string) string {
	if procedure == flange {
		return "b8"
	}
	return ""
}

func dayOf(t time.Time, zone *time.Location) content.Date { return content.DateOf(t.In(zone)) }
