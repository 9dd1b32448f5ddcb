package api

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"soloright/scoring/ledger"
)

func panelOpened(p Panel) ledger.Entry {
	return ledger.Entry{Kind: ledger.PanelOpened, ID: p.ID, At: p.Opened, Attributes: map[string]string{
		"by": p.By, "procedure": label(p.Procedure), "revision": label(p.Revision), "form": digest(p.Form),
		"row": rowDigest(p.ID, p.Procedure, p.Revision, p.Build, strings.Join(p.Judges, " "), p.Items, p.Opened, p.By)}}
}

func panelRated(r PanelRatings) ledger.Entry {
	return ledger.Entry{Kind: ledger.PanelRated, ID: r.Panel, At: r.At, Attributes: map[string]string{
		"by": r.Judge, "round": strconv.Itoa(r.Round), "row": rowDigest(r.Panel, r.Round, r.Judge, r.At, fmt.Sprint(r.Percent))}}
}

func panelEnded(e PanelEnd) ledger.Entry {
	kind := ledger.PanelRoundEnded
	if e.Closed {
		kind = ledger.PanelClosed
	}
	return ledger.Entry{Kind: kind, ID: e.Panel, At: e.At, Attributes: map[string]string{
		"by": e.By, "round": strconv.Itoa(e.Round), "row": rowDigest(e.Panel, e.Round, e.Closed, e.At, e.By, e.Note)}}
}

// panel holds a panel against its entry.
func (c *recordCheck) panel(n int64, e ledger.Entry) error {
	what := "the panel " + e.ID
	if !c.note(ledger.PanelOpened, e.ID) {
		c.twice(n, what)
	}
	p, err := c.r.Panel(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, panelOpened(p))
	if digest(p.Form) != fmt.Sprintf("%x", p.Digest) {
		c.tell(disagree(n, "%s was altered: the digest of its form that is stored beside it is not that of its form.", sentence(what)))
	}
	return nil
}

// panelRatings holds what a judge said in a round against its entry.
func (c *recordCheck) panelRatings(n int64, e ledger.Entry) error {
	judge, round := e.Attributes["by"], e.Attributes["round"]
	what := fmt.Sprintf("the ratings of %s in round %s of the panel %s", judge, round, e.ID)
	if !c.note(ledger.PanelRated, e.ID, round, judge) {
		c.twice(n, what)
	}
	all, err := c.r.RatingsOf(c.ctx, e.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(r PanelRatings) bool { return r.Judge == judge && strconv.Itoa(r.Round) == round })
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	c.compare(n, what, e, panelRated(all[i]))
	return nil
}

// panelEnd holds the end of a round against its entry.
func (c *recordCheck) panelEnd(n int64, e ledger.Entry) error {
	round := e.Attributes["round"]
	what := fmt.Sprintf("the end of round %s of the panel %s", round, e.ID)
	if !c.note(ledger.PanelRoundEnded, e.ID, round) {
		c.twice(n, what)
	}
	all, err := c.r.EndsOf(c.ctx, e.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(x PanelEnd) bool { return strconv.Itoa(x.Round) == round })
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	is := panelEnded(all[i])
	if is.Kind != e.Kind {
		c.tell(disagree(n, "%s was altered: whether it closes the panel is not what entry %d attests.", sentence(what), n))
	}
	c.compare(n, what, e, is)
	return nil
}

// everyPanel looks for panels, ratings and ends of rounds that no entry attests.
func (c *recordCheck) everyPanel() error {
	all, err := c.r.Panels(c.ctx)
	if err != nil {
		return err
	}
	for _, p := range all {
		c.records++
		if !c.has(ledger.PanelOpened, p.ID) {
			c.unattested("the panel " + p.ID)
		}
		said, err1 := c.r.RatingsOf(c.ctx, p.ID)
		ends, err2 := c.r.EndsOf(c.ctx, p.ID)
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		for _, r := range said {
			if round := strconv.Itoa(r.Round); !c.has(ledger.PanelRated, p.ID, round, r.Judge) {
				c.unattested(fmt.Sprintf("the ratings of %s in round %s of the panel %s", r.Judge, round, p.ID))
			}
		}
		for _, e := range ends {
			if round := strconv.Itoa(e.Round); !c.has(ledger.PanelRoundEnded, p.ID, round) {
				c.unattested(fmt.Sprintf("the end of round %s of the panel %s", round, p.ID))
			}
		}
	}
	return nil
}
