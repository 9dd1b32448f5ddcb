package api

import (
	"context"
	"fmt"
	"slices"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// openDelta sets the form of a delta sitting for whoever lacks one.
func (a *App) openDelta(ctx context.Context, tx Tx, w Actor, procedure, id string, seed quiz.Seed) (Sitting, error) {
	d, err := a.due(ctx, tx, w.Person.ID, procedure)
	switch {
	case err != nil:
		return Sitting{}, err
	case len(d.lack.Changed) == 0:
		return Sitting{}, conflict("nothing changed", "Nothing that you stand for on this procedure has changed: there is nothing to sit.")
	case len(d.rest) > 0:
		return Sitting{}, conflict("to be read first", "Some of the changed facts are not asked but read. Read and sign for them first.")
	}
	if err := a.mayTryDelta(ctx, tx, w.Person.ID, procedure); err != nil {
		return Sitting{}, err
	}
	h, err := history(ctx, tx, w.Person.ID, procedure, a.now())
	if err != nil {
		return Sitting{}, err
	}
	form, err := quiz.SetDelta(d.bank, quiz.Delta{From: d.lack.From, Facts: d.asked}, h, seed)
	if err != nil {
		return Sitting{}, unmet(err)
	}
	return a.keepSitting(ctx, tx, Sitting{ID: id, Person: w.Person.ID, Build: d.edition.Source.Build, Mode: DeltaSitting}, form)
}

// mayTryDelta refuses a delta sitting before the waiting time is over, and where
// training is due first.
func (a *App) mayTryDelta(ctx context.Context, r Reader, person, procedure string) error {
	return a.register.judge(ctx, r, func(f *registerCache) error {
		s := f.reg.MaySitDelta(person, procedure, a.now())
		switch {
		case s.May:
		case s.Left == 0:
			return conflict("training due", fmt.Sprintf("%d delta sittings were not passed. Training is due before the next one: ask a trainer.", s.Failed))
		default:
			return conflict("waiting", "The last delta sitting was not passed. The next one may begin on "+s.Wait.String()+".")
		}
		return nil
	})
}

// dueDelta is what a person lacks since a revision, and how each changed fact is shown.
type dueDelta struct {
	lack    clearance.Lack
	edition *Edition   // of the revision in force, for the person's build
	bank    *quiz.Bank // of the edition, without what is withdrawn
	asked   []content.FactID
	rest    []quiz.Unaskable
}

// due works out what a person lacks on a procedure. Where that is nothing, the
// lack is empty and there is no edition.
func (a *App) due(ctx context.Context, r Reader, person, procedure string) (dueDelta, error) {
	var d dueDelta
	some := false
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		d.lack, some = f.reg.Lacks(person, procedure, a.now())
		return nil
	})
	if err != nil || !some {
		return d, err
	}
	s, err := r.Sitting(ctx, d.lack.Sitting)
	if err != nil {
		return d, fmt.Errorf("read sitting %s: %w", d.lack.Sitting, err)
	}
	next, err := a.content.whole(ctx, r, procedure, d.lack.To)
	if err != nil {
		return d, err
	}
	if d.edition, err = a.content.edition(ctx, r, procedure, d.lack.To, buildFor(next, s.Build, d.lack.Changed)); err != nil {
		return d, err
	}
	if d.bank, err = a.writing(ctx, r, d.edition); err != nil {
		return d, err
	}
	if d.asked, d.rest, err = quiz.Askable(d.bank, d.lack.Changed); err != nil {
		return d, fmt.Errorf("find what can be asked of revision %s of %s: %w", d.lack.To, procedure, err)
	}
	return d, nil
}

// buildFor is the build on which somebody is asked who sat on a build of an older
// revision: the same one, or, where the new revision has it no more, the one that
// states most of the changed facts, the first of those.
func buildFor(next *content.Procedure, was string, changed []content.FactID) string {
	if hasBuild(next, was) {
		return was
	}
	best, most := "", -1
	for _, b := range next.Builds {
		n := 0
		for _, f := range content.Facts(content.ForBuild(next, b.ID)) {
			if slices.Contains(changed, f.ID) {
				n++
			}
		}
		if n > most {
			best, most = b.ID, n
		}
	}
	return best
}

// deltaAct is what a marked delta sitting puts on the record, once.
func (a *App) deltaAct(ctx context.Context, tx Tx, s Sitting, m Marking) ([]newAct, error) {
	if _, has, err := finalOf(ctx, tx, s.ID); err != nil || has {
		return nil, err
	}
	form, err := a.forms.form(ctx, tx, s.ID)
	if err != nil {
		return nil, err
	}
	if form.Delta == nil {
		return nil, fmt.Errorf("the form of the delta sitting %s does not say what it was set for", s.ID)
	}
	h, err := tx.HandIn(ctx, s.ID)
	if err != nil {
		return nil, fmt.Errorf("read hand-in of %s: %w", s.ID, err)
	}
	v := clearance.Failed
	if m.Verdict == string(scoring.Passed) {
		v = clearance.Passed
	}
	return []newAct{{act: clearance.DeltaMarked{Sitting: s.ID, Person: s.Person, Procedure: s.Procedure, From: form.Delta.From, To: s.Revision,
		HandedIn: h.At, Verdict: v, Digest: digest(m.Outcome), Facts: form.Delta.Facts}}}, nil
}
