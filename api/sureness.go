package api

import (
	"context"
	"errors"
	"fmt"
	"math"

	"soloright/content"
	"soloright/scoring/itemstat"
)

// Sureness says how surely a procedure's forms tell who holds it from who does not,
// from the last try of each person on forms of the length that the blueprint has
// now.
type Sureness struct {
	Procedure string
	Revision  string
	Items     int // on a form
	Cut       content.Cut
	Needed    int // marks that pass, of Items
	Tries     int // that the policy allows before training is due
	People    int // whose last try is counted

	// What generated forms allow, at the cut: Brennan and Kane's Φ(λ), absolute SEM.
	Phi, SEM itemstat.Figure
	// Agreement of this pass or fail with that on another form, and its kappa. These
	// three see only the total: they know no critical fact and no confirming step, and
	// take sheets of the same number as if they were the same question.
	Subkoviak, Huynh, LivingstonLewis itemstat.Consistency
	Accuracy                          itemstat.Accuracy // Livingston and Lewis
}

// Sureness works it out for who may read results. Below the n of each figure it
// holds a reason. It costs a pass over the procedure's tries.
func (a *App) Sureness(ctx context.Context, c Caller, procedure string) (Sureness, error) {
	out := Sureness{Procedure: procedure}
	err := a.read(ctx, c, ReadResults, func(r Reader, _ Actor) error {
		rev, err := a.current(ctx, r, procedure)
		if err != nil {
			return err
		}
		p, err := a.content.whole(ctx, r, procedure, rev.Revision)
		if err != nil {
			return err
		}
		e, err := a.content.edition(ctx, r, procedure, rev.Revision, p.BuildIDs()[0])
		if err != nil {
			return err
		}
		if out.Cut, err = a.cut(ctx, r, procedure, e.Blueprint); err != nil {
			return err
		}
		out.Revision, out.Items = rev.Revision, e.Blueprint.Items
		return a.register.judge(ctx, r, func(f *registerCache) error {
			out.Tries = f.reg.PolicyAt(procedure, a.now()).Tries
			return nil
		})
	})
	if err != nil {
		return out, err
	}
	out.Needed = (out.Items*int(out.Cut) + 99) / 100
	if err := a.tries.catchUp(ctx, a.store); err != nil {
		return out, err
	}
	return out, out.judge(lastTries(a.tries.on(procedure, a.now()), out.Items))
}

// lastTries is the last try of each person on a form of so many sheets.
func lastTries(tries []heardTry, items int) []heardTry {
	last := map[string]int{}
	var out []heardTry
	for _, t := range tries {
		if len(t.marks) != items {
			continue
		}
		if i, again := last[t.person]; again {
			out[i] = t
			continue
		}
		last[t.person] = len(out)
		out = append(out, t)
	}
	return out
}

// judge fills in what the tries say.
func (s *Sureness) judge(tries []heardTry) error {
	s.People = len(tries)
	none := itemstat.Figure{N: len(tries), NotYet: itemstat.TooFew, Need: 2}
	nothing := itemstat.Consistency{Agreement: none, Kappa: none}
	s.Phi, s.SEM, s.Subkoviak, s.Huynh, s.LivingstonLewis, s.Accuracy = none, none, nothing, nothing, nothing, itemstat.Accuracy{Right: none, FalsePass: none, FalseFail: none}
	if len(tries) < 2 {
		return nil
	}
	part, whole, totals, err := matrices(tries, s.Items)
	if err != nil {
		return fmt.Errorf("forms of %s: %w", s.Procedure, err)
	}
	cut := float64(s.Cut) / 100
	d, err := itemstat.PhiLambda(part, cut)
	if err != nil {
		return fmt.Errorf("dependability of %s: %w", s.Procedure, err)
	}
	s.Phi, s.SEM = d.Phi, d.SEM
	if s.Subkoviak, err = itemstat.Subkoviak(whole, s.Needed); beyond(err) != nil {
		return fmt.Errorf("consistency of %s: %w", s.Procedure, err)
	} else if err != nil {
		s.Subkoviak = because(err, len(tries))
	}
	if s.Huynh, _, err = itemstat.Huynh(whole, s.Needed); beyond(err) != nil {
		return fmt.Errorf("consistency of %s: %w", s.Procedure, err)
	} else if err != nil {
		s.Huynh = because(err, len(tries))
	}
	return s.livingstonLewis(part, totals)
}

// livingstonLewis takes its reliability from the forms themselves: Φ(λ) at the mean,
// which for right-or-wrong marks is KR-21.
func (s *Sureness) livingstonLewis(part *itemstat.Matrix, totals []float64) error {
	mean := 0.0
	for _, t := range totals {
		mean += t / float64(len(totals)*s.Items)
	}
	d, err := itemstat.PhiLambda(part, mean)
	if err == nil && !d.Phi.Known() {
		err = &itemstat.RefusedError{Reason: d.Phi.NotYet}
	}
	if err == nil {
		s.LivingstonLewis, s.Accuracy, err = itemstat.LivingstonLewis(totals, d.Phi.Value, 0, float64(s.Items), float64(s.Needed))
	}
	if beyond(err) != nil {
		return fmt.Errorf("accuracy of %s: %w", s.Procedure, err)
	}
	if err != nil {
		s.LivingstonLewis = because(err, len(totals))
		f := s.LivingstonLewis.Agreement
		s.Accuracy = itemstat.Accuracy{Right: f, FalsePass: f, FalseFail: f}
	}
	return nil
}

// matrices are the marks, people by sheets: as they are, and right only where full;
// with the totals of the first.
func matrices(tries []heardTry, items int) (part, whole *itemstat.Matrix, totals []float64, err error) {
	if part, err = itemstat.NewMatrix(items); err != nil {
		return nil, nil, nil, err
	}
	if whole, err = itemstat.NewMatrix(items); err != nil {
		return nil, nil, nil, err
	}
	for _, t := range tries {
		p, w, total := make([]itemstat.Cell, items), make([]itemstat.Cell, items), 0.0
		for i, m := range t.marks {
			p[i] = itemstat.Cell{Column: i, Mark: float64(m)}
			w[i] = itemstat.Cell{Column: i, Mark: math.Floor(float64(m))}
			total += float64(m)
		}
		totals = append(totals, total)
		if err := errors.Join(part.Add(1, p...), whole.Add(1, w...)); err != nil {
			return nil, nil, nil, err
		}
	}
	return part, whole, totals, nil
}

// beyond is err where it is more than a reason for having no figure.
func beyond(err error) error {
	var refused *itemstat.RefusedError
	if errors.As(err, &refused) {
		return nil
	}
	return err
}

// because is a consistency without numbers, for the reason of a refusal.
func because(err error, n int) itemstat.Consistency {
	var refused *itemstat.RefusedError
	reason := itemstat.Empty
	if errors.As(err, &refused) {
		reason = refused.Reason
	}
	f := itemstat.Figure{N: n, NotYet: reason}
	return itemstat.Consistency{Agreement: f, Kappa: f}
}
