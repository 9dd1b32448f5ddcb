package api

import (
	"context"
	"fmt"

	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/itemstat"
)

// What the sequential check of practice tells apart: who holds twenty percent less
// than the cut, and who five more. With a cut of 80 % that is .60 against .85, each
// mistaken for the other one time in forty.
const (
	masteryBelow = 20
	masteryAbove = 5
	masteryRisk  = 0.025
)

// Mastery is what a practice sitting says so far, by Wald's sequential test.
// Critical facts are outside it: however clear mastery is, each of them must be
// held.
type Mastery struct {
	Low, High float64          // the shares held that it tells apart
	Right, Of int              // sheets explained so far without a critical fact: lead facts right, and all
	Verdict   itemstat.Verdict // "go on" while it is not clear
	Missed    int              // critical facts missed on the sheets explained so far
}

// Mastery returns it for one's own practice sitting, open or handed in; for a
// sitting of another mode it is a Conflict. It marks what was explained so far.
func (a *App) Mastery(ctx context.Context, c Caller, sitting string) (Mastery, error) {
	var out Mastery
	err := a.read(ctx, c, Sit, func(r Reader, w Actor) error {
		s, err := sittingOf(ctx, r, w, sitting)
		if err != nil {
			return err
		}
		switch {
		case s.Person != w.Person.ID:
			return notFound("sitting")
		case s.Mode != Practice:
			return conflict(string(s.Mode), "Only practice is judged as it goes.")
		}
		form, err := a.forms.form(ctx, r, sitting)
		if err != nil {
			return err
		}
		out, err = a.mastery(ctx, r, s, form)
		return err
	})
	return out, err
}

func (a *App) mastery(ctx context.Context, r Reader, s Sitting, form *quiz.Form) (Mastery, error) {
	cut := int(form.Cut)
	out := Mastery{Low: float64(max(5, cut-masteryBelow)) / 100, High: float64(min(98, cut+masteryAbove)) / 100}
	answers, err := a.explainedSoFar(ctx, r, s)
	if err != nil {
		return out, err
	}
	for n, ans := range answers {
		if n < 1 || n > len(form.Items) {
			continue
		}
		m, err := scoring.Mark(form.Items[n-1], ans)
		if err != nil {
			return out, fmt.Errorf("mark sheet %d of %s: %w", n, s.ID, err)
		}
		out.hear(&form.Items[n-1], m)
	}
	test, err := itemstat.NewSequential(out.Low, out.High, masteryRisk, masteryRisk)
	if err != nil {
		return out, fmt.Errorf("judge practice: %w", err)
	}
	out.Verdict, _ = test.Judge(out.Right, out.Of)
	return out, nil
}

// hear takes in one explained sheet.
func (m *Mastery) hear(it *quiz.Item, marked scoring.Marked) {
	critical := false
	for i, f := range it.Facts {
		if f.Critical {
			critical = true
			if marked.Facts[i].State != scoring.Right {
				m.Missed++
			}
		}
	}
	if critical {
		return
	}
	m.Of++
	if marked.Facts[0].State == scoring.Right {
		m.Right++
	}
}

// explainedSoFar are the answers of a practice sitting that count: those explained
// while it is open, all after the hand-in.
func (a *App) explainedSoFar(ctx context.Context, r Reader, s Sitting) (map[int]quiz.Answer, error) {
	if s.State != StateOpen {
		_, answers, err := a.handed(ctx, r, s.ID)
		return answers, err
	}
	kept, err := r.Answers(ctx, s.ID)
	if err != nil {
		return nil, fmt.Errorf("read answers of %s: %w", s.ID, err)
	}
	out := map[int]quiz.Answer{}
	for _, k := range kept {
		if !k.Fixed {
			continue
		}
		var ans quiz.Answer
		if err := decodeAnswer(k.Answer, &ans); err != nil {
			return nil, err
		}
		out[k.Sheet] = ans
	}
	return out, nil
}
