package api

import (
	"fmt"
	"slices"
	"strings"

	"soloright/content"
	"soloright/scoring/clearance"
)

// others takes the acts that are neither a sitting nor a rebuild: facts read,
// trainings, exceptions, appointments of whoever assessed, and what was decided on
// the standing.
func (g *gatherer) others() error {
	for _, h := range g.own {
		if h.Procedure != g.q.Procedure && h.Procedure != "" {
			continue
		}
		if err := g.other(h); err != nil {
			return err
		}
	}
	for _, h := range g.proc {
		if a, ok := h.event.Act.(clearance.ProcedureWithdrawn); ok {
			if err := g.act(h, "The procedure was withdrawn: "+a.Reason); err != nil {
				return err
			}
		}
	}
	for _, r := range g.ev.Rebuilds {
		if err := g.appointments(r.Assessor); err != nil {
			return err
		}
	}
	slices.SortStableFunc(g.ev.Acts, func(a, b EvidenceAct) int { return int(a.Entry - b.Entry) })
	return nil
}

func (g *gatherer) other(h happened) error {
	switch a := h.event.Act.(type) {
	case clearance.RemovedRead:
		return g.reading(h, a, true)
	case clearance.ChangedRead:
		return g.reading(h, clearance.RemovedRead(a), false)
	case clearance.TrainingGiven:
		return g.training(h, a)
	case clearance.ExceptionGranted:
		return g.exception(h, a)
	case clearance.Suspended:
		return g.act(h, "Suspended: "+a.Reason)
	case clearance.Reinstated:
		return g.act(h, "Reinstated: "+a.Reason)
	case clearance.Withdrawn:
		return g.act(h, "Withdrawn: "+a.Reason)
	case clearance.PersonLeft:
		return g.act(h, "Left")
	case clearance.PersonBack:
		return g.act(h, "Came back")
	}
	return nil
}

// exception adds an exception with the signature under its text.
func (g *gatherer) exception(h happened, a clearance.ExceptionGranted) error {
	assessor, err := g.who(a.Assessor)
	if err != nil {
		return err
	}
	if err := g.act(h, assessor.Name+" may assess although he or she gave training: "+a.Reason); err != nil {
		return err
	}
	text := digest(ExceptionText(a))
	for _, next := range g.own {
		s, ok := next.event.Act.(clearance.Signed)
		if !ok || next.Seq < h.Seq || s.Covers.Kind != clearance.CoversException || s.Covers.Digest != text {
			continue
		}
		given, err := g.signatures(s.Covers.Kind, s.Covers.ID)
		if err != nil || len(given) == 0 {
			return err
		}
		g.ev.Acts[len(g.ev.Acts)-1].Signature = &given[0]
		return g.entriesOf(s.Covers.ID, "the exception")
	}
	return nil
}

func (g *gatherer) training(h happened, a clearance.TrainingGiven) error {
	trainer, err := g.who(a.Trainer)
	if err != nil {
		return err
	}
	what := "Trained by " + trainer.Name + " on " + a.Date.String()
	if a.Verified != "" {
		what += "; that it was understood was verified by: " + a.Verified
	}
	return g.act(h, what)
}

// reading adds facts that were read and signed for.
func (g *gatherer) reading(h happened, a clearance.RemovedRead, removed bool) error {
	out := EvidenceRead{ID: a.Reading, Removed: removed, Revision: a.Revision, At: h.At, Facts: a.Facts, Texts: g.textsOf(a.Facts), Shown: a.Shown, Digest: a.Digest, Entry: h.entry()}
	g.note(h.entry(), string(h.Kind))
	var err error
	if out.Signatures, err = g.signatures(clearance.CoversReading, a.Reading); err != nil {
		return err
	}
	g.ev.Read = append(g.ev.Read, out)
	if a.Reading == "" {
		return nil
	}
	return g.entriesOf(a.Reading, "facts read and signed for")
}

func (g *gatherer) textsOf(ids []content.FactID) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = g.texts[id].Text
	}
	return out
}

// appointments adds those of an assessor on the procedure, with their ends.
func (g *gatherer) appointments(assessor EvidencePerson) error {
	acts, err := g.acts(g.r.ActsOfPerson(g.ctx, assessor.ID))
	if err != nil {
		return err
	}
	for _, h := range acts {
		a, ok := h.event.Act.(clearance.AssessorAppointed)
		if !ok || a.Procedure != g.q.Procedure || g.has(h) {
			continue
		}
		if err := g.act(h, appointmentWords(assessor, a)); err != nil {
			return err
		}
		ends, err := g.acts(g.r.ActsAbout(g.ctx, a.Appointment))
		if err != nil {
			return err
		}
		for _, end := range ends {
			if e, ok := end.event.Act.(clearance.AppointmentEnded); ok {
				if err := g.act(end, "The appointment of "+assessor.Name+" as assessor ended: "+e.Reason); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func appointmentWords(assessor EvidencePerson, a clearance.AssessorAppointed) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s was appointed as assessor from %s", assessor.Name, a.From)
	if !a.Until.IsZero() {
		fmt.Fprintf(&b, " until %s", a.Until)
	}
	if a.Revision != "" {
		fmt.Fprintf(&b, " on revision %s", a.Revision)
	}
	if a.Reason != "" {
		fmt.Fprintf(&b, ": %s", a.Reason)
	}
	return b.String()
}

// has reports whether the act is in the evidence already.
func (g *gatherer) has(h happened) bool {
	return slices.ContainsFunc(g.ev.Acts, func(a EvidenceAct) bool { return a.Entry == h.entry() })
}

// act adds an act with the entry that attests it.
func (g *gatherer) act(h happened, what string) error {
	by, err := g.who(h.By)
	if err != nil {
		return err
	}
	g.note(h.entry(), string(h.Kind))
	g.ev.Acts = append(g.ev.Acts, EvidenceAct{At: h.At, Kind: h.Kind, What: strings.TrimSuffix(strings.TrimSpace(what), "."), By: by, Entry: h.entry()})
	return nil
}
