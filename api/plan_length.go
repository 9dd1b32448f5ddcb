package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring/itemstat"
)

// PlanLength asks how long a test must be. The shares are of what is held, from 0
// to 1.
type PlanLength struct {
	Weak      float64 `json:"weak" validate:"gt=0,lt=1"`       // who holds this or less …
	FalsePass float64 `json:"false_pass" validate:"gt=0,lt=1"` // … passes with less than this chance, within the tries
	Strong    float64 `json:"strong" validate:"gt=0,lt=1"`     // who holds this or more …
	FalseFail float64 `json:"false_fail" validate:"gt=0,lt=1"` // … fails one try with less than this chance
	Tries     int     `json:"tries" validate:"min=1,max=20"`
}

// LengthPlan is the answer: exactly binomial, luck left out.
type LengthPlan struct {
	Plan itemstat.Plan
	// What a form of another length does by the same measure; zero where none was given.
	Like itemstat.Plan
}

// PlanTest works out the shortest test that meets the goal, and beside it what a
// form of items sheets with needed to pass does; 0 items for none. It is for
// who may read results and costs some milliseconds.
func (a *App) PlanTest(ctx context.Context, c Caller, cmd PlanLength, items, needed int) (LengthPlan, error) {
	if err := a.read(ctx, c, ReadResults, func(Reader, Actor) error { return nil }); err != nil {
		return LengthPlan{}, err
	}
	if err := check(cmd); err != nil {
		return LengthPlan{}, err
	}
	if cmd.Weak >= cmd.Strong {
		return LengthPlan{}, invalid("weak", "The share that is to fail must be below the share that is to pass.")
	}
	goal := itemstat.Goal(cmd)
	plan, err := itemstat.PlanLength(goal)
	var refused *itemstat.RefusedError
	if errors.As(err, &refused) {
		return LengthPlan{}, invalid("false_pass", fmt.Sprintf("No test of at most %d sheets does this. Allow a larger risk, fewer tries, or shares further apart.", itemstat.MaxPlan))
	}
	if err != nil {
		return LengthPlan{}, fmt.Errorf("plan a test: %w", err)
	}
	out := LengthPlan{Plan: plan}
	if items > 0 {
		out.Like = itemstat.RisksOf(goal, items, needed)
	}
	return out, nil
}
