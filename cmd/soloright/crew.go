package main

import (
	crand "crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"time"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring/ledger"
)

// demoPerson is one of the invented crew. holds is the chance in percent that
// the person answers an item right; who has no password cannot sign in.
type demoPerson struct {
	signIn, name string
	role         api.Role
	crew         string
	password     string
	holds        int
	sits         []string // procedures
}

// demoCrew is invented: no such people, no such works.
var demoCrew = []demoPerson{
	{signIn: "newhire", name: "Tamsin Oake", role: api.Technician, crew: "day", password: "bench-of-my-own", holds: 0},
	{signIn: "trainer", name: "Berit Vahlquist", role: api.Trainer, password: "teach-it-twice", holds: 0},
	{signIn: "officer", name: "Ruben Achterlo", role: api.SafetyOfficer, password: "lock-and-bleed", holds: 0},
	{signIn: "admin", name: "Office of the works", role: api.Administrator, password: "keys-on-a-hook", holds: 0},
	{signIn: "ilse", name: "Ilse Drommond", role: api.Technician, crew: "day", holds: 96, sits: []string{"energy-isolation", "aodd-air-side", "flanged-joint"}},
	{signIn: "mako", name: "Mako Perrault-Lind", role: api.Technician, crew: "day", holds: 88, sits: []string{"energy-isolation", "aodd-air-side"}},
	{signIn: "joss", name: "Joss Tillerby", role: api.Technician, crew: "night", holds: 74, sits: []string{"energy-isolation", "aodd-air-side"}},
	{signIn: "odile", name: "Odile Marchfeld", role: api.Technician, crew: "night", holds: 92, sits: []string{"energy-isolation", "mechanical-seal"}},
	{signIn: "petro", name: "Petro Haskelund", role: api.Technician, crew: "night", holds: 83, sits: []string{"energy-isolation", "flanged-joint"}},
}

// history plays the crew's sittings. Its clock stands in the past and moves on
// with each act; its randomness is fixed, but for the ids.
type history struct {
	env   *env
	store api.Store
	key   *ledger.Signer
	now   time.Time
}

func (h *history) play() error {
	e := *h.env
	e.clock = func() time.Time { return h.now }
	app := newKeyedApp(&e, h.store, h.key)
	if err := app.BeginLedger(e.ctx); err != nil {
		return err
	}
	if err := importLibrary(e.ctx, app); err != nil {
		return err
	}
	rnd := rand.New(rand.NewPCG(7, 11))
	for _, p := range demoCrew {
		person, err := app.AddAccount(e.ctx, api.Operator(), api.AddAccount{SignIn: p.signIn, Name: p.name, Role: p.role, Crew: p.crew, Password: p.password})
		if err != nil {
			return err
		}
		for _, procedure := range p.sits {
			h.now = h.now.Add(time.Duration(20+rnd.IntN(40)) * time.Hour)
			if err := h.sit(app, person, p, procedure, rnd); err != nil {
				return fmt.Errorf("play %s on %s: %w", p.signIn, procedure, err)
			}
		}
	}
	return nil
}

// sit plays one qualifying sitting.
func (h *history) sit(app *api.App, person api.Person, p demoPerson, procedure string, rnd *rand.Rand) error {
	ctx := h.env.ctx
	as, err := h.session(person)
	if err != nil {
		return err
	}
	proc, err := app.Procedure(ctx, as, procedure, "")
	if err != nil {
		return err
	}
	s, err := app.OpenSitting(ctx, as, api.OpenSitting{Procedure: procedure, Build: buildsOf(proc)[0], Mode: api.Qualifying})
	if err != nil {
		return err
	}
	form, err := h.form(s.ID)
	if err != nil {
		return err
	}
	for i, it := range form.Items {
		h.now = h.now.Add(time.Duration(15+rnd.IntN(50)) * time.Second)
		a, err := demoAnswer(it, rnd.IntN(100) < p.holds, rnd)
		if err != nil {
			return err
		}
		if _, err := app.SaveAnswer(ctx, as, api.SaveAnswer{Sitting: s.ID, Sheet: i + 1, Revision: 1, Answer: a}); err != nil {
			return err
		}
	}
	if _, err := app.HandIn(ctx, as, s.ID); err != nil {
		return err
	}
	return app.SignOut(ctx, as)
}

// session opens a session for somebody who has no password, straight in the
// store: no use case lets one act for another.
func (h *history) session(person api.Person) (api.Caller, error) {
	raw := make([]byte, 32)
	if _, err := crand.Read(raw); err != nil {
		return api.Caller{}, fmt.Errorf("read randomness: %w", err)
	}
	sum := sha256.Sum256(raw)
	s := api.Session{Hash: sum[:], Person: person.ID, Begun: h.now, Seen: h.now, Expires: h.now.Add(api.SessionFor), Agent: "demo"}
	err := h.store.InTx(h.env.ctx, func(tx api.Tx) error { return tx.AddSession(h.env.ctx, s) })
	if err != nil {
		return api.Caller{}, fmt.Errorf("open a session for %s: %w", person.SignIn, err)
	}
	return api.Bearer(base64.RawURLEncoding.EncodeToString(raw)), nil
}

// form reads a form with its keys, straight from the store: no use case gives
// keys away.
func (h *history) form(sitting string) (quiz.Form, error) {
	var form quiz.Form
	err := h.store.Read(h.env.ctx, func(r api.Reader) error {
		raw, err := r.Form(h.env.ctx, sitting)
		if err != nil {
			return err
		}
		return json.Unmarshal(raw, &form)
	})
	return form, err
}

// demoAnswer gives a right answer, or a wrong one that somebody might give.
func demoAnswer(it quiz.Item, right bool, rnd *rand.Rand) (quiz.Answer, error) {
	a, err := quiz.RightAnswer(it)
	if err != nil || right {
		return a, err
	}
	switch it.Interaction.Kind {
	case quiz.Match:
		row := it.Interaction.Rows[rnd.IntN(len(it.Interaction.Rows))].ID
		a.Rows[row] = it.Interaction.Bins[rnd.IntN(len(it.Interaction.Bins))].ID
	case quiz.Order, quiz.Sequence:
		rnd.Shuffle(len(a.Options), func(i, j int) { a.Options[i], a.Options[j] = a.Options[j], a.Options[i] })
	case quiz.Numeric:
		return quiz.Answer{Number: fmt.Sprint(1 + rnd.IntN(60))}, nil
	default:
		a.Options = []string{it.Interaction.Options[rnd.IntN(len(it.Interaction.Options))].ID}
	}
	return a, nil
}
