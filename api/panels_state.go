package api

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"soloright/scoring/itemstat"
)

// panelState is a panel with what became of it.
type panelState struct {
	Panel   Panel
	ratings []PanelRatings
	ends    []PanelEnd
	round   int // that is open; of a closed panel its last
	closed  bool
}

func readPanel(ctx context.Context, r Reader, id string) (*panelState, error) {
	p, err := r.Panel(ctx, id)
	if errors.Is(err, ErrNone) {
		return nil, notFound("panel")
	}
	if err != nil {
		return nil, fmt.Errorf("read panel %s: %w", id, err)
	}
	return stateOf(ctx, r, p)
}

func stateOf(ctx context.Context, r Reader, p Panel) (*panelState, error) {
	s := &panelState{Panel: p, round: 1}
	var err error
	if s.ratings, err = r.RatingsOf(ctx, p.ID); err != nil {
		return nil, fmt.Errorf("read ratings of panel %s: %w", p.ID, err)
	}
	if s.ends, err = r.EndsOf(ctx, p.ID); err != nil {
		return nil, fmt.Errorf("read ends of panel %s: %w", p.ID, err)
	}
	for _, e := range s.ends {
		s.round, s.closed = e.Round, e.Closed
		if !e.Closed {
			s.round++
		}
	}
	return s, nil
}

// in is what a judge said in a round.
func (s *panelState) in(judge string, round int) (PanelRatings, bool) {
	i := slices.IndexFunc(s.ratings, func(r PanelRatings) bool { return r.Judge == judge && r.Round == round })
	if i < 0 {
		return PanelRatings{}, false
	}
	return s.ratings[i], true
}

// standing is what of a judge stands in a round: what was said in it, else in the
// last one before.
func (s *panelState) standing(judge string, round int) (PanelRatings, bool) {
	for n := round; n > 0; n-- {
		if r, ok := s.in(judge, n); ok {
			return r, true
		}
	}
	return PanelRatings{}, false
}

// mayRate refuses who is no judge, who is in already, and who did not rate in the
// first round: by now the others are known, and the rating would not be a person's own.
func (s *panelState) mayRate(judge string, round int) error {
	_, in := s.in(judge, s.round)
	_, first := s.in(judge, 1)
	switch {
	case !slices.Contains(s.Panel.Judges, judge):
		return &Error{Kind: Forbidden, Message: "You are no judge of this panel."}
	case s.closed:
		return conflict("closed", "This panel is closed. Nothing was kept.")
	case round != s.round:
		return conflict(fmt.Sprintf("round %d", s.round), fmt.Sprintf("These ratings are for round %d, and round %d is open. Nothing was kept: look at the spread and rate again.", round, s.round))
	case in:
		return conflict("rated", "Your ratings of this round are in. They stand; another round is for the chair to begin.")
	case s.round > 1 && !first:
		return conflict("late", "You did not rate in the first round. By now the others’ ratings are known, so yours would not be your own.")
	}
	return nil
}

func (s *panelState) mayEnd(cmd EndRound) error {
	n := len(s.seats(s.round))
	switch {
	case s.closed:
		return conflict("closed", "This panel is closed already.")
	case cmd.Round != s.round:
		return conflict(fmt.Sprintf("round %d", s.round), fmt.Sprintf("Round %d is open, not round %d. Look again.", s.round, cmd.Round))
	case cmd.Close:
		return nil
	case n < leastJudges:
		return conflict("too few judges", fmt.Sprintf("Ratings in: %d. Another round needs two judges whose ratings can be compared. Wait, or close the panel without a cut.", n))
	case s.round == mostRounds:
		return conflict("last round", fmt.Sprintf("Round %d is the last. Close the panel.", mostRounds))
	}
	return nil
}

// seats are the ratings that count in a round, by the order of the judges.
func (s *panelState) seats(round int) (out []PanelRatings) {
	for _, j := range s.Panel.Judges {
		if r, ok := s.standing(j, round); ok {
			out = append(out, r)
		}
	}
	return out
}

// PanelCut is what a round of a panel comes to.
type PanelCut struct {
	Judges  int     `json:"judges"`            // whose ratings count
	Marks   float64 `json:"marks"`             // the mean of the judges' sums
	SE      float64 `json:"se"`                // its standard error, in marks: the n − 1 standard deviation of the sums by √n
	Percent int     `json:"percent"`           // of the marks, rounded up: nobody passes whom the panel would not let pass
	Pass    int     `json:"pass"`              // the fewest right answers, where every item is right or wrong
	Clipped bool    `json:"clipped,omitempty"` // outside what a policy allows as a cut
}

// cutOf works out the cut of a round; false where fewer than two judges rated.
// The percent and the fewest right answers are exact: ratings are whole percents.
func (s *panelState) cutOf(round int) (PanelCut, itemstat.Panel, bool, error) {
	seats := s.seats(round)
	if len(seats) < leastJudges {
		return PanelCut{}, itemstat.Panel{}, false, nil
	}
	rows, total := make([][]float64, len(seats)), 0
	for i, r := range seats {
		rows[i] = make([]float64, len(r.Percent))
		for j, p := range r.Percent {
			rows[i][j] = float64(p) / 100
			total += p
		}
	}
	sum, err := itemstat.Angoff(rows)
	if err != nil {
		return PanelCut{}, sum, false, fmt.Errorf("work out panel %s: %w", s.Panel.ID, err)
	}
	n := len(seats)
	c := PanelCut{Judges: n, Marks: sum.Cut.Value, SE: sum.SE.Value, Percent: ceilDiv(total, n*s.Panel.Items), Pass: ceilDiv(total, 100*n)}
	c.Clipped = c.Percent < 50
	return c, sum, true, nil
}

func ceilDiv(a, b int) int { return (a + b - 1) / b }
