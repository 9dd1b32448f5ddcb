package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// EvidenceRebuild is an observed rebuild with its hold points, readings and
// signatures.
type EvidenceRebuild struct {
	ID            string              `json:"id"`
	Revision      string              `json:"revision"`
	Build         string              `json:"build,omitempty"`
	Assessor      EvidencePerson      `json:"assessor"`
	Started       time.Time           `json:"started"` // as stated
	Ended         time.Time           `json:"ended"`   // as stated
	Recorded      time.Time           `json:"recorded"`
	Partial       bool                `json:"partial,omitempty"`
	Holds         []EvidenceHold      `json:"holds"`
	Readings      []EvidenceReading   `json:"readings"`
	Wrenches      []EvidenceWrench    `json:"wrenches"`
	Remarks       string              `json:"remarks,omitempty"`
	InTolerance   bool                `json:"in_tolerance"`
	InCalibration bool                `json:"in_calibration"`
	Digest        string              `json:"digest"`          // SHA-256 of the sheet, hex: what was signed
	Sheet         string              `json:"sheet,omitempty"` // its canonical text, as it was shown for signing
	Counts        bool                `json:"counts"`
	Reason        string              `json:"reason,omitempty"` // why it does not
	Carries       bool                `json:"carries,omitempty"`
	Signatures    []EvidenceSignature `json:"signatures"`
	Void          *EvidenceVoid       `json:"void,omitempty"`
}

// EvidenceHold is a hold point as it was observed.
type EvidenceHold struct {
	Step      string            `json:"step"`
	Text      string            `json:"text"`
	Outcome   clearance.Outcome `json:"outcome"`
	Critical  bool              `json:"critical,omitempty"`
	Condition string            `json:"condition,omitempty"` // why it did not apply
	Kept      string            `json:"kept,omitempty"`      // when the server kept it, RFC 3339 in UTC
	Note      string            `json:"note,omitempty"`
}

// EvidenceReading is a fastener, a setting or a test as it was found.
type EvidenceReading struct {
	Step   int              `json:"step"` // its number on the sheet
	Kind   rebuild.LineKind `json:"kind"`
	What   string           `json:"what"`
	Wanted string           `json:"wanted"`
	Found  string           `json:"found,omitempty"`
	Wrench string           `json:"wrench,omitempty"`
	Kept   string           `json:"kept,omitempty"` // when the server kept it, RFC 3339 in UTC
	Note   string           `json:"note,omitempty"`
	Fault  string           `json:"fault,omitempty"`
}

// EvidenceWrench is a wrench that was used, with its calibration on the day.
type EvidenceWrench struct {
	ID          string       `json:"id"` // as engraved
	Done        content.Date `json:"done,omitzero"`
	Due         content.Date `json:"due,omitzero"`
	Certificate string       `json:"certificate,omitempty"`
	Fault       string       `json:"fault,omitempty"`
}

// EvidenceSignature is a signature: who signed, what it says, when, and under
// what (21 CFR 11.50).
type EvidenceSignature struct {
	Name    string            `json:"name"` // as printed
	Role    string            `json:"role"` // as printed
	Meaning clearance.Meaning `json:"meaning"`
	At      time.Time         `json:"at"`
	Digest  string            `json:"digest"` // of what was shown, hex
	Entry   int64             `json:"entry"`
}

// rebuilds takes every observed rebuild of the person on the procedure.
func (g *gatherer) rebuilds() error {
	for _, h := range g.own {
		a, ok := h.event.Act.(clearance.RebuildFinished)
		if !ok || a.Procedure != g.q.Procedure {
			continue
		}
		if err := g.rebuild(h, a); err != nil {
			return err
		}
	}
	return nil
}

func (g *gatherer) rebuild(h happened, a clearance.RebuildFinished) error {
	out := EvidenceRebuild{ID: a.Rebuild, Revision: a.Revision, Build: a.Build, Started: a.Started, Ended: a.Ended, Recorded: h.At, Partial: a.Partial,
		InTolerance: a.InTolerance, InCalibration: a.InCalibration, Digest: a.Digest, Readings: []EvidenceReading{}, Wrenches: []EvidenceWrench{},
		Carries: slices.Contains(g.ev.Trail.Rebuilds, a.Rebuild) || slices.Contains(g.ev.Trail.Again, a.Rebuild)}
	var err error
	if out.Assessor, err = g.who(a.Assessor); err != nil {
		return err
	}
	if out.Holds, err = g.holds(a); err != nil {
		return err
	}
	err = g.a.register.judge(g.ctx, g.r, func(f *registerCache) error {
		b, _ := f.reg.Rebuild(a.Rebuild, g.at)
		out.Counts, out.Reason = b.Counts, b.Reason
		return nil
	})
	if err != nil {
		return err
	}
	if err := g.filled(&out); err != nil {
		return err
	}
	if out.Signatures, err = g.signatures(clearance.CoversRebuild, a.Rebuild); err != nil {
		return err
	}
	g.note(h.entry(), "the observed rebuild")
	g.ev.Rebuilds = append(g.ev.Rebuilds, out)
	return g.entriesOf(a.Rebuild, "the observed rebuild and its signatures")
}

