package api

import (
	"context"
	"encoding/binary"
	"fmt"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/itemhealth"
)

// FormsAlike says how far apart the forms of a blueprint are: the least and the
// largest mean mark, in thousandths, that somebody at the cut is to expect on them.
type FormsAlike struct {
	Build           string
	Forms           int
	Families, Known int    // of the bank, and those with statistics; the others count as on target
	Before, After   [2]int // without steering and with it
}

// FormsAlike sets n forms of the revision in force for each build, each twice, and
// compares them by the difficulties of a report; a blueprint that asks for no
// difficulty is taken to ask for its cut. Seeds are 0 to n − 1, so the same report gives the
// same answer. Nil where nothing has statistics yet. The cost is 2n forms a build.
func (a *App) FormsAlike(ctx context.Context, procedure string, rep *itemhealth.Report, n int) ([]FormsAlike, error) {
	var out []FormsAlike
	err := a.store.Read(ctx, func(r Reader) error {
		out = nil
		rev, err := a.current(ctx, r, procedure)
		if err != nil {
			return err
		}
		p, err := a.content.whole(ctx, r, procedure, rev.Revision)
		if err != nil {
			return err
		}
		for _, build := range p.BuildIDs() {
			one, err := a.formsAlike(ctx, r, rev, build, rep, n)
			if err != nil {
				return fmt.Errorf("compare forms of %s: %w", procedure, err)
			}
			if one != nil {
				out = append(out, *one)
			}
		}
		return nil
	})
	return out, err
}

func (a *App) formsAlike(ctx context.Context, r Reader, rev Revision, build string, rep *itemhealth.Report, n int) (*FormsAlike, error) {
	e, err := a.content.edition(ctx, r, rev.Procedure, rev.Revision, build)
	if err != nil {
		return nil, err
	}
	bank, err := a.writing(ctx, r, e)
	if err != nil {
		return nil, err
	}
	cut, err := a.cut(ctx, r, rev.Procedure, e.Blueprint)
	if err != nil {
		return nil, err
	}
	bp := e.blueprint(Qualifying, cut)
	if bp.Difficulty == 0 {
		bp.Difficulty = int(cut)
	}
	aim := aimOf(bank, bp, difficulties(rep), 0)
	if aim == nil {
		return nil, nil
	}
	out := FormsAlike{Build: build, Forms: n, Families: len(aim.Marks), Before: [2]int{1000, 0}, After: [2]int{1000, 0}}
	for _, m := range aim.Marks {
		if m >= 0 {
			out.Known++
		}
	}
	for i := range n {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := out.add(bank, bp, aim, uint64(i)); err != nil {
			return nil, err
		}
	}
	return &out, nil
}

// add sets one form without steering and with it.
func (f *FormsAlike) add(bank *quiz.Bank, bp content.Blueprint, aim *quiz.Aim, n uint64) error {
	var seed quiz.Seed
	binary.LittleEndian.PutUint64(seed[:], n)
	for to, with := range map[*[2]int]*quiz.Aim{&f.Before: nil, &f.After: aim} {
		form, err := quiz.AssembleTo(bank, bp, quiz.History{}, seed, with)
		if err != nil {
			return err
		}
		form.Aim = aim
		mark, _, _, _ := form.Toward(bank)
		to[0], to[1] = min(to[0], mark), max(to[1], mark)
	}
	return nil
}
