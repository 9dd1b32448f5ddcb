package api

import (
	"fmt"

	"soloright/scoring/ledger"
)

// refusal holds a refused password against the entry that attests it.
func (c *recordCheck) refusal(n int64, e ledger.Entry) error {
	id := e.Attributes["refusal"]
	what := "the refused password " + id
	if !c.note(ledger.PasswordRefused, id) {
		c.twice(n, what)
	}
	p, err := c.r.RefusedPassword(c.ctx, id)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, passwordRefused(p, e.Attributes["by"]))
	return nil
}

// signature holds a signature against the entry that attests it.
func (c *recordCheck) signature(n int64, e ledger.Entry) error {
	kind, meaning := e.Attributes["covers"], e.Attributes["meaning"]
	what := fmt.Sprintf("the signature %q under the %s %s", meaning, kind, e.ID)
	if !c.note(ledger.SignatureGiven, kind, e.ID, meaning) {
		c.twice(n, what)
	}
	all, err := c.r.Signatures(c.ctx, kind, e.ID)
	if err != nil {
		return err
	}
	for _, s := range all {
		if string(s.Meaning) == meaning {
			c.compare(n, what, e, signatureGiven(s, e.Attributes["by"]))
			return nil
		}
	}
	_, err = c.gone(ErrNone, n, what)
	return err
}

const walkBatch = 500

// everyRefusal looks for refused passwords that no entry attests.
func (c *recordCheck) everyRefusal() error {
	for after := ""; ; {
		all, err := c.r.EveryRefusedPassword(c.ctx, after, walkBatch)
		if err != nil || len(all) == 0 {
			return err
		}
		for _, p := range all {
			c.records++
			after = p.ID
			if !c.has(ledger.PasswordRefused, p.ID) {
				c.unattested("the refused password " + p.ID)
			}
		}
	}
}

// everySignature looks for signatures that no entry attests.
func (c *recordCheck) everySignature() error {
	var after Signature
	for {
		all, err := c.r.EverySignature(c.ctx, after, walkBatch)
		if err != nil || len(all) == 0 {
			return err
		}
		for _, s := range all {
			c.records++
			after = s
			if !c.has(ledger.SignatureGiven, s.Covers.Kind, s.Covers.ID, string(s.Meaning)) {
				c.unattested(fmt.Sprintf("the signature %q under the %s %s", s.Meaning, s.Covers.Kind, s.Covers.ID))
			}
		}
	}
}
