package api

import (
	"context"
	"errors"
	"fmt"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// EvidenceQuery asks for the evidence of a person's clearance on a procedure.
type EvidenceQuery struct {
	Person    string
	Procedure string
	On        content.Date // the end of that day at the site; zero: today
}

// Evidence returns the evidence of a clearance: one's own, or anybody's for who
// may read the evidence. One's own stays closed during an own qualifying sitting on the
// procedure. It costs some ten reads for each sitting and entry.
func (a *App) Evidence(ctx context.Context, c Caller, q EvidenceQuery) (Evidence, error) {
	if q.On.IsZero() {
		q.On = a.today()
	}
	var out Evidence
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		if err := w.mayFor(q.Person, ReadEvidence); err != nil {
			return err
		}
		if err := a.closedBook(ctx, r, w, q.Procedure); err != nil {
			return err
		}
		var err error
		out, err = a.gather(ctx, r, q)
		return err
	})
	return out, err
}

// gather collects the evidence part by part.
func (a *App) gather(ctx context.Context, r Reader, q EvidenceQuery) (Evidence, error) {
	g := &gatherer{a: a, ctx: ctx, r: r, q: q, people: map[string]Person{}, about: map[int64]string{}, said: map[content.FactID]string{}}
	g.ev = Evidence{Procedure: q.Procedure, On: q.On, Sittings: []EvidenceSitting{}, Facts: []EvidenceFact{}, Read: []EvidenceRead{}, Rebuilds: []EvidenceRebuild{}, Acts: []EvidenceAct{}}
	for _, part := range []func() error{g.begin, g.revision, g.policy, g.sittings, g.facts, g.rebuilds, g.others, g.proofs} {
		if err := part(); err != nil {
			return Evidence{}, fmt.Errorf("gather the evidence of %s on %s: %w", q.Person, q.Procedure, err)
		}
	}
	return g.ev, nil
}

// gatherer holds what the parts of the evidence share.
type gatherer struct {
	a   *App
	ctx context.Context
	r   Reader
	q   EvidenceQuery
	at  time.Time // the end of the day
	ev  Evidence

	people map[string]Person
	own    []happened                      // the person's acts on the procedure by then
	proc   []happened                      // the procedure's own acts by then
	texts  map[content.FactID]content.Fact // of every revision on record, the newest last
	said   map[content.FactID]string       // what a sitting said of a fact that was missed
	about  map[int64]string                // entries of the ledger, and what each is about
}

// happened is an act that is read already.
type happened struct {
	StoredAct
	event clearance.Event
}

// entry is the number of the ledger entry that attests the act.
func (h happened) entry() int64 { return h.Seq - 1 }

// begin finds the person, the standing, the trail and the acts.
func (g *gatherer) begin() error {
	p, err := g.r.Person(g.ctx, g.q.Person)
	if errors.Is(err, ErrNone) {
		return notFound("person")
	}
	if err != nil {
		return fmt.Errorf("read person: %w", err)
	}
	if err := procedureThere(g.ctx, g.r, g.q.Procedure); err != nil {
		return err
	}
	g.people[p.ID] = p
	g.ev.Person = EvidencePerson{p.ID, p.Name, p.Role}
	err = g.a.register.judge(g.ctx, g.r, func(f *registerCache) error {
		g.at = f.reg.EndOf(g.q.On.Time())
		g.ev.Standing = f.reg.Standing(p.ID, g.q.Procedure, g.at, time.Time{})
		g.ev.Trail = f.reg.Trail(p.ID, g.q.Procedure, g.at, time.Time{})
		return nil
	})
	if err != nil {
		return err
	}
	if g.own, err = g.acts(g.r.ActsOfPerson(g.ctx, p.ID)); err != nil {
		return err
	}
	g.proc, err = g.acts(g.r.ActsOfProcedure(g.ctx, g.q.Procedure))
	return err
}

// acts reads the acts that were on the record by the end of the day.
func (g *gatherer) acts(stored []StoredAct, err error) ([]happened, error) {
	if err != nil {
		return nil, fmt.Errorf("read acts: %w", err)
	}
	var out []happened
	for _, s := range stored {
		if s.At.After(g.at) {
			continue
		}
		e, err := s.Event()
		if err != nil {
			return nil, fmt.Errorf("read act %d: %w", s.Seq, err)
		}
		out = append(out, happened{s, e})
	}
	return out, nil
}

// who is a person by id, with the name of today's account.
func (g *gatherer) who(id string) (EvidencePerson, error) {
	if id == "" {
		return EvidencePerson{Name: "the program, or whoever runs it"}, nil
	}
	p, ok := g.people[id]
	if !ok {
		var err error
		if p, err = g.r.Person(g.ctx, id); err != nil {
			return EvidencePerson{}, fmt.Errorf("read person %s: %w", id, err)
		}
		g.people[id] = p
	}
	return EvidencePerson{p.ID, p.Name, p.Role}, nil
}
