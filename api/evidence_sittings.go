package api

import (
	"cmp"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// sittings takes every sitting that was handed in by then, but practice.
func (g *gatherer) sittings() error {
	all, err := g.r.Sittings(g.ctx, SittingFilter{Person: g.q.Person, Procedure: g.q.Procedure})
	if err != nil {
		return fmt.Errorf("read sittings: %w", err)
	}
	slices.Reverse(all) // oldest first
	for _, s := range all {
		if s.Mode == Practice || s.State == StateOpen || s.HandedIn.IsZero() || s.HandedIn.After(g.at) {
			continue
		}
		if err := g.sitting(s); err != nil {
			return fmt.Errorf("sitting %s: %w", s.ID, err)
		}
	}
	slices.SortStableFunc(g.ev.Sittings, func(a, b EvidenceSitting) int { return a.HandedIn.Compare(b.HandedIn) })
	return nil
}

func (g *gatherer) sitting(s Sitting) error {
	h, err := g.r.HandIn(g.ctx, s.ID)
	if err != nil {
		return fmt.Errorf("read its hand-in: %w", err)
	}
	rev, err := g.r.Revision(g.ctx, s.Procedure, s.Revision)
	if err != nil {
		return fmt.Errorf("read its revision: %w", err)
	}
	out := EvidenceSitting{ID: s.ID, Mode: s.Mode, Confirms: s.Confirms, Revision: s.Revision, Build: s.Build, Opened: s.Opened, HandedIn: h.At, TimeUp: h.TimeUp,
		Items: s.Items, Form: hex.EncodeToString(s.Digest), Blueprint: blueprintDigest(rev.Blueprint), Answers: hex.EncodeToString(h.Digest)}
	if err := g.outcome(&out); err != nil {
		return err
	}
	if out.Void, err = g.void(s.ID); err != nil {
		return err
	}
	out.Final = g.final(s.ID)
	carrier := s.ID
	if s.Confirms != "" {
		carrier = s.Confirms
	}
	out.Carries = out.Void == nil && (carrier == g.ev.Trail.Sitting || slices.Contains(g.ev.Trail.Deltas, s.ID))
	g.ev.Sittings = append(g.ev.Sittings, out)
	return g.entriesOf(s.ID, sittingWords(out))
}

func blueprintDigest(text []byte) string {
	if len(text) == 0 {
		return ""
	}
	return digest(text)
}

// sittingWords says what a sitting is.
func sittingWords(s EvidenceSitting) string {
	if s.Confirms != "" {
		return "the confirming step"
	}
	return "the " + string(s.Mode) + " sitting"
}

// outcome adds the marking that stood by then.
func (g *gatherer) outcome(s *EvidenceSitting) error {
	m, ok, err := g.marking(s.ID)
	if err != nil || !ok {
		return err
	}
	var o scoring.Outcome
	if err := json.Unmarshal(m.Outcome, &o); err != nil {
		return fmt.Errorf("decode its marks: %w", err)
	}
	s.Outcome, s.Marked, s.Marking, s.Remarked, s.Rules = digest(m.Outcome), m.At, m.N, m.Reason, m.Rules
	s.Total, s.Cut, s.Percent, s.Critical, s.Verdict = o.Total, o.Cut, o.Percent, len(o.Critical), string(o.Verdict)
	for _, miss := range o.Again {
		g.said[miss.Fact] = miss.Text
	}
	return nil
}

// marking is the one of a sitting that stood by then.
func (g *gatherer) marking(sitting string) (m Marking, ok bool, err error) {
	all, err := g.r.Marks(g.ctx, sitting)
	if err != nil {
		return m, false, fmt.Errorf("read its marks: %w", err)
	}
	for _, x := range all {
		if !x.At.After(g.at) {
			m, ok = x, true
		}
	}
	return m, ok, nil
}

func (g *gatherer) void(sitting string) (*EvidenceVoid, error) {
	v, err := g.r.Void(g.ctx, sitting)
	if errors.Is(err, ErrNone) || err == nil && v.At.After(g.at) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read its striking out: %w", err)
	}
	by, err := g.who(v.By)
	return &EvidenceVoid{At: v.At, By: by, Reason: v.Reason}, err
}

// final is the verdict of a sitting with its confirming step, as the record has it.
func (g *gatherer) final(sitting string) (v string) {
	for _, h := range g.own {
		switch act := h.event.Act.(type) {
		case clearance.SittingMarked:
			if act.Sitting == sitting {
				v = string(act.Verdict)
			}
		case clearance.SittingRemarked:
			if act.Sitting == sitting {
				v = string(act.Verdict)
			}
		case clearance.DeltaMarked:
			if act.Sitting == sitting {
				v = string(act.Verdict)
			}
		}
	}
	return v
}

// facts finds what was missed, and when it was right again, in the words of the
// sitting. One that was struck out tells neither.
func (g *gatherer) facts() error {
	if err := g.readTexts(); err != nil {
		return err
	}
	at := map[content.FactID]int{}
	for _, s := range g.ev.Sittings {
		if s.Void != nil || s.Marking == 0 {
			continue
		}
		marked, err := g.r.MarkedFacts(g.ctx, s.ID, s.Marking)
		if err != nil {
			return fmt.Errorf("read the facts of %s: %w", s.ID, err)
		}
		for _, f := range missedOrRight(marked) {
			i, known := at[f.fact]
			switch {
			case f.missed && !known:
				at[f.fact] = len(g.ev.Facts)
				text := cmp.Or(g.said[f.fact], g.texts[f.fact].Text)
				g.ev.Facts = append(g.ev.Facts, EvidenceFact{Fact: f.fact, Text: text, Critical: g.texts[f.fact].Critical, Missed: []time.Time{s.HandedIn}})
			case f.missed:
				g.ev.Facts[i].Missed, g.ev.Facts[i].Right = append(g.ev.Facts[i].Missed, s.HandedIn), time.Time{}
			case known && g.ev.Facts[i].Right.IsZero():
				g.ev.Facts[i].Right = s.HandedIn
			}
		}
	}
	return nil
}

// factState is what one sitting says of a fact: missed where any sheet does.
type factState struct {
	fact   content.FactID
	missed bool
}

func missedOrRight(marked []MarkedFact) []factState {
	var out []factState
	at := map[content.FactID]int{}
	for _, m := range marked {
		i, known := at[m.Fact]
		if !known {
			i = len(out)
			at[m.Fact] = i
			out = append(out, factState{fact: m.Fact})
		}
		out[i].missed = out[i].missed || m.State != string(scoring.Right)
	}
	return out
}

// readTexts reads what every revision on record says of each fact, the newest last.
func (g *gatherer) readTexts() error {
	g.texts = map[content.FactID]content.Fact{}
	revs, err := g.r.Revisions(g.ctx, g.q.Procedure)
	if err != nil {
		return fmt.Errorf("read revisions: %w", err)
	}
	for _, rev := range revs {
		p, err := g.a.content.whole(g.ctx, g.r, rev.Procedure, rev.Revision)
		if err != nil {
			return err
		}
		for _, f := range content.Facts(p) {
			g.texts[f.ID] = f
		}
	}
	return nil
}
