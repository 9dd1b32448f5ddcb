package api

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/itemhealth"
)

// healthDesk works out the health of items in the background, of all procedures at
// once: false alarms are kept down over everything that is looked at. It keeps the
// last result.
type healthDesk struct {
	mu     sync.Mutex
	now    *HealthProgress
	last   *healthResult
	failed string
	stop   context.CancelFunc
	ended  chan struct{}
	closed bool
}

type healthResult struct {
	asOf    HealthAsOf
	reports map[string]*itemhealth.Report // by procedure
}

func (d *healthDesk) look() (*healthResult, *HealthProgress, string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.last, copied(d.now), d.failed
}

func copied(p *HealthProgress) *HealthProgress {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}

// start begins an analysis, unless one is under way or the program is stopping, and
// returns its progress.
func (d *healthDesk) start(a *App) *HealthProgress {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.now != nil || d.closed {
		return cmpOr(copied(d.now), &HealthProgress{Begun: a.now(), Doing: "the program is stopping"})
	}
	ctx, stop := context.WithCancel(context.Background())
	d.now, d.stop, d.ended = &HealthProgress{Begun: a.now(), Doing: "reading the history"}, stop, make(chan struct{})
	go d.run(ctx, a)
	return copied(d.now)
}

func cmpOr(p, q *HealthProgress) *HealthProgress {
	if p != nil {
		return p
	}
	return q
}

func (d *healthDesk) run(ctx context.Context, a *App) {
	res, err := a.analyseItems(ctx, d.tell)
	d.mu.Lock()
	defer d.mu.Unlock()
	d.now = nil
	d.stop()
	close(d.ended)
	if err != nil {
		if ctx.Err() == nil {
			a.log.Error("analyse items", "err", err)
		}
		d.failed = "The last analysis came to nothing. It is in the program’s log why."
		return
	}
	d.last, d.failed = res, ""
}

// tell takes down how far the analysis is.
func (d *healthDesk) tell(p HealthProgress) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.now != nil {
		p.Begun = d.now.Begun
		*d.now = p
	}
}

// Stop ends what goes on in the background and waits for it. Nothing is started
// any more; what is kept stays readable.
func (a *App) Stop() {
	d := a.health
	d.mu.Lock()
	d.closed = true
	ended := d.ended
	if d.stop != nil {
		d.stop()
	}
	d.mu.Unlock()
	if ended != nil {
		<-ended
	}
}

// AnalyseHistory reads the whole history and judges the items of every procedure, for
// whoever runs the program; the reports come by procedure. tell hears how far it is.
func (a *App) AnalyseHistory(ctx context.Context, tell func(HealthProgress)) (map[string]*itemhealth.Report, HealthAsOf, error) {
	res, err := a.analyseItems(ctx, tell)
	if err != nil {
		return nil, HealthAsOf{}, err
	}
	return res.reports, res.asOf, nil
}

// analyseItems reads the history in one go and judges it.
func (a *App) analyseItems(ctx context.Context, tell func(HealthProgress)) (*healthResult, error) {
	begun := a.clock()
	h := &healthReading{a: a, studies: map[string]*study{}, tell: tell, texts: map[string]string{}}
	h.asOf.Worked = a.now()
	if err := a.store.Read(ctx, func(r Reader) error { return h.read(ctx, r) }); err != nil {
		return nil, fmt.Errorf("read the history: %w", err)
	}
	res := &healthResult{reports: map[string]*itemhealth.Report{}}
	var all []*itemhealth.Report
	for i, id := range h.order {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		rep, err := h.studies[id].Judge(func(share float64) {
			tell(HealthProgress{Doing: "judging the items of " + h.studies[id].title, Read: h.asOf.Sittings, Share: (float64(i) + share) / float64(len(h.order))})
		})
		if err != nil {
			return nil, fmt.Errorf("judge the items of %s: %w", id, err)
		}
		res.reports[id] = rep
		all = append(all, rep)
	}
	itemhealth.Settle(all...)
	h.asOf.Seconds = a.clock().Sub(begun).Seconds()
	res.asOf = h.asOf
	return res, nil
}

// revisionOrder lists the revisions of a procedure in the order in which they came
// into force, those that never did last.
func revisionOrder(ctx context.Context, r Reader, procedure string) ([]string, error) {
	acts, err := r.ActsOfProcedure(ctx, procedure)
	if err != nil {
		return nil, fmt.Errorf("read the acts on %s: %w", procedure, err)
	}
	var order []string
	for _, s := range acts {
		if s.Kind == (clearance.RevisionAdopted{}).Kind() && !slices.Contains(order, s.Subject) {
			order = append(order, s.Subject)
		}
	}
	kept, err := r.Revisions(ctx, procedure)
	if err != nil {
		return nil, fmt.Errorf("list the revisions of %s: %w", procedure, err)
	}
	for _, rev := range kept {
		if !slices.Contains(order, rev.Revision) {
			order = append(order, rev.Revision)
		}
	}
	return order, nil
}

// unmetWithout says why no form of the revision can be set without what is
// withdrawn; empty where it can be, for every build.
func (a *App) unmetWithout(ctx context.Context, r Reader, p *content.Procedure) (string, error) {
	for _, build := range p.BuildIDs() {
		e, err := a.content.edition(ctx, r, p.ID, p.Revision, build)
		if err != nil {
			return "", err
		}
		bank, err := a.writing(ctx, r, e)
		if err != nil || bank == e.Bank {
			return "", err
		}
		if _, err := quiz.Assemble(bank, e.blueprint(Qualifying, e.Blueprint.Cut), quiz.History{}, quiz.Seed{}); err != nil {
			return err.Error(), nil
		}
	}
	return "", nil
}
