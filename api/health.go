package api

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/itemhealth"
)

// ItemsHealth is what is known of the items of a procedure.
type ItemsHealth struct {
	Procedure *content.Procedure // the revision in force
	Report    *itemhealth.Report // nil: nothing is worked out yet
	AsOf      HealthAsOf         // zero without a report
	Stale     bool               // there are later markings than the report knows
	Progress  *HealthProgress    // of the analysis that is under way; nil: none is
	Failed    string             // why the last analysis came to nothing
	Facts     map[content.FactID]content.Fact
	Withdrawn map[ItemSubject]Withdrawal // those that stand
}

// HealthAsOf says what an analysis knew: every sitting up to the marking that it
// read last.
type HealthAsOf struct {
	Place    int64     `json:"place"`     // of the marking read last, in the order of reading
	HandedIn time.Time `json:"handed_in"` // when its sitting was handed in
	Worked   time.Time `json:"worked"`    // when the analysis began
	Sittings int       `json:"sittings"`
	Answers  int       `json:"answers"`
	Seconds  float64   `json:"seconds"` // that it took
}

// HealthProgress says how far an analysis is.
type HealthProgress struct {
	Begun time.Time `json:"begun"`
	Doing string    `json:"doing"` // in plain words
	Read  int       `json:"read"`  // sittings read so far
	Share float64   `json:"share"` // of the working out, 0 to 1
}

// healthAge is how old a report is at least before a new marking starts another
// analysis by itself.
const healthAge = time.Minute

// ItemsHealth returns what is known of the items of a procedure, at once. Where
// nothing is, or there are later markings and the report is some minutes old, it
// starts an analysis in the background; there is one at a time for the whole site.
// It shows which options are right, so it is a Conflict while the caller has a
// qualifying sitting on the procedure open.
func (a *App) ItemsHealth(ctx context.Context, c Caller, procedure string) (ItemsHealth, error) {
	var out ItemsHealth
	err := a.read(ctx, c, ReadItemHealth, func(r Reader, w Actor) error {
		if err := a.closedBook(ctx, r, w, procedure); err != nil {
			return err
		}
		rev, err := a.current(ctx, r, procedure)
		if err != nil {
			return err
		}
		if out.Procedure, err = a.content.whole(ctx, r, procedure, rev.Revision); err != nil {
			return err
		}
		if err := a.healthNow(ctx, r, &out); err != nil {
			return err
		}
		return a.healthWords(ctx, r, &out)
	})
	if err != nil {
		return ItemsHealth{}, err
	}
	if out.Progress == nil && (out.AsOf.Worked.IsZero() || out.Stale && a.now().Sub(out.AsOf.Worked) >= healthAge) {
		out.Progress = a.health.start(a)
	}
	return out, nil
}

// healthNow fills in what the desk has, and whether it is out of date.
func (a *App) healthNow(ctx context.Context, r Reader, out *ItemsHealth) error {
	res, progress, failed := a.health.look()
	out.Progress, out.Failed = progress, failed
	if res == nil {
		return nil
	}
	out.AsOf = res.asOf
	if out.Report = res.reports[out.Procedure.ID]; out.Report == nil {
		out.Report = &itemhealth.Report{Items: []itemhealth.Health{}}
	}
	later, err := r.Responses(ctx, res.asOf.Place, 1)
	if err != nil {
		return fmt.Errorf("look for later markings: %w", err)
	}
	out.Stale = len(later) > 0
	return nil
}

// healthWords fills in the facts as the newest revision that states them does, and
// what is withdrawn.
func (a *App) healthWords(ctx context.Context, r Reader, out *ItemsHealth) error {
	id := out.Procedure.ID
	order, err := revisionOrder(ctx, r, id)
	if err != nil {
		return err
	}
	out.Facts, out.Withdrawn = map[content.FactID]content.Fact{}, map[ItemSubject]Withdrawal{}
	for _, revision := range append(order, out.Procedure.Revision) {
		p, err := a.content.whole(ctx, r, id, revision)
		if err != nil {
			return err
		}
		for _, build := range p.BuildIDs() { // some follow only where other builds' steps are left out
			for _, f := range content.Facts(content.ForBuild(p, build)) {
				out.Facts[f.ID] = f
			}
		}
	}
	all, err := r.Withdrawals(ctx, id)
	if err != nil {
		return fmt.Errorf("read withdrawals of %s: %w", id, err)
	}
	for _, w := range standingWithdrawals(all) {
		out.Withdrawn[w.ItemSubject] = w
	}
	return nil
}

