package api

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"soloright/content"
	"soloright/scoring/itemstat"
)

// Risk says how sure one result is. What it is about is true mastery: the share of
// the procedure's facts, weighted as the blueprint weights them, that the person
// holds. A form is a sample of it; an item on a lead fact is right with the chance
// h + (1 − h)·g, g being the stored chance of full marks.
type Risk struct {
	Sitting   string
	Person    string
	Procedure string
	Cut       content.Cut // of this form: the mastery wanted
	Right, Of int         // of this try: lead facts right, and sheets

	// The 90 % intervals of the proportion right of this try alone, luck and other
	// tries left out.
	Wilson, ClopperPearson, Jeffreys itemstat.Interval
	SEM                              itemstat.Figure // absolute, of the mean mark of this try: √(p(1 − p)/(n − 1)) for right or wrong

	Tries int // that count here: all on this procedure up to this one
	Alone itemstat.Held
	// By the beta that the crew's other people come from; nil where they are too few.
	Crew       *itemstat.Held
	Prior      itemstat.Beta
	CrewPeople int
	Why        string // why there is no crew's prior
}

// Risk returns the risk of a qualifying result that counts, for who may read
// results: all tries on the procedure up to it count, and the prior is the crew's
// without this person, with Jeffreys's beside it; below 30 other people Jeffreys's
// alone. A sitting that is practice, confirms another or is not marked is a Conflict.
// It costs a fit of two numbers over the crew, some tens of milliseconds for 500
// people.
func (a *App) Risk(ctx context.Context, c Caller, sitting string) (Risk, error) {
	var s Sitting
	var form int
	err := a.read(ctx, c, ReadResults, func(r Reader, w Actor) (err error) {
		if s, err = sittingOf(ctx, r, w, sitting); err != nil {
			return err
		}
		if s.State != StateMarked || s.Mode != Qualifying || s.Confirms != "" {
			return conflict(string(s.State), "Only a marked qualifying sitting has a risk.")
		}
		f, err := a.forms.form(ctx, r, sitting)
		if err == nil {
			form = int(f.Cut)
		}
		return err
	})
	if err != nil {
		return Risk{}, err
	}
	if err := a.tries.catchUp(ctx, a.store); err != nil {
		return Risk{}, err
	}
	return riskOf(s, content.Cut(form), a.tries.on(s.Procedure, s.HandedIn))
}

// riskOf works out the risk of a sitting from the tries on its procedure.
func riskOf(s Sitting, cut content.Cut, tries []heardTry) (Risk, error) {
	out := Risk{Sitting: s.ID, Person: s.Person, Procedure: s.Procedure, Cut: cut}
	var own []heardTry
	others := map[string][]heardTry{}
	for _, t := range tries {
		if t.person != s.Person {
			others[t.person] = append(others[t.person], t)
			continue
		}
		own = append(own, t)
		if t.sitting == s.ID {
			out.Right, out.Of = t.rights()
			out.SEM = itemstat.AbsoluteSEM(wide(t.marks))
		}
	}
	out.Tries, out.CrewPeople = len(own), len(others)
	if out.Of == 0 {
		return out, conflict("nothing to judge", "No sheet of this sitting says anything of what is held.")
	}
	return out, errors.Join(out.intervals(), out.posterior(own, others))
}

func (r *Risk) intervals() (err error) {
	if r.Wilson, err = itemstat.Wilson(float64(r.Right), r.Of, itemstat.Level); err != nil {
		return fmt.Errorf("intervals of %s: %w", r.Sitting, err)
	}
	if r.ClopperPearson, err = itemstat.ClopperPearson(r.Right, r.Of, itemstat.Level); err != nil {
		return fmt.Errorf("intervals of %s: %w", r.Sitting, err)
	}
	if r.Jeffreys, err = itemstat.Jeffreys(float64(r.Right), r.Of, itemstat.Level); err != nil {
		return fmt.Errorf("intervals of %s: %w", r.Sitting, err)
	}
	return nil
}

func (r *Risk) posterior(own []heardTry, others map[string][]heardTry) (err error) {
	level, mine := float64(r.Cut)/100, tallies(own)
	if r.Alone, err = itemstat.Posterior(itemstat.JeffreysPrior, level, mine...); err != nil {
		return fmt.Errorf("risk of %s: %w", r.Sitting, err)
	}
	crew := make([][]itemstat.Tally, 0, len(others))
	for _, person := range slices.Sorted(maps.Keys(others)) { // the same sum in the same order, whenever it is asked
		crew = append(crew, tallies(others[person]))
	}
	prior, err := itemstat.CrewPrior(crew)
	var refused *itemstat.RefusedError
	if errors.As(err, &refused) {
		r.Why = refused.Error()
		if refused.Reason == itemstat.TooFew {
			r.Why = fmt.Sprintf("%d other people have sat this; from %d on their results count too", r.CrewPeople, itemstat.NeedPrior)
		}
		return nil
	}
	if err != nil {
		return fmt.Errorf("prior of %s: %w", r.Sitting, err)
	}
	held, err := itemstat.Posterior(prior, level, mine...)
	if err != nil {
		return fmt.Errorf("risk of %s: %w", r.Sitting, err)
	}
	r.Prior, r.Crew = prior, &held
	return nil
}

// Below is the risk itself: the chance that true mastery is below the cut, by the
// crew's prior where there is one.
func (r Risk) Below() float64 {
	if r.Crew != nil {
		return r.Crew.Below
	}
	return r.Alone.Below
}

func wide(x []float32) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = float64(v)
	}
	return out
}
