package api

import (
	"fmt"
	"slices"
	"strconv"

	"soloright/scoring/ledger"
)

// withdrawal checks what an entry on a withdrawn item attests.
func (c *recordCheck) withdrawal(n int64, e ledger.Entry) error {
	at := e.Attributes
	what := fmt.Sprintf("the decision %s on the model %s on %s of %s", at["n"], at["model"], at["fact"], e.ID)
	if !c.note(ledger.ItemWithdrawn, e.ID, at["revision"], at["fact"], at["model"], at["item"], at["n"]) {
		c.twice(n, what)
	}
	all, err := c.r.Withdrawals(c.ctx, "")
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(w Withdrawal) bool {
		return slices.Equal(withdrawalKey(w), []string{e.ID, at["revision"], at["fact"], at["model"], at["item"], at["n"]})
	})
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	is := itemWithdrawn(all[i], at["by"])
	if is.Kind != e.Kind {
		c.tell(disagree(n, "%s was altered: whether it withdraws is not what entry %d attests.", sentence(what), n))
	}
	c.compare(n, what, e, is)
	return nil
}

func withdrawalKey(w Withdrawal) []string {
	return []string{label(w.Procedure), orEvery(w.Revision), label(string(w.Fact)), label(w.Model), orEvery(w.Item), strconv.Itoa(w.N)}
}

// everyWithdrawal looks for withdrawals that no entry attests.
func (c *recordCheck) everyWithdrawal() error {
	all, err := c.r.Withdrawals(c.ctx, "")
	if err != nil {
		return err
	}
	for _, w := range all {
		c.records++
		if !c.has(ledger.ItemWithdrawn, withdrawalKey(w)...) {
			c.unattested(fmt.Sprintf("the decision %d on the model %s on %s of %s", w.N, w.Model, w.Fact, w.Procedure))
		}
	}
	return nil
}
