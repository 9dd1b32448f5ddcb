package api

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"soloright/scoring/ledger"
)

// rows goes through what is stored and looks for rows that no entry attests.
func (c *recordCheck) rows() error {
	for _, walk := range []func() error{c.everyKey, c.everyAccount, c.everyRevision, c.everySitting, c.everyAct, c.everyCard, c.everyWithdrawal, c.everyPanel,
		c.everyRefusal, c.everySignature, c.everyWrench, c.everyRebuild} {
		if err := walk(); err != nil {
			return err
		}
	}
	return nil
}

// unattested tells of a row that is in the database and not on the record.
func (c *recordCheck) unattested(what string) {
	c.tell(disagree(-1, "%s is in the database and no entry of the ledger attests it: it was put in, or its entry removed.", sentence(what)))
}

func (c *recordCheck) everyKey() error {
	for _, k := range c.v.keys {
		c.records++
		if !c.has(ledger.KeyMade, ledger.KeyDigest(k.Verifier)) {
			c.unattested("the key " + k.Verifier)
		}
	}
	return nil
}

func (c *recordCheck) everyAccount() error {
	people, err := c.r.People(c.ctx)
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, p := range people {
		c.records++
		there[p.ID] = true
		was := c.people[p.ID]
		what := "the account " + p.ID
		if was == nil {
			c.unattested(what)
			continue
		}
		for part, differs := range map[string]bool{
			"role":           was.role != label(string(p.Role)),
			"password":       was.password != passwordDigest(p.Password),
			"day of leaving": !was.left.Equal(p.Left),
		} {
			if differs {
				c.tell(disagree(was.entry, "%s was altered: its %s is not what its entries say, the last of which is %d.", sentence(what), part, was.entry))
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(c.people)) {
		if !there[id] {
			if _, err := c.gone(ErrNone, c.people[id].entry, "the account "+id); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *recordCheck) everyRevision() error {
	current, err := c.r.CurrentRevisions(c.ctx)
	if err != nil {
		return err
	}
	for _, p := range current {
		all, err := c.r.Revisions(c.ctx, p.Procedure)
		if err != nil {
			return err
		}
		for _, r := range all {
			c.records++
			if !c.has(ledger.RevisionImported, r.Procedure, label(r.Revision)) {
				c.unattested(fmt.Sprintf("the revision %s of %s", r.Revision, r.Procedure))
			}
		}
	}
	return nil
}

func (c *recordCheck) everySitting() error {
	const batch = 500
	done := int64(0)
	for after := ""; ; {
		ids, err := c.r.EverySittingID(c.ctx, after, batch)
		if err != nil || len(ids) == 0 {
			return err
		}
		for _, id := range ids {
			if err := c.sitting(id); err != nil {
				return fmt.Errorf("check the sitting %s: %w", id, err)
			}
		}
		after = ids[len(ids)-1]
		done += int64(len(ids))
		c.progress("sittings", done, -1)
	}
}

// sitting looks for the entries of what became of one sitting.
func (c *recordCheck) sitting(id string) error {
	s, err := c.r.Sitting(c.ctx, id)
	if err != nil || s.State == StateOpen {
		return err
	}
	c.records++
	_, err = c.r.HandIn(c.ctx, id)
	if err == nil && !c.has(ledger.SittingHandedIn, id) {
		c.unattested("the hand-in of the sitting " + id)
	}
	if err != nil && !errors.Is(err, ErrNone) {
		return err
	}
	marks, err := c.r.Marks(c.ctx, id)
	if err != nil {
		return err
	}
	for _, m := range marks {
		if !c.has(ledger.SittingMarked, id, strconv.Itoa(m.N)) {
			c.unattested(fmt.Sprintf("the marking %d of the sitting %s", m.N, id))
		}
	}
	if s.State == StateVoid && !c.has(ledger.SittingVoided, id) {
		c.unattested("the striking out of the sitting " + id)
	}
	return nil
}