// AnalyseItems starts an analysis now, where none is under way.
func (a *App) AnalyseItems(ctx context.Context, c Caller) (HealthProgress, error) {
	if err := a.allowed(ctx, c, ReadItemHealth); err != nil {
		return HealthProgress{}, err
	}
	return *a.health.start(a), nil
}

// ItemHealth is what is known of one family: one line of the report for each thing
// that its fact has stated, the newest first.
type ItemHealth struct {
	ItemsHealth
	Fact   content.Fact
	Model  string
	Health []itemhealth.Health
	Items  map[string]ConcreteItem // those that the lines count
	Unmet  string                  // why no form can be set without what is withdrawn; empty: it can
}

// ConcreteItem is one item with its key, as a form held it.
type ConcreteItem struct{ Stem, Key string }

// concrete finds the items that the lines count, each in some form that holds it.
func (a *App) concrete(ctx context.Context, r Reader, procedure string, out *ItemHealth) error {
	out.Items = map[string]ConcreteItem{}
	for _, h := range out.Health {
		for _, one := range h.Items {
			ids, err := r.SittingsWith(ctx, ItemSubject{Procedure: procedure, Fact: out.Fact.ID, Model: out.Model, Item: one.Item})
			if err != nil || len(ids) == 0 {
				return fmt.Errorf("find a form with item %s: %w", one.Item, cmp.Or(err, ErrNone))
			}
			form, err := a.forms.form(ctx, r, ids[0])
			if err != nil {
				return err
			}
			i := slices.IndexFunc(form.Items, func(it quiz.Item) bool { return it.ID == one.Item })
			if i >= 0 {
				out.Items[one.Item] = ConcreteItem{Stem: form.Items[i].Stem, Key: quiz.KeyWords(form.Items[i])}
			}
		}
	}
	return nil
}

// ItemHealth returns what is known of one family. It is NotFound where nobody ever
// met it and no model writes it.
func (a *App) ItemHealth(ctx context.Context, c Caller, procedure string, fact content.FactID, model string) (ItemHealth, error) {
	all, err := a.ItemsHealth(ctx, c, procedure)
	if err != nil {
		return ItemHealth{}, err
	}
	out := ItemHealth{ItemsHealth: all, Model: model, Health: []itemhealth.Health{}}
	if all.Report != nil {
		for _, h := range all.Report.Items {
			if h.Lead == string(fact) && h.Model == model {
				out.Health = append(out.Health, h)
			}
		}
	}
	slices.SortStableFunc(out.Health, func(x, y itemhealth.Health) int { return cmp.Compare(y.Since(), x.Since()) })
	err = a.read(ctx, c, ReadItemHealth, func(r Reader, _ Actor) error {
		known, err := a.canWrite(ctx, r, all.Procedure, ItemSubject{Procedure: procedure, Fact: fact, Model: model})
		if err != nil {
			return err
		}
		var stated bool
		if out.Fact, stated = all.Facts[fact]; !stated || !known && len(out.Health) == 0 {
			return notFound("item")
		}
		if err := a.concrete(ctx, r, procedure, &out); err != nil {
			return err
		}
		out.Unmet, err = a.unmetWithout(ctx, r, all.Procedure)
		return err
	})
	return out, err
}

// Standing lists the withdrawals that stand, by fact, model, revision and item.
func (h ItemsHealth) Standing() []Withdrawal {
	out := make([]Withdrawal, 0, len(h.Withdrawn))
	for _, w := range h.Withdrawn {
		out = append(out, w)
	}
	slices.SortFunc(out, func(x, y Withdrawal) int {
		return cmp.Or(cmp.Compare(x.Fact, y.Fact), cmp.Compare(x.Model, y.Model), cmp.Compare(x.Revision, y.Revision), cmp.Compare(x.Item, y.Item))
	})
	return out
}
