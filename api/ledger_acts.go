package api

import (
	"fmt"
	"strconv"

	"soloright/scoring/ledger"
)

// act holds the act that an entry attests against the one that is stored. Its
// place on the record follows from the entry's number.
func (c *recordCheck) act(n int64, e ledger.Entry) error {
	what := fmt.Sprintf("the act %d (%s)", n+1, e.Attributes["act"])
	c.note(ledger.ActRecorded, strconv.FormatInt(n+1, 10))
	stored, err := c.r.Acts(c.ctx, n, 1)
	if err != nil {
		return err
	}
	if len(stored) == 0 || stored[0].Seq != n+1 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	c.compare(n, what, e, actEntry(stored[0], e.Attributes["by"]))
	return nil
}

// everyAct looks for acts that no entry attests, and for those that cannot be
// read.
func (c *recordCheck) everyAct() error {
	const batch = 1000
	done := int64(0)
	for after := int64(0); ; {
		acts, err := c.r.Acts(c.ctx, after, batch)
		if err != nil || len(acts) == 0 {
			return err
		}
		for _, s := range acts {
			c.records++
			what := fmt.Sprintf("the act %d (%s)", s.Seq, s.Kind)
			if !c.has(ledger.ActRecorded, strconv.FormatInt(s.Seq, 10)) {
				c.unattested(what)
			}
			if _, err := s.Event(); err != nil {
				c.tell(disagree(s.Seq-1, "%s cannot be read: %v.", sentence(what), err))
			}
		}
		after = acts[len(acts)-1].Seq
		done += int64(len(acts))
		c.progress("acts", done, -1)
	}
}
