package api

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// EvidenceRebuild is an observed rebuild with its hold points and signatures.
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
	InTolerance   bool                `json:"in_tolerance"`
	InCalibration bool                `json:"in_calibration"`
	Digest        string              `json:"digest"`          // SHA-256 of the sheet, hex: what was signed
	Sheet         string              `json:"sheet,omitempty"` // as it was shown for signing: hold points, readings, wrenches
	Counts        bool                `json:"counts"`
	Reason        string              `json:"reason,omitempty"` // why it does not
	Carries       bool                `json:"carries,omitempty"`
	Signatures    []EvidenceSignature `json:"signatures"`
}

// EvidenceHold is a hold point as it was observed.
type EvidenceHold struct {
	Step      string            `json:"step"`
	Text      string            `json:"text"`
	Outcome   clearance.Outcome `json:"outcome"`
	Critical  bool              `json:"critical,omitempty"`
	Condition string            `json:"condition,omitempty"` // why it did not apply
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
		InTolerance: a.InTolerance, InCalibration: a.InCalibration, Digest: a.Digest, Signatures: []EvidenceSignature{},
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
	if out.Sheet, err = g.filled(a.Rebuild); err != nil {
		return err
	}
	if out.Signatures, err = g.signatures(a.Rebuild); err != nil {
		return err
	}
	g.note(h.entry(), "the observed rebuild")
	for _, s := range out.Signatures {
		g.note(s.Entry, "the signature “"+string(s.Meaning)+"”")
	}
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

// filled is the sheet of a rebuild as it was shown for signing.
func (g *gatherer) filled(rebuild string) (string, error) {
	b, err := g.r.Rebuild(g.ctx, rebuild)
	if err != nil && !errors.Is(err, ErrNone) {
		return "", fmt.Errorf("read the sheet of %s: %w", rebuild, err)
	}
	return string(b.Sheet), nil
}

// signatures are those under a rebuild, in the order in which they were given,
// with names and roles as they were printed then.
func (g *gatherer) signatures(rebuild string) ([]EvidenceSignature, error) {
	given, err := g.r.Signatures(g.ctx, clearance.CoversRebuild, rebuild)
	if err != nil {
		return nil, fmt.Errorf("read the signatures under %s: %w", rebuild, err)
	}
	out := []EvidenceSignature{}
	for _, h := range g.own {
		a, ok := h.event.Act.(clearance.Signed)
		if !ok || a.Covers.Kind != clearance.CoversRebuild || a.Covers.ID != rebuild {
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
		out = append(out, s)
	}
	return out, nil
}
