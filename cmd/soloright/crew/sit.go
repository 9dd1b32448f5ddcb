package crew

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring"
)

// triesBeforeTraining is as the policy of the works has it.
const triesBeforeTraining = 3

// try plays a qualifying sitting with its confirming step, and what follows.
func (h *history) try(ctx context.Context, w *worker, procedure string) error {
	if w.gone {
		return nil
	}
	id, err := h.sit(ctx, w, procedure, api.Qualifying)
	if err != nil {
		return err
	}
	verdict, err := h.verdict(ctx, w, id)
	if err != nil {
		return err
	}
	if verdict == scoring.Passed {
		h.passed(w, procedure)
		return nil
	}
	w.failed[procedure]++
	if w.failed[procedure] == triesBeforeTraining {
		h.in(1, 3, func(ctx context.Context) error { return h.train(ctx, w, procedure) })
		return nil
	}
	h.in(2, 4, func(ctx context.Context) error { return h.try(ctx, w, procedure) })
	return nil
}

// passed notes what follows a pass: the observed rebuild, which not everybody gets
// round to, the next procedure, and the same one again just before a year is over.
func (h *history) passed(w *worker, procedure string) {
	w.failed[procedure] = 0
	w.passed[procedure]++
	if procedure == isolation || h.rnd.IntN(2) > 0 {
		h.in(3, 6, func(ctx context.Context) error { return h.observe(ctx, w, procedure) })
	}
	if w.passed[procedure] == 1 {
		h.in(9, 12, func(ctx context.Context) error { return h.learnNext(ctx, w) })
	}
	h.in(348, 14, func(ctx context.Context) error { return h.try(ctx, w, procedure) })
}

// verdict is the final one, after the confirming step where there is one.
func (h *history) verdict(ctx context.Context, w *worker, sitting string) (scoring.Verdict, error) {
	res, err := h.app.Result(ctx, w.as, sitting)
	if err != nil || res.Final != scoring.ToConfirm {
		return res.Final, err
	}
	h.now = h.now.Add(time.Duration(2+h.rnd.IntN(9)) * time.Minute)
	s, err := h.app.OpenConfirming(ctx, w.as, sitting)
	if err != nil {
		return "", err
	}
	if err := h.answer(ctx, w, s); err != nil {
		return "", err
	}
	res, err = h.app.Result(ctx, w.as, sitting)
	return res.Final, err
}

// sit plays one sitting, up to the hand-in.
func (h *history) sit(ctx context.Context, w *worker, procedure string, mode api.Mode) (string, error) {
	s, err := h.app.OpenSitting(ctx, w.as, api.OpenSitting{Procedure: procedure, Build: buildOf(procedure), Mode: mode})
	if err != nil {
		return "", fmt.Errorf("%s on %s: %w", w.SignIn, procedure, err)
	}
	return s.ID, h.answer(ctx, w, s)
}

// answer fills an open sitting in and hands it in.
func (h *history) answer(ctx context.Context, w *worker, s api.Sitting) error {
	form, err := h.form(ctx, s.ID)
	if err != nil {
		return err
	}
	for i := range form.Items {
		took := time.Duration(form.Items[i].Seconds*(30+h.rnd.IntN(50))) * 10 * time.Millisecond // 30 to 79 % of its time
		h.now = h.now.Add(took)
		a, err := w.mind.answer(&form.Items[i], s.Revision, h.rnd)
		if err != nil {
			return err
		}
		if _, err := h.app.SaveAnswer(ctx, w.as, api.SaveAnswer{Sitting: s.ID, Sheet: i + 1, Revision: 1, Millis: took.Milliseconds(), Answer: a}); err != nil {
			return err
		}
	}
	w.mind.learn()
	_, err = h.app.HandIn(ctx, w.as, s.ID)
	return err
}

// form reads a form with its keys, straight from the store: no use case gives
// keys away.
func (h *history) form(ctx context.Context, sitting string) (form quiz.Form, err error) {
	err = h.works.Store.Read(ctx, func(r api.Reader) error {
		raw, err := r.Form(ctx, sitting)
		if err != nil {
			return fmt.Errorf("read form of %s: %w", sitting, err)
		}
		return json.Unmarshal(raw, &form)
	})
	return form, err
}
