package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"soloright/scoring/ledger"
	"soloright/scoring/rebuild"
)

// wrenchAdded holds a wrench against the entry that attests it.
func (c *recordCheck) wrenchAdded(n int64, e ledger.Entry) error {
	what := "the wrench " + e.ID
	if !c.note(ledger.WrenchAdded, e.ID) {
		c.twice(n, what)
	}
	w, err := c.r.Wrench(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, wrenchAdded(w, e.Attributes["by"]))
	return nil
}

func (c *recordCheck) calibration(n int64, e ledger.Entry) error {
	number := e.Attributes["calibration"]
	what := fmt.Sprintf("the calibration %s of the wrench %s", number, e.ID)
	if !c.note(ledger.WrenchCalibrated, e.ID, number) {
		c.twice(n, what)
	}
	all, err := c.r.Calibrations(c.ctx, e.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(k Calibration) bool { return strconv.Itoa(k.N) == number })
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	c.compare(n, what, e, wrenchCalibrated(all[i], e.Attributes["by"]))
	return nil
}

// rebuild holds a finished rebuild against its entry, its digest against its text,
// and its text and its wrenches against the filled sheet that they were read off.
func (c *recordCheck) rebuild(n int64, e ledger.Entry) error {
	what := "the rebuild " + e.ID
	if !c.note(ledger.RebuildFinished, e.ID) {
		c.twice(n, what)
	}
	f, err := c.r.Rebuild(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	wrenches, err := c.r.RebuildWrenches(c.ctx, e.ID)
	if err != nil {
		return err
	}
	c.compare(n, what, e, rebuildFinished(f, wrenches, e.Attributes["by"]))
	if sum := sha256.Sum256(f.Sheet); !bytes.Equal(sum[:], f.Digest) {
		c.tell(disagree(n, "%s was altered: the digest of its sheet that is stored beside it is not its own.", sentence(what)))
	}
	var r rebuild.Record
	if json.Unmarshal(f.Record, &r) != nil {
		return nil // the record is not what was attested, which is told
	}
	if bytes.HasPrefix(f.Sheet, []byte(rebuild.Form+"\n")) && !bytes.Equal(r.Text(), f.Sheet) {
		c.tell(disagree(n, "%s was altered: the text of its sheet is not that of its record.", sentence(what)))
	}
	return nil
}

func (c *recordCheck) abandoned(n int64, e ledger.Entry) error {
	what := "the abandoned rebuild " + e.ID
	if !c.note(ledger.RebuildAbandoned, e.ID) {
		c.twice(n, what)
	}
	g, err := c.r.AbandonedRebuild(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, rebuildAbandoned(g, e.Attributes["by"]))
	return nil
}

func (c *recordCheck) rebuildVoid(n int64, e ledger.Entry) error {
	what := "the striking out of the rebuild " + e.ID
	if !c.note(ledger.RebuildVoided, e.ID) {
		c.twice(n, what)
	}
	f, err := c.r.Rebuild(c.ctx, e.ID)
	if err == nil && f.Voided.IsZero() {
		err = ErrNone
	}
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, rebuildVoided(RebuildVoid{Rebuild: f.ID, At: f.Voided, By: f.VoidedBy, Reason: f.Reason}, e.Attributes["by"]))
	return nil
}

// everyWrench looks for wrenches and calibrations that no entry attests.
func (c *recordCheck) everyWrench() error {
	all, err := c.r.Wrenches(c.ctx)
	if err != nil {
		return err
	}
	for _, w := range all {
		c.records++
		if !c.has(ledger.WrenchAdded, w.ID) {
			c.unattested("the wrench " + w.ID)
		}
	}
	every, err := c.r.Calibrations(c.ctx, "")
	if err != nil {
		return err
	}
	for _, k := range every {
		c.records++
		if !c.has(ledger.WrenchCalibrated, k.Wrench, strconv.Itoa(k.N)) {
			c.unattested(fmt.Sprintf("the calibration %d of the wrench %s", k.N, k.Wrench))
		}
	}
	return nil
}

// everyRebuild looks for finished, struck out and abandoned rebuilds that no entry
// attests.
func (c *recordCheck) everyRebuild() error {
	for after := ""; ; {
		ids, err := c.r.RebuildIDs(c.ctx, after, walkBatch)
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			return c.everyAbandoned()
		}
		for _, id := range ids {
			c.records++
			after = id
			f, err := c.r.Rebuild(c.ctx, id)
			if err != nil {
				return err
			}
			if !c.has(ledger.RebuildFinished, id) {
				c.unattested("the rebuild " + id)
			}
			if !f.Voided.IsZero() && !c.has(ledger.RebuildVoided, id) {
				c.unattested("the striking out of the rebuild " + id)
			}
		}
	}
}

func (c *recordCheck) everyAbandoned() error {
	for after := ""; ; {
		all, err := c.r.AbandonedRebuilds(c.ctx, after, walkBatch)
		if err != nil || len(all) == 0 {
			return err
		}
		for _, g := range all {
			c.records++
			after = g.ID
			if !c.has(ledger.RebuildAbandoned, g.ID) {
				c.unattested("the abandoned rebuild " + g.ID)
			}
		}
	}
}
