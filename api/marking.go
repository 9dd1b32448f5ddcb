package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/ledger"
)

// markIfUnmarked marks a handed-in sitting by today's rules, once.
func (a *App) markIfUnmarked(ctx context.Context, id string) error {
	return a.store.InTx(ctx, func(tx Tx) error {
		s, err := tx.Sitting(ctx, id)
		if err != nil || s.State != StateHandedIn {
			return err
		}
		out, err := a.outcome(ctx, tx, s, scoring.RulesVersion)
		if err != nil {
			return err
		}
		m, facts, err := marking(id, 1, a.now(), out)
		if err != nil {
			return err
		}
		err = tx.AddMarks(ctx, m, facts)
		if errors.Is(err, ErrExists) {
			return nil // somebody else was faster
		}
		if err != nil {
			return fmt.Errorf("keep marks of %s: %w", id, err)
		}
		acts, err := a.verdictActs(ctx, tx, s, m)
		if err != nil {
			return err
		}
		if err := a.keepResponses(ctx, tx, id); err != nil {
			return err
		}
		return a.attestActs(ctx, tx, "", byProgram, m.At, []ledger.Entry{marked(m, byProgram)}, acts...)
	})
}

// outcome marks a sitting by the given rules.
func (a *App) outcome(ctx context.Context, r Reader, s Sitting, rules int) (scoring.Outcome, error) {
	form, answers, err := a.handed(ctx, r, s.ID)
	if err != nil {
		return scoring.Outcome{}, err
	}
	by, err := scoring.ByRules(rules)
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("mark %s: %w", s.ID, err)
	}
	var out scoring.Outcome
	switch {
	case s.Mode == DeltaSitting:
		out, err = by.Delta(form, answers)
	case s.Confirms == "":
		out, err = by.Sitting(form, answers)
	default:
		out, err = a.confirming(ctx, r, s, by, form, answers)
	}
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("mark %s: %w", s.ID, err)
	}
	return out, nil
}

// confirming marks the confirming step of another sitting.
func (a *App) confirming(ctx context.Context, r Reader, s Sitting, by scoring.Rules, form *quiz.Form, answers map[int]quiz.Answer) (scoring.Outcome, error) {
	first, err := r.Sitting(ctx, s.Confirms)
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("read sitting %s: %w", s.Confirms, err)
	}
	was, err := a.outcome(ctx, r, first, by.Version)
	if err != nil {
		return scoring.Outcome{}, err
	}
	return by.Confirm(was, form, answers)
}

// handed returns the form and the answers of a hand-in.
func (a *App) handed(ctx context.Context, r Reader, id string) (*quiz.Form, map[int]quiz.Answer, error) {
	form, err := a.forms.form(ctx, r, id)
	if err != nil {
		return nil, nil, err
	}
	h, err := r.HandIn(ctx, id)
	if err != nil {
		return nil, nil, fmt.Errorf("read hand-in of %s: %w", id, err)
	}
	var all []handedAnswer
	if err := json.Unmarshal(h.Answers, &all); err != nil {
		return nil, nil, fmt.Errorf("decode hand-in of %s: %w", id, err)
	}
	answers := map[int]quiz.Answer{}
	for _, k := range all {
		var ans quiz.Answer
		if err := decodeAnswer(k.Answer, &ans); err != nil {
			return nil, nil, err
		}
		answers[k.Sheet] = ans
	}
	return form, answers, nil
}

// marking makes the record of an outcome.
func marking(sitting string, n int, at time.Time, out scoring.Outcome) (Marking, []MarkedFact, error) {
	raw, err := json.Marshal(out)
	if err != nil {
		return Marking{}, nil, fmt.Errorf("encode outcome of %s: %w", sitting, err)
	}
	var facts []MarkedFact
	for i, m := range out.Items {
		for _, f := range m.Facts {
			facts = append(facts, MarkedFact{Sheet: i + 1, Fact: f.Fact, State: string(f.State)})
		}
	}
	return Marking{Sitting: sitting, N: n, Rules: out.Rules, At: at, Outcome: raw, Verdict: string(out.Verdict), Percent: out.Percent}, facts, nil
}
