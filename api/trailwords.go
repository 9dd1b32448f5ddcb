package api

import (
	"fmt"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// teller puts the acts of a trail into words, one after the other, and strikes
// out what an act takes back.
type teller struct {
	n   names
	f   *registerCache
	now time.Time
	out *TrailView
}

// tell adds an act.
func (t *teller) tell(e clearance.Event) {
	line := TrailAct{Entry: e.Seq - 1, At: e.At, By: t.n.person(e.By), Kind: e.Act.Kind()}
	switch act := e.Act.(type) {
	case clearance.SittingMarked:
		line.Sitting, line.Text = act.Sitting, "Qualifying sitting "+string(act.Verdict)+" on revision "+act.Revision
	case clearance.DeltaMarked:
		line.Sitting, line.Text = act.Sitting, "Delta sitting "+string(act.Verdict)+", from revision "+act.From+" to "+act.To
	case clearance.SittingRemarked:
		line.Sitting, line.Text, line.Note = act.Sitting, "Sitting marked again: "+string(act.Verdict), act.Reason
	case clearance.SittingVoided:
		t.strike(func(a TrailAct) bool { return a.Sitting == act.Sitting }, "void")
		line.Text, line.Note = "Sitting struck out", act.Reason
	case clearance.RemovedRead:
		line.Text = fmt.Sprintf("Read and signed for what revision %s no longer states: %s", act.Revision, several(len(act.Facts), "fact"))
	case clearance.ChangedRead:
		line.Text = fmt.Sprintf("Read and signed for what revision %s changed and no question asks: %s", act.Revision, several(len(act.Facts), "fact"))
	case clearance.RebuildFinished:
		t.rebuild(&line, act)
	case clearance.RebuildVoided:
		t.strike(func(a TrailAct) bool { return a.Rebuild == act.Rebuild }, "void")
		line.Text, line.Note = "Observed rebuild struck out", act.Reason
	case clearance.Signed:
		if act.Covers.Kind == clearance.CoversRebuild {
			line.Rebuild = act.Covers.ID
		}
		line.Text = "Signed as " + string(act.Meaning) + " by " + t.n.person(act.Signer) + ", " + act.Role
	default:
		t.tellOffice(&line, e.Act)
	}
	t.out.Acts = append(t.out.Acts, line)
}

// rebuild tells of an observed rebuild; one that does not count says why.
func (t *teller) rebuild(line *TrailAct, act clearance.RebuildFinished) {
	line.Rebuild = act.Rebuild
	kind := "Observed rebuild"
	if act.Partial {
		kind = "Hold points observed again"
	}
	line.Text = fmt.Sprintf("%s on revision %s, assessor %s: %s, %s", kind, act.Revision, t.n.person(act.Assessor), several(len(act.Holds), "hold point"), outcomes(act.Holds))
	b, ok := t.f.reg.Rebuild(act.Rebuild, t.now)
	if ok && b.Reason != "" {
		line.Note = "does not count: " + b.Reason
	} else if ok && !act.Partial && !b.Follows {
		line.Note = "does not count: no sitting that stands carries it"
	}
}

// outcomes says whether every hold point was unaided.
func outcomes(holds []clearance.HoldRecord) string {
	unaided := 0
	for _, h := range holds {
		if h.Outcome == clearance.Unaided {
			unaided++
		}
	}
	if unaided == len(holds) {
		return "all unaided"
	}
	return fmt.Sprintf("%d unaided", unaided)
}

// tellOffice tells what an officer or a trainer did.
func (t *teller) tellOffice(line *TrailAct, act clearance.Act) {
	switch act := act.(type) {
	case clearance.Suspended:
		line.Text, line.Note, t.out.Last = "Suspended", act.Reason, act.Kind()
	case clearance.Reinstated:
		line.Text, line.Note, t.out.Last = "Reinstated", act.Reason, act.Kind()
	case clearance.Withdrawn:
		t.strike(func(a TrailAct) bool {
			return a.Sitting != "" || a.Rebuild != "" || a.Kind == clearance.RemovedRead{}.Kind() || a.Kind == clearance.ChangedRead{}.Kind()
		}, "withdrawn")
		line.Text, line.Note, t.out.Last = "Withdrawn: the road begins anew with a sitting", act.Reason, act.Kind()
	case clearance.TrainingGiven:
		line.Text = "Trained by " + t.n.person(act.Trainer) + " on " + act.Date.String()
		if line.Note = act.Verified; act.Verified != "" {
			line.Note = "verified by: " + act.Verified
		}
	case clearance.ExceptionGranted:
		line.Text, line.Note = "Exception: "+t.n.person(act.Assessor)+" may assess although he or she gave training", act.Reason
	case clearance.AssessorAppointed:
		line.Text, line.Note = "Appointed as assessor"+span(act.Revision, act.From, act.Until), act.Reason
	case clearance.AppointmentEnded:
		line.Text, line.Note = "Appointment as assessor ended", act.Reason
	default:
		t.tellProcedure(line, act)
	}
}

// tellProcedure tells what happened to the procedure or the account.
func (t *teller) tellProcedure(line *TrailAct, act clearance.Act) {
	switch act := act.(type) {
	case clearance.RevisionAdopted:
		line.Text = "Revision " + act.Revision + " adopted"
		line.Note = fmt.Sprintf("%s changed, %d removed, %s to be observed again", several(len(act.Changed), "fact"), len(act.Removed), several(len(act.Observe), "hold point"))
	case clearance.ProcedureWithdrawn:
		line.Text, line.Note = "The procedure was withdrawn", act.Reason
	case clearance.PolicySet:
		p := act.Policy
		line.Text = "The procedure’s policy was set"
		line.Note = fmt.Sprintf("cut %d %%, %s, %s of validity", int(p.Cut), several(p.Rebuilds, "observed rebuild"), several(p.Months, "month"))
		if act.Panel != "" {
			line.Note += "; the cut is that of a panel of trainers"
		}
	case clearance.PersonLeft:
		line.Text, line.Note = "Left", act.Reason
	case clearance.PersonBack:
		line.Text = "Is back"
	default:
		line.Text = string(act.Kind())
	}
}

// strike marks earlier acts as counting no more.
func (t *teller) strike(which func(TrailAct) bool, why string) {
	for i := range t.out.Acts {
		if a := &t.out.Acts[i]; !a.Struck && which(*a) {
			a.Struck = true
			if a.Note != "" {
				a.Note += "; "
			}
			a.Note += why
		}
	}
}

func span(revision string, from, until content.Date) string {
	text := " from " + from.String()
	if !until.IsZero() {
		text += " until " + until.String()
	}
	if revision != "" {
		text += " on revision " + revision
	}
	return text
}

// several counts things.
func several(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
