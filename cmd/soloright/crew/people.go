package crew

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"

	"soloright/api"
)

// join adds a person's account.
func (h *history) join(ctx context.Context, p Person) (*worker, error) {
	acc, err := h.app.AddAccount(ctx, api.Operator(), api.AddAccount{SignIn: p.SignIn, Name: p.Name, Role: p.Role, Crew: p.Crew, Password: p.Password})
	if err != nil {
		return nil, err
	}
	w := &worker{Person: p, id: acc.ID, mind: mindOf(p), failed: map[string]int{}, passed: map[string]int{}}
	return w, h.signIn(ctx, w)
}

// signIn opens a session straight in the store: no use case lets one act for
// another, and most of the crew have no password. It ends with the history.
func (h *history) signIn(ctx context.Context, w *worker) error {
	raw := sha256.Sum256([]byte("session of " + w.id))
	sum := sha256.Sum256(raw[:])
	s := api.Session{Hash: sum[:], Person: w.id, Begun: h.now, Seen: h.now, Expires: h.works.Now, Agent: "demo"}
	if err := h.works.Store.InTx(ctx, func(tx api.Tx) error { return tx.AddSession(ctx, s) }); err != nil {
		return fmt.Errorf("open a session for %s: %w", w.SignIn, err)
	}
	w.as = api.Bearer(base64.RawURLEncoding.EncodeToString(raw[:]))
	return nil
}

// joinAndLearn takes a technician on, who begins to learn the first procedure.
func (h *history) joinAndLearn(ctx context.Context, p Person) error {
	w, err := h.join(ctx, p)
	if err != nil {
		return err
	}
	h.crew[p.SignIn] = w
	h.in(2, 5, func(ctx context.Context) error { return h.learnNext(ctx, w) })
	return nil
}

// joinAndWait takes on the technician who is ready to be observed on the pump: cleared
// on isolation, the pump's sitting passed, and nobody has looked yet.
func (h *history) joinAndWait(ctx context.Context, p Person) error {
	w, err := h.join(ctx, p)
	if err != nil {
		return err
	}
	w.mind = &mind{sure: true}
	for _, step := range []struct {
		days int
		do   func(context.Context) error
	}{
		{2, func(ctx context.Context) error { _, err := h.sit(ctx, w, isolation, api.Qualifying); return err }},
		{4, func(ctx context.Context) error { return h.observe(ctx, w, isolation) }},
		{7, func(ctx context.Context) error { _, err := h.sit(ctx, w, pump, api.Qualifying); return err }},
	} {
		h.in(step.days, 0, step.do)
	}
	return nil
}

// learnNext begins the next procedure, some with a practice sitting.
func (h *history) learnNext(ctx context.Context, w *worker) error {
	if w.next == len(w.Works) || w.gone {
		return nil
	}
	procedure := w.Works[w.next]
	w.next++
	if h.rnd.IntN(4) == 0 {
		if _, err := h.sit(ctx, w, procedure, api.Practice); err != nil {
			return err
		}
	}
	h.in(1, 3, func(ctx context.Context) error { return h.try(ctx, w, procedure) })
	return nil
}

// train has the trainer teach a technician who failed too often, and note it.
func (h *history) train(ctx context.Context, w *worker, procedure string) error {
	trainer := h.staff[api.Trainer]
	err := h.app.GiveTraining(ctx, trainer.as, api.GiveTraining{Technician: w.id, Procedure: procedure, Date: dayOf(h.now, h.works.Zone), Verified: "Asked at the bench, part by part"})
	if err != nil {
		return err
	}
	w.mind.shown = w.mind.shown || procedure == pump
	w.failed[procedure] = 0
	h.in(1, 3, func(ctx context.Context) error { return h.try(ctx, w, procedure) })
	return nil
}

// Trusting keeps passwords as another does, and takes whoever gives one at their
// word: while the history is played nobody else signs, and those of the crew who
// have no password never sign in afterwards.
func Trusting(p api.Passwords) api.Passwords { return trusting{p} }

type trusting struct{ api.Passwords }

func (trusting) Verify(context.Context, string, string) (bool, error) { return true, nil }
