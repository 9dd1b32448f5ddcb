package api

import (
	"context"
	"fmt"

	"soloright/quiz"
	"soloright/scoring"
)

// Explained is a practice sheet marked at once.
type Explained struct {
	Item   quiz.Item
	Answer quiz.Answer
	Marked scoring.Marked
}

// Explain fixes the kept answer of a practice sheet and marks it at once; a
// sheet without an answer is marked as blank. In a qualifying sitting it is a
// Conflict: its keys stay hidden.
func (a *App) Explain(ctx context.Context, c Caller, sitting string, n int) (Explained, error) {
	var out Explained
	err := a.inTx(ctx, c, Sit, func(tx Tx, w Actor) error {
		// Exclusively: an answer acknowledged in between must not be overwritten.
		if err := a.answerable(ctx, tx, w, sitting, tx.OpenExclusive); err != nil {
			return err
		}
		s, err := tx.Sitting(ctx, sitting)
		if err != nil {
			return fmt.Errorf("read sitting %s: %w", sitting, err)
		}
		if s.Mode != Practice {
			return conflict(string(s.Mode), "Only practice is explained. The keys of a "+string(s.Mode)+" sitting stay hidden.")
		}
		if err := a.closedBook(ctx, tx, w, s.Procedure); err != nil {
			return err
		}
		out, err = a.explain(ctx, tx, sitting, n)
		return err
	})
	return out, err
}

func (a *App) explain(ctx context.Context, tx Tx, sitting string, n int) (Explained, error) {
	form, err := a.forms.form(ctx, tx, sitting)
	if err != nil {
		return Explained{}, err
	}
	if n < 1 || n > len(form.Items) {
		return Explained{}, notFound("sheet")
	}
	kept := map[int]KeptAnswer{}
	if err := a.addAnswers(ctx, tx, sitting, kept); err != nil {
		return Explained{}, err
	}
	k, have := kept[n]
	if !have {
		k = KeptAnswer{Sheet: n, Revision: 1, Answer: quiz.Answer{}.Canonical(), Kept: a.now()}
	}
	var ans quiz.Answer
	if err := decodeAnswer(k.Answer, &ans); err != nil {
		return Explained{}, err
	}
	out, err := explained(form.Items[n-1], ans)
	if err != nil {
		return Explained{}, err
	}
	k.Fixed = true
	if err := tx.FixAnswer(ctx, sitting, k); err != nil {
		return Explained{}, fmt.Errorf("fix answer %s/%d: %w", sitting, n, err)
	}
	return *out, nil
}

func explained(it quiz.Item, ans quiz.Answer) (*Explained, error) {
	m, err := scoring.Mark(it, ans)
	if err != nil {
		return nil, fmt.Errorf("mark item %s: %w", it.ID, err)
	}
	return &Explained{Item: it, Answer: ans, Marked: m}, nil
}
