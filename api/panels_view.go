package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/itemstat"
)

// PanelLine is a panel in a list.
type PanelLine struct {
	Panel  Panel // without its form
	Title  string
	Chair  string
	Round  int // that is open; of a closed panel its last
	In     int // judges who rated in it
	Closed bool
	Cut    *PanelCut // of a closed panel that found one
	Yours  bool      // the caller has still to rate
}

// Panels lists every panel, the newest first.
func (a *App) Panels(ctx context.Context, c Caller) ([]PanelLine, error) {
	var out []PanelLine
	err := a.read(ctx, c, ReadPanels, func(r Reader, w Actor) error {
		out = nil
		known, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		all, err := r.Panels(ctx)
		if err != nil {
			return fmt.Errorf("list panels: %w", err)
		}
		for _, p := range all {
			s, err := stateOf(ctx, r, p)
			if err != nil {
				return err
			}
			l := PanelLine{Panel: p, Title: known.titles[p.Procedure], Chair: known.person(p.By), Round: s.round, Closed: s.closed, Yours: s.mayRate(w.Person.ID, s.round) == nil}
			for _, j := range p.Judges {
				if _, in := s.in(j, s.round); in {
					l.In++
				}
			}
			if l.Cut, err = s.found(); err != nil {
				return err
			}
			out = append(out, l)
		}
		return nil
	})
	return out, err
}

// found is the cut of a closed panel; nil where it is open or found none.
func (s *panelState) found() (*PanelCut, error) {
	if !s.closed {
		return nil, nil
	}
	cut, _, ok, err := s.cutOf(s.round)
	if err != nil || !ok {
		return nil, err
	}
	return &cut, nil
}

// PanelView is a panel as somebody may see it.
type PanelView struct {
	PanelLine
	Items   []quiz.Item  // the form's, with keys, for who may read those; else nil
	Names   []PanelJudge // in the order of the panel
	Rounds  []PanelRound
	Mine    []int  // what the caller said last; nil: nothing
	Rate    bool   // the caller may rate now
	WhyNot  string // else why not, of a judge
	IsChair bool
	Adopted bool // its cut is the one in force, on its word
	InForce int  // the cut in force on the procedure, in percent
}

// PanelJudge is a judge with what is known of him or her.
type PanelJudge struct {
	Person, Name string
	In           []bool // by round
}

// PanelRound is one round as the caller may see it.
type PanelRound struct {
	N      int
	Ended  time.Time // zero: it is open
	By     string
	Note   string
	Hidden bool // the caller has still to rate, or is no judge and the round goes on
	Seats  []PanelSeat
	Cut    *PanelCut // nil: hidden, or fewer than two judges
	Items  []itemstat.Spread
}

// PanelSeat is what of a judge counts in a round.
type PanelSeat struct {
	Person, Name string
	Percent      []int
	Round        int     // in which it was said: an earlier one stands
	Sum          float64 // in marks
	Severity     float64 // the sum less the mean of all: above 0 asks for more than the others
}

// Panel shows a panel. Nobody sees what others said in a round before the own
// ratings are in; who does not judge sees a round once it is ended.
func (a *App) Panel(ctx context.Context, c Caller, id string) (PanelView, error) {
	var v PanelView
	err := a.read(ctx, c, ReadPanels, func(r Reader, w Actor) error {
		s, err := readPanel(ctx, r, id)
		if err != nil {
			return err
		}
		known, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		v = PanelView{PanelLine: PanelLine{Panel: s.Panel, Title: known.titles[s.Panel.Procedure], Chair: known.person(s.Panel.By), Round: s.round, Closed: s.closed}}
		if v.Cut, err = s.found(); err != nil {
			return err
		}
		v.seats(s, w.Person.ID, known)
		for n := 1; n <= s.round; n++ {
			round, err := s.show(n, w.Person.ID, known)
			if err != nil {
				return err
			}
			v.Rounds = append(v.Rounds, round)
		}
		if err := a.panelInForce(ctx, r, &v); err != nil {
			return err
		}
		return a.panelItems(ctx, r, w, &v)
	})
	v.Panel.Form = nil
	return v, err
}

