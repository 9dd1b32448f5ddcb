package api

import (
	"context"
	"encoding/json"
	"fmt"
	"math/big"

	"soloright/quiz"
	"soloright/scoring"
)

// keepResponses keeps what a marking says for analysis, in the marking's own
// transaction, and waits for whoever appends to the ledger: call it after the
// marking is written and before its entry is. Every marking goes through it,
// the later ones too.
func (a *App) keepResponses(ctx context.Context, tx Tx, id string) error {
	if _, err := tx.LockLedger(ctx); err != nil {
		return err
	}
	s, err := a.responses(ctx, tx, id)
	if err != nil {
		return err
	}
	if err := tx.PutResponses(ctx, s); err != nil {
		return fmt.Errorf("keep responses of %s: %w", id, err)
	}
	return nil
}

// responses works out what a sitting says from its form, its hand-in and the
// marking that stands.
func (a *App) responses(ctx context.Context, r Reader, id string) (SittingResponses, error) {
	s, err := r.Sitting(ctx, id)
	if err != nil {
		return SittingResponses{}, fmt.Errorf("read sitting %s: %w", id, err)
	}
	out := SittingResponses{Sitting: id, Person: s.Person, Procedure: s.Procedure, Revision: s.Revision, Build: s.Build, Mode: s.Mode, Confirms: s.Confirms,
		HandedIn: s.HandedIn, Void: s.State == StateVoid}
	if out.Void {
		return out, nil
	}
	m, err := lastMarking(ctx, r, id)
	if err != nil {
		return SittingResponses{}, err
	}
	var marked scoring.Outcome
	if err := json.Unmarshal(m.Outcome, &marked); err != nil {
		return SittingResponses{}, fmt.Errorf("decode outcome of %s: %w", id, err)
	}
	form, answers, err := a.handed(ctx, r, id)
	if err != nil {
		return SittingResponses{}, err
	}
	millis, err := millisOf(ctx, r, id)
	if err != nil {
		return SittingResponses{}, err
	}
	if len(marked.Items) != len(form.Items) {
		return SittingResponses{}, fmt.Errorf("read responses of %s: %d sheets marked, the form has %d", id, len(marked.Items), len(form.Items))
	}
	out.N, out.Sheets = m.N, make([]Response, 0, len(form.Items))
	for i := range form.Items {
		if marked.Items[i].Left { // its item was wrong: it says nothing of anybody
			continue
		}
		sheet := response(i+1, &form.Items[i], answers[i+1], marked.Items[i])
		sheet.Millis = millis[i+1]
		out.Sheets = append(out.Sheets, sheet)
	}
	return out, nil
}

// millisOf is the time spent on each sheet, where the client told it.
func millisOf(ctx context.Context, r Reader, id string) (map[int]int64, error) {
	h, err := r.HandIn(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("read hand-in of %s: %w", id, err)
	}
	var all []handedAnswer
	if err := json.Unmarshal(h.Answers, &all); err != nil {
		return nil, fmt.Errorf("decode hand-in of %s: %w", id, err)
	}
	out := map[int]int64{}
	for _, k := range all {
		out[k.Sheet] = k.Millis
	}
	return out, nil
}

func response(sheet int, it *quiz.Item, ans quiz.Answer, m scoring.Marked) Response {
	r := Response{Sheet: sheet, Item: it.ID, Model: it.Model, Version: it.Version, Lead: it.Lead, Topic: it.Topic,
		Mark: near(m.Mark), Chance: near(it.Chance.Full), Mean: near(it.Chance.Mean), Blank: m.Blank, Left: m.Left, Said: m.Feedback, Options: offered(it, ans)}
	for _, f := range m.Facts {
		r.Facts = append(r.Facts, FactResponse{Fact: f.Fact, State: f.State})
	}
	if ans.Number != "" {
		r.Number = ans.Number
		if it.Interaction.Unit != "" {
			r.Number += " " + it.Interaction.Unit
		}
	}
	return r
}

// near is the float nearest to a fraction.
func near(f quiz.Fraction) float64 {
	if f.Rat == nil {
		return 0
	}
	v, _ := new(big.Rat).Set(f.Rat).Float64()
	return v
}
