package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"soloright/content"
	"soloright/scoring/clearance"
)

// CatchUp is what a person has to do to stand on the revision in force.
type CatchUp struct {
	Procedure *content.Procedure // the revision in force
	Standing  clearance.Standing
	Line      RegisterLine // the standing, by name
	From      string       // the revision that the person stands on; empty: there is nothing to do
	Build     string       // for which the delta sitting asks
	Asked     []FactChange
	Read      []FactChange // to be read and signed for
	Text      string       // of what is to be read, see [readingText]; empty where nothing is
	Digest    string       // SHA-256 of Text, hex
	Observe   []HoldAgain
	Sit       clearance.Sit // whether the delta sitting may be opened, as far as tries and waiting go
}

// FactChange is a fact as it was and as it is.
type FactChange struct {
	Fact     content.FactID
	Step     string // that states it, in the newer revision that does
	Critical bool
	Was      string // empty: it is new
	Is       string // empty: it is stated no more
	Why      string // why it is read and not asked; empty for what is asked and what was removed
}

// HoldAgain is a hold point that is to be observed again.
type HoldAgain struct {
	Step  string
	Text  string // what is done there
	Facts []string
}

// Some reports whether there is anything to do.
func (c CatchUp) Some() bool { return len(c.Asked)+len(c.Read)+len(c.Observe) > 0 }

// CatchUp says what the caller has to do to stand on the revision in force of a
// procedure: what changed with old and new words, what is asked, what is read and
// signed for, what is observed again. It is a Conflict while a qualifying or delta
// sitting on the procedure is open: it shows what is asked there.
func (a *App) CatchUp(ctx context.Context, c Caller, procedure string) (CatchUp, error) {
	var out CatchUp
	err := a.read(ctx, c, Sit, func(r Reader, w Actor) error {
		if err := w.named(); err != nil {
			return err
		}
		if err := procedureThere(ctx, r, procedure); err != nil {
			return err
		}
		if err := a.closedBook(ctx, r, w, procedure); err != nil {
			return err
		}
		var err error
		out, err = a.catchUp(ctx, r, w.Person.ID, procedure)
		return err
	})
	return out, err
}

func (a *App) catchUp(ctx context.Context, r Reader, person, procedure string) (CatchUp, error) {
	d, err := a.due(ctx, r, person, procedure)
	if err != nil {
		return CatchUp{}, err
	}
	out := CatchUp{From: d.lack.From}
	err = a.register.judge(ctx, r, func(f *registerCache) error {
		out.Standing = f.reg.Standing(person, procedure, a.now(), a.now())
		out.Sit = f.reg.MaySitDelta(person, procedure, a.now())
		return nil
	})
	if err != nil {
		return CatchUp{}, err
	}
	known, err := readNames(ctx, r)
	if err != nil {
		return CatchUp{}, err
	}
	out.Line = known.line(out.Standing)
	revision := d.lack.To
	if d.edition == nil {
		rev, err := a.current(ctx, r, procedure)
		if err != nil {
			return CatchUp{}, err
		}
		revision = rev.Revision
	}
	if out.Procedure, err = a.content.whole(ctx, r, procedure, revision); err != nil || d.edition == nil {
		return out, err
	}
	out.Build = d.edition.Source.Build
	err = a.fillCatchUp(ctx, r, &out, d)
	return out, err
}

