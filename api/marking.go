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

// outcome marks a sitting by the given rules, with every sheet.
func (a *App) outcome(ctx context.Context, r Reader, s Sitting, rules int) (scoring.Outcome, error) {
	return a.outcomeBy(ctx, r, s, markedBy{rules: rules, at: a.now()})
}

// markedBy is how a marking is made: by which rules, without which sheets, and
// when: a confirming step is marked by what then stood of the sitting before it.
type markedBy struct {
	rules int
	left  []int
	at    time.Time
}

func (a *App) outcomeBy(ctx context.Context, r Reader, s Sitting, how markedBy) (scoring.Outcome, error) {
	form, answers, err := a.handed(ctx, r, s.ID)
	if err != nil {
		return scoring.Outcome{}, err
	}
	by, err := scoring.ByRules(how.rules)
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("mark %s: %w", s.ID, err)
	}
	var out scoring.Outcome
	switch {
	case s.Mode == DeltaSitting:
		out, err = by.Delta(form, answers, how.left...)
	case s.Confirms == "":
		out, err = by.Sitting(form, answers, how.left...)
	default:
		out, err = a.confirming(ctx, r, s, by, how, form, answers)
	}
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("mark %s: %w", s.ID, err)
	}
	return out, nil
}

// confirming marks the confirming step of another sitting.
func (a *App) confirming(ctx context.Context, r Reader, s Sitting, by scoring.Rules, how markedBy, form *quiz.Form, answers map[int]quiz.Answer) (scoring.Outcome, error) {
	first, err := r.Sitting(ctx, s.Confirms)
	if err != nil {
		return scoring.Outcome{}, fmt.Errorf("read sitting %s: %w", s.Confirms, err)
	}
	left, err := leftOut(ctx, r, first.ID, how.at)
	if err != nil {
		return scoring.Outcome{}, err
	}
	was, err := a.outcomeBy(ctx, r, first, markedBy{rules: by.Version, left: left, at: how.at})
	if err != nil {
		return scoring.Outcome{}, err
	}
	return by.Confirm(was, form, answers, how.left...)
}

// leftOut lists the sheets that the marking leaves out which stood at a time.
func leftOut(ctx context.Context, r Reader, id string, at time.Time) ([]int, error) {
	marks, err := r.Marks(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("read marks of %s: %w", id, err)
	}
	var left []int
	for _, m := range marks {
		if m.At.After(at) {
			break
		}
		if left, err = m.leftOut(); err != nil {
			return nil, err
		}
	}
	return left, nil
}

// leftOut lists the sheets that the marking leaves out.
func (m Marking) leftOut() ([]int, error) {
	var out scoring.Outcome
	if err := json.Unmarshal(m.Outcome, &out); err != nil {
		return nil, fmt.Errorf("decode marking %d of %s: %w", m.N, m.Sitting, err)
	}
	return out.LeftOut(), nil
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
		if m.Left {
			continue
		}
		for _, f := range m.Facts {
			facts = append(facts, MarkedFact{Sheet: i + 1, Fact: f.Fact, State: string(f.State)})
		}
	}
	return Marking{Sitting: sitting, N: n, Rules: out.Rules, At: at, Outcome: raw, Verdict: string(out.Verdict), Percent: out.Percent}, facts, nil
}
