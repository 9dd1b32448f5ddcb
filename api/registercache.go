package api

import (
	"context"
	"fmt"
	"sync"
	"time"

	"soloright/scoring/clearance"
)

// registerCache is the fold of the record so far, kept between uses: each use
// folds in what was put on the record since, by any instance, and nothing twice.
// So what it holds follows from the record alone, whenever it was asked.
//
// In a transaction it is asked before that transaction puts an act on the
// record: what might still be rolled back must never get in.
type registerCache struct {
	mu        sync.RWMutex
	reg       *clearance.Register
	seq       int64              // of the last act folded in
	inForce   map[string]string  // procedure: the revision adopted last
	adopted   map[[2]string]bool // procedure and revision, at any time
	withdrawn map[string]bool    // procedures that are withdrawn now
	policy    map[string]bool    // procedures with a policy of their own; "": the site
}

func newRegisterCache(zone *time.Location) *registerCache {
	return &registerCache{reg: clearance.New(zone), inForce: map[string]string{}, adopted: map[[2]string]bool{}, withdrawn: map[string]bool{}, policy: map[string]bool{}}
}

// judge calls f with the register as it is at least as late as the reader's
// snapshot. Nothing of it may be kept, and f must not call judge.
func (c *registerCache) judge(ctx context.Context, r Reader, f func(*registerCache) error) error {
	if err := c.catchUp(ctx, r, func(int64) {}); err != nil {
		return fmt.Errorf("fold the record: %w", err)
	}
	c.mu.RLock()
	defer c.mu.RUnlock()
	return f(c)
}

// catchUp folds in what was put on the record since; progress is told the place of
// the last act folded in. It costs one read where there is nothing.
func (c *registerCache) catchUp(ctx context.Context, r Reader, progress func(seq int64)) error {
	const batch = 5000
	for {
		c.mu.RLock()
		seq := c.seq
		c.mu.RUnlock()
		acts, err := r.Acts(ctx, seq, batch)
		if err != nil {
			return err
		}
		if len(acts) == 0 {
			return nil
		}
		if err := c.add(acts); err != nil {
			return err
		}
		progress(acts[len(acts)-1].Seq)
	}
}

// FoldRecord folds the record so far, so that the first who asks for a standing
// need not wait for it: to be called before requests are taken. Progress is told
// by entries of the ledger.
func (a *App) FoldRecord(ctx context.Context, progress func(done, total int64)) error {
	return a.store.Read(ctx, func(r Reader) error {
		head, err := r.LedgerHead(ctx)
		if err != nil {
			return err
		}
		err = a.register.catchUp(ctx, r, func(seq int64) { progress(seq, head.Size) })
		if err != nil {
			return fmt.Errorf("fold the record: %w", err)
		}
		return nil
	})
}

// add folds in acts that follow one another. Somebody else may have been faster
// with the first of them.
func (c *registerCache) add(acts []StoredAct) error {
	events := make([]clearance.Event, len(acts))
	for i, s := range acts {
		var err error
		if events[i], err = s.Event(); err != nil {
			return fmt.Errorf("act %d: %w", s.Seq, err)
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, e := range events {
		if e.Seq <= c.seq {
			continue
		}
		if err := c.reg.Add(e); err != nil {
			return err
		}
		c.seq = e.Seq
		switch act := e.Act.(type) {
		case clearance.RevisionAdopted:
			c.inForce[act.Procedure] = act.Revision
			c.adopted[[2]string{act.Procedure, act.Revision}] = true
			c.withdrawn[act.Procedure] = false
		case clearance.ProcedureWithdrawn:
			c.withdrawn[act.Procedure] = true
		case clearance.PolicySet:
			c.policy[act.Procedure] = true
		}
	}
	return nil
}

// revisionInForce is the revision of a procedure that was adopted last; "" where
// the record knows of none.
func (a *App) revisionInForce(ctx context.Context, r Reader, procedure string) (revision string, err error) {
	err = a.register.judge(ctx, r, func(c *registerCache) error {
		revision = c.inForce[procedure]
		return nil
	})
	return revision, err
}