// fillCatchUp finds the words of what a person lacks.
func (a *App) fillCatchUp(ctx context.Context, r Reader, out *CatchUp, d dueDelta) error {
	was, err := a.stated(ctx, r, out.Procedure.ID, d.lack.From, d.lack.Removed)
	if err != nil {
		return err
	}
	is := factsByID(out.Procedure)
	change := func(id content.FactID) FactChange {
		f := FactChange{Fact: id, Was: was[id].Text, Is: is[id].Text, Step: is[id].Step, Critical: is[id].Critical || was[id].Critical}
		if f.Is == "" {
			f.Step = was[id].Step
		}
		return f
	}
	for _, id := range d.asked {
		out.Asked = append(out.Asked, change(id))
	}
	for _, id := range d.lack.Removed {
		out.Read = append(out.Read, change(id))
	}
	for _, u := range d.rest {
		f := change(u.Fact)
		f.Why = u.Why
		out.Read = append(out.Read, f)
	}
	out.Observe = holdsAgain(out.Procedure, d.lack.Observe, is)
	if len(out.Read) > 0 {
		out.Text = readingText(out.Procedure.ID, d.lack.From, d.lack.To, out.Read)
		sum := sha256.Sum256([]byte(out.Text))
		out.Digest = hex.EncodeToString(sum[:])
	}
	return nil
}

func factsByID(p *content.Procedure) map[content.FactID]content.Fact {
	out := map[content.FactID]content.Fact{}
	for _, f := range content.Facts(p) {
		out[f.ID] = f
	}
	return out
}

// stated returns the facts of a revision, and of those that it does not state and
// that are wanted, the words of the newest revision that did: a fact may have come
// and gone since.
func (a *App) stated(ctx context.Context, r Reader, procedure, revision string, wanted []content.FactID) (map[content.FactID]content.Fact, error) {
	p, err := a.content.whole(ctx, r, procedure, revision)
	if err != nil {
		return nil, err
	}
	out := factsByID(p)
	if !slices.ContainsFunc(wanted, func(id content.FactID) bool { return out[id].Text == "" }) {
		return out, nil
	}
	all, err := r.Revisions(ctx, procedure)
	if err != nil {
		return nil, fmt.Errorf("read revisions of %s: %w", procedure, err)
	}
	for _, rev := range slices.Backward(all) {
		if p, err = a.content.whole(ctx, r, procedure, rev.Revision); err != nil {
			return nil, err
		}
		here := factsByID(p)
		for _, id := range wanted {
			if _, there := out[id]; !there && here[id].Text != "" {
				out[id] = here[id]
			}
		}
	}
	return out, nil
}

func holdsAgain(p *content.Procedure, again []clearance.ObserveAgain, is map[content.FactID]content.Fact) []HoldAgain {
	var out []HoldAgain
	for _, o := range again {
		at := slices.IndexFunc(out, func(h HoldAgain) bool { return h.Step == o.Hold })
		if at < 0 {
			at = len(out)
			h := HoldAgain{Step: o.Hold}
			for _, s := range p.Steps {
				if s.ID == o.Hold {
					h.Text = s.Text
				}
			}
			out = append(out, h)
		}
		if text := is[o.Fact].Text; text != "" {
			out[at].Facts = append(out[at].Facts, text)
		}
	}
	return out
}

// readingText is the text of what is read and signed for. It is kept with the act,
// and its SHA-256 is what the signature covers:
//
//	procedure pump, from revision A to revision B
//	stated no more: hazard/old
//	  was: old hose: may whip
//	changed, read because it holds for another build than the one sat on: target/cap
//	  was: cap bolts: 13.6 N·m
//	  is: cap bolts: 14.2 N·m
//
// each line ended by a line feed; a fact that is new has no line "was". Line feeds
// within a fact's words are written as spaces.
func readingText(procedure, from, to string, facts []FactChange) string {
	var b strings.Builder
	line := func(s string) { b.WriteString(strings.Join(strings.Split(s, "\n"), " ") + "\n") }
	line("procedure " + procedure + ", from revision " + from + " to revision " + to)
	for _, f := range facts {
		switch {
		case f.Is == "":
			line("stated no more: " + string(f.Fact))
		case f.Was == "":
			line("new, read because " + f.Why + ": " + string(f.Fact))
		default:
			line("changed, read because " + f.Why + ": " + string(f.Fact))
		}
		if f.Was != "" {
			line("  was: " + f.Was)
		}
		if f.Is != "" {
			line("  is: " + f.Is)
		}
	}
	return b.String()
}