// seats says who judges and what the caller may do.
func (v *PanelView) seats(s *panelState, me string, known names) {
	for _, j := range s.Panel.Judges {
		judge := PanelJudge{Person: j, Name: known.person(j)}
		for n := 1; n <= s.round; n++ {
			_, in := s.in(j, n)
			judge.In = append(judge.In, in)
			if in && n == s.round {
				v.In++
			}
		}
		v.Names = append(v.Names, judge)
	}
	if r, ok := s.standing(me, s.round); ok {
		v.Mine = r.Percent
	}
	v.IsChair = me == s.Panel.By
	switch err := s.mayRate(me, s.round); {
	case err == nil:
		v.Rate, v.Yours = true, true
	case slices.Contains(s.Panel.Judges, me):
		v.WhyNot = messageOf(err)
	}
}

// show is a round as somebody may see it.
func (s *panelState) show(n int, me string, known names) (PanelRound, error) {
	out := PanelRound{N: n}
	for _, e := range s.ends {
		if e.Round == n {
			out.Ended, out.By, out.Note = e.At, known.person(e.By), e.Note
		}
	}
	if _, in := s.in(me, n); !in && out.Ended.IsZero() {
		out.Hidden = true
		return out, nil
	}
	cut, sum, ok, err := s.cutOf(n)
	if err != nil {
		return out, err
	}
	if ok {
		out.Cut, out.Items = &cut, sum.Items
	}
	for _, r := range s.seats(n) {
		seat := PanelSeat{Person: r.Judge, Name: known.person(r.Judge), Percent: r.Percent, Round: r.Round}
		for _, p := range r.Percent {
			seat.Sum += float64(p) / 100
		}
		if ok {
			seat.Severity = seat.Sum - cut.Marks
		}
		out.Seats = append(out.Seats, seat)
	}
	return out, nil
}

// panelItems adds the items with their keys, for who may read keys and has no
// sitting open in which they would help.
func (a *App) panelItems(ctx context.Context, r Reader, w Actor, v *PanelView) error {
	if w.may(ReadKeys) != nil {
		return nil
	}
	if err := a.closedBook(ctx, r, w, v.Panel.Procedure); err != nil {
		return err
	}
	var form quiz.Form
	if err := json.Unmarshal(v.Panel.Form, &form); err != nil {
		return fmt.Errorf("decode the form of panel %s: %w", v.Panel.ID, err)
	}
	v.Items = form.Items
	return nil
}

// panelInForce says which cut is in force, and whether on this panel's word.
func (a *App) panelInForce(ctx context.Context, r Reader, v *PanelView) error {
	last, _, err := lastPolicy(ctx, r, v.Panel.Procedure)
	if err != nil {
		return err
	}
	e, err := a.content.edition(ctx, r, v.Panel.Procedure, v.Panel.Revision, v.Panel.Build)
	if err != nil {
		return err
	}
	cut, err := a.cut(ctx, r, v.Panel.Procedure, e.Blueprint)
	v.InForce, v.Adopted = int(cut), last.Panel == v.Panel.ID
	return err
}

// lastPolicy is the policy that was set last for a procedure; false where none was.
func lastPolicy(ctx context.Context, r Reader, procedure string) (clearance.PolicySet, bool, error) {
	all, err := r.ActsOfKind(ctx, ActFilter{Kind: clearance.PolicySet{}.Kind(), Procedure: procedure})
	if err != nil {
		return clearance.PolicySet{}, false, fmt.Errorf("read policies of %s: %w", procedure, err)
	}
	for _, s := range all {
		e, err := s.Event()
		if err != nil {
			return clearance.PolicySet{}, false, err
		}
		if act := e.Act.(clearance.PolicySet); act.Procedure == procedure {
			return act, true, nil
		}
	}
	return clearance.PolicySet{}, false, nil
}

// messageOf is what an error says to a person.
func messageOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Message
	}
	return err.Error()
}

// PartMarks reports whether an item may be marked between 0 and 1: several options,
// a match, an order that is not one of isolation.
func PartMarks(it quiz.Item) bool {
	switch it.Interaction.Kind {
	case quiz.Multiple, quiz.Match:
		return true
	case quiz.Order:
		return !it.Key.AllRight
	}
	return false
}