// holds are the hold points in the words of the revision.
func (g *gatherer) holds(a clearance.RebuildFinished) ([]EvidenceHold, error) {
	text := map[string]string{}
	p, err := g.a.content.whole(g.ctx, g.r, a.Procedure, a.Revision)
	if err != nil && KindOf(err) != NotFound {
		return nil, err
	}
	if err == nil {
		for _, s := range p.Steps {
			text[s.ID] = holdText(s)
		}
	}
	out := make([]EvidenceHold, len(a.Holds))
	for i, h := range a.Holds {
		out[i] = EvidenceHold{Step: h.Step, Text: text[h.Step], Outcome: h.Outcome, Critical: h.Critical, Condition: h.Condition}
	}
	return out, nil
}

// holdText says what is looked at.
func holdText(s content.Step) string {
	if s.Hold != nil && s.Hold.Look != "" {
		return s.Hold.Look
	}
	return s.Text
}

// filled adds what stands on the sheet of a rebuild, and whether it was struck out
// by then.
func (g *gatherer) filled(out *EvidenceRebuild) error {
	b, err := g.r.Rebuild(g.ctx, out.ID)
	if errors.Is(err, ErrNone) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read the sheet of %s: %w", out.ID, err)
	}
	if !b.Voided.IsZero() && !b.Voided.After(g.at) {
		by, err := g.who(b.VoidedBy)
		if err != nil {
			return err
		}
		out.Void = &EvidenceVoid{At: b.Voided, By: by, Reason: b.Reason}
	}
	var sheet rebuild.Record
	if err := json.Unmarshal(b.Record, &sheet); err != nil {
		return fmt.Errorf("decode the sheet of %s: %w", out.ID, err)
	}
	out.Sheet, out.Remarks = string(b.Sheet), sheet.Remarks
	for _, step := range sheet.Steps {
		for _, l := range step.Lines {
			out.line(step, l)
		}
	}
	for _, u := range sheet.Wrenches {
		out.Wrenches = append(out.Wrenches, EvidenceWrench{ID: u.ID, Done: u.Calibration.Done, Due: u.Calibration.Due, Certificate: u.Calibration.Certificate, Fault: u.Fault})
	}
	return nil
}

// line takes one line of a sheet: of a hold point when and with what note, else a
// reading.
func (e *EvidenceRebuild) line(step rebuild.Filled, l rebuild.Line) {
	if l.Kind != rebuild.LineHold {
		e.Readings = append(e.Readings, EvidenceReading{Step: step.N, Kind: l.Kind, What: l.What, Wanted: l.Wanted, Found: l.Found, Wrench: l.Wrench, Kept: l.Kept, Note: l.Note, Fault: l.Fault})
		return
	}
	for i := range e.Holds {
		if e.Holds[i].Step == step.Step {
			e.Holds[i].Text, e.Holds[i].Kept, e.Holds[i].Note = l.What, l.Kept, l.Note
		}
	}
}

// signatures are those under a thing, in the order in which they were given, with
// names and roles as they were printed then.
func (g *gatherer) signatures(kind, id string) ([]EvidenceSignature, error) {
	given, err := g.r.Signatures(g.ctx, kind, id)
	if err != nil {
		return nil, fmt.Errorf("read the signatures under %s: %w", id, err)
	}
	out := []EvidenceSignature{}
	for _, h := range g.own {
		a, ok := h.event.Act.(clearance.Signed)
		if !ok || a.Covers.Kind != kind || a.Covers.ID != id {
			continue
		}
		who, err := g.who(a.Signer)
		if err != nil {
			return nil, err
		}
		s := EvidenceSignature{Name: who.Name, Role: a.Role, Meaning: a.Meaning, At: h.At, Digest: a.Covers.Digest, Entry: h.entry()}
		for _, as := range given {
			if as.Signer == a.Signer && as.Meaning == a.Meaning {
				s.Name = as.Name
			}
		}
		g.note(s.Entry, "the signature “"+string(s.Meaning)+"”")
		out = append(out, s)
	}
	return out, nil
}
