package api

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// OpenSitting is the command to begin a sitting on a procedure's current revision.
type OpenSitting struct {
	Procedure string `json:"procedure" validate:"required,max=64"`
	Build     string `json:"build,omitempty" validate:"max=64"` // not of a delta sitting: it is the one sat on before
	Mode      Mode   `json:"mode" validate:"required,oneof=practice qualifying delta"`
}

// OpenSitting assembles a form for the caller and opens a sitting on it. Where
// the caller has an open sitting of that mode on that procedure already, that
// one is returned; one on another build is a Conflict. A blueprint that cannot be
// met is a Conflict that names the constraint; so is a qualifying sitting before
// the policy allows the next try, which says when it may begin, and a delta
// sitting where nothing changed or something is to be read first.
func (a *App) OpenSitting(ctx context.Context, c Caller, cmd OpenSitting) (Sitting, error) {
	if err := check(cmd); err != nil {
		return Sitting{}, err
	}
	if cmd.Mode != Practice {
		if err := a.settleTries(ctx, c, cmd.Procedure, cmd.Mode); err != nil {
			return Sitting{}, err
		}
	}
	seed, err := a.newSeed()
	if err != nil {
		return Sitting{}, err
	}
	id, err := a.newID()
	if err != nil {
		return Sitting{}, err
	}
	var s Sitting
	err = a.inTx(ctx, c, Sit, func(tx Tx, w Actor) error {
		if cmd.Mode == Practice {
			if err := a.closedBook(ctx, tx, w, cmd.Procedure); err != nil {
				return err
			}
		}
		if s, err = a.openAlready(ctx, tx, w, cmd); err != nil || s.ID != "" {
			return err
		}
		if cmd.Mode == DeltaSitting {
			s, err = a.openDelta(ctx, tx, w, cmd.Procedure, id, seed)
			return err
		}
		s, err = a.open(ctx, tx, w, cmd, id, seed)
		return err
	})
	if errors.Is(err, ErrExists) { // another device of the same person was faster
		return a.OpenSitting(ctx, c, cmd)
	}
	return s, err
}

func (a *App) newSeed() (quiz.Seed, error) {
	var seed quiz.Seed
	if _, err := io.ReadFull(a.entropy, seed[:]); err != nil {
		return seed, fmt.Errorf("read randomness: %w", err)
	}
	return seed, nil
}

// closedBook refuses what would show the answers of a qualifying or delta sitting
// that the person has open on the procedure.
func (a *App) closedBook(ctx context.Context, r Reader, w Actor, procedure string) error {
	open, err := r.Sittings(ctx, SittingFilter{Person: w.Person.ID, Procedure: procedure, State: StateOpen})
	if err != nil {
		return fmt.Errorf("find open sittings: %w", err)
	}
	for _, s := range open {
		if w.Person.ID != "" && s.Mode != Practice && a.now().Before(s.Deadline) {
			return conflict(string(s.Mode)+" sitting open", "You have a "+string(s.Mode)+" sitting on this procedure open. Its steps, facts and practice are closed to you until it is handed in.")
		}
	}
	return nil
}

// openAlready finds the caller's open sitting; one whose time is up is handed in first.
func (a *App) openAlready(ctx context.Context, tx Tx, w Actor, cmd OpenSitting) (Sitting, error) {
	open, err := tx.Sittings(ctx, SittingFilter{Person: w.Person.ID, Procedure: cmd.Procedure, Mode: cmd.Mode, State: StateOpen})
	if err != nil {
		return Sitting{}, fmt.Errorf("find open sittings: %w", err)
	}
	for _, s := range open {
		if a.now().Before(s.Deadline) {
			if s.Build != cmd.Build && s.Mode != DeltaSitting {
				return Sitting{}, conflict(string(StateOpen), "A sitting on build "+s.Build+" of this procedure is open. Hand it in before you open one on another build.")
			}
			return s, nil
		}
		if err := a.handIn(ctx, tx, s.ID); err != nil {
			return Sitting{}, err
		}
	}
	return Sitting{}, nil
}

func (a *App) open(ctx context.Context, tx Tx, w Actor, cmd OpenSitting, id string, seed quiz.Seed) (Sitting, error) {
	rev, err := a.current(ctx, tx, cmd.Procedure)
	if err != nil {
		return Sitting{}, err
	}
	e, err := a.content.edition(ctx, tx, rev.Procedure, rev.Revision, cmd.Build)
	if err != nil {
		return Sitting{}, err
	}
	if cmd.Mode == Qualifying {
		if err := a.mayTry(ctx, tx, w.Person.ID, rev.Procedure); err != nil {
			return Sitting{}, err
		}
	}
	cut, err := a.cut(ctx, tx, rev.Procedure, e.Blueprint)
	if err != nil {
		return Sitting{}, err
	}
	h, err := history(ctx, tx, w.Person.ID, rev.Procedure, a.now())
	if err != nil {
		return Sitting{}, err
	}
	if cmd.Mode == Practice {
		if h.Weak, err = a.weakFacts(w.Person.ID, rev.Procedure); err != nil {
			return Sitting{}, err
		}
	}
	bank, err := a.writing(ctx, tx, e)
	if err != nil {
		return Sitting{}, err
	}
	bp := e.blueprint(cmd.Mode, cut)
	form, err := quiz.AssembleTo(bank, bp, h, seed, a.aim(bank, bp, cmd.Mode))
	if err != nil {
		return Sitting{}, unmet(err)
	}
	return a.keepSitting(ctx, tx, Sitting{ID: id, Person: w.Person.ID, Build: cmd.Build, Mode: cmd.Mode}, form)
}

// unmet turns an assembler's answer that a blueprint cannot be met into a Conflict.
func unmet(err error) error {
	var u *quiz.Unmet
	if errors.As(err, &u) {
		return &Error{Kind: Conflict, State: "blueprint not met", Message: "No form can be set: " + u.Error() + ". Tell a trainer.", Err: err}
	}
	return fmt.Errorf("assemble form: %w", err)
}

// keepSitting writes a sitting, its form and what it sets, and opens it.
func (a *App) keepSitting(ctx context.Context, tx Tx, s Sitting, form *quiz.Form) (Sitting, error) {
	raw, err := json.Marshal(form)
	if err != nil {
		return Sitting{}, fmt.Errorf("encode form: %w", err)
	}
	digest := sha256.Sum256(raw)
	s.Procedure, s.Revision, s.Items, s.Digest = form.Procedure, form.Revision, len(form.Items), digest[:]
	s.Opened, s.State = a.now(), StateOpen
	s.Deadline = s.Opened.Add(time.Duration(form.Minutes) * time.Minute)
	if err := tx.AddSitting(ctx, s, raw, met(s.ID, form)); err != nil {
		return Sitting{}, fmt.Errorf("open sitting: %w", err)
	}
	return s, nil
}

func met(sitting string, form *quiz.Form) []MetItem {
	out := make([]MetItem, len(form.Items))
	for i, it := range form.Items {
		facts := make([]content.FactID, len(it.Facts))
		for j, t := range it.Facts {
			facts[j] = t.Fact
		}
		out[i] = MetItem{Sitting: sitting, Sheet: i + 1, Item: it.ID, Model: it.Model, Lead: it.Lead, Topic: it.Topic, Facts: facts}
	}
	return out
}

// history is what the person had met on the procedure before the given time, and
// what was missed on the last try.
func history(ctx context.Context, r Reader, person, procedure string, before time.Time) (quiz.History, error) {
	items, err := r.Met(ctx, person, procedure, before)
	if err != nil {
		return quiz.History{}, fmt.Errorf("read history: %w", err)
	}
	var h quiz.History
	for _, m := range items {
		h.Items = append(h.Items, m.Item)
		h.Facts = append(h.Facts, m.Facts...)
	}
	last, err := lastTry(ctx, r, items, before)
	if err != nil {
		return quiz.History{}, err
	}
	for _, m := range items {
		if m.Sitting == last {
			h.Missed = append(h.Missed, m.Missed...)
		}
	}
	return h, nil
}

// lastTry is the sitting opened last that was marked by the given time; "" where
// there is none. One that is still open does not make its forerunner forgotten.
func lastTry(ctx context.Context, r Reader, items []MetItem, before time.Time) (string, error) {
	for i := len(items) - 1; i >= 0; i-- {
		id := items[i].Sitting
		if i+1 < len(items) && items[i+1].Sitting == id {
			continue
		}
		marks, err := r.Marks(ctx, id)
		if err != nil {
			return "", fmt.Errorf("read marks of %s: %w", id, err)
		}
		if len(marks) > 0 && !marks[0].At.After(before) {
			return id, nil
		}
	}
	return "", nil
}

// sittingOf reads a sitting that the actor may see: an own one, or any for who
// may read results. Somebody else's is not found.
func sittingOf(ctx context.Context, r Reader, w Actor, id string) (Sitting, error) {
	s, err := r.Sitting(ctx, id)
	if errors.Is(err, ErrNone) {
		return Sitting{}, notFound("sitting")
	}
	if err != nil {
		return Sitting{}, fmt.Errorf("read sitting %s: %w", id, err)
	}
	if s.Person != w.Person.ID && w.may(ReadResults) != nil {
		return Sitting{}, notFound("sitting")
	}
	return s, nil
}

// SittingView is a sitting as its technician sees it: the sheet list.
type SittingView struct {
	Sitting   Sitting
	Procedure *content.Procedure
	Topics    []content.Topic // of each sheet
	Answers   map[int]KeptAnswer
	Now       time.Time // the server's clock, for the time left
}

// Sitting returns a sitting with its sheet list. An open one whose time is up is
// handed in first. Only its own technician sees the answers of an open one.
func (a *App) Sitting(ctx context.Context, c Caller, id string) (SittingView, error) {
	if err := a.handInIfDue(ctx, id); err != nil {
		return SittingView{}, err
	}
	v := SittingView{Now: a.now()}
	err := a.read(ctx, c, Sit, func(r Reader, w Actor) error {
		s, err := sittingOf(ctx, r, w, id)
		if err != nil {
			return err
		}
		form, err := a.forms.form(ctx, r, id)
		if err != nil {
			return err
		}
		if v.Procedure, err = a.content.whole(ctx, r, s.Procedure, s.Revision); err != nil {
			return err
		}
		v.Sitting, v.Topics, v.Answers = s, make([]content.Topic, len(form.Items)), map[int]KeptAnswer{}
		for i, it := range form.Items {
			v.Topics[i] = it.Topic
		}
		if s.State != StateOpen || s.Person != w.Person.ID {
			return nil
		}
		return a.addAnswers(ctx, r, id, v.Answers)
	})
	return v, err
}

func (a *App) addAnswers(ctx context.Context, r Reader, id string, into map[int]KeptAnswer) error {
	kept, err := r.Answers(ctx, id)
	if err != nil {
		return fmt.Errorf("read answers of %s: %w", id, err)
	}
	for _, k := range kept {
		into[k.Sheet] = k
	}
	return nil
}

// SheetView is one sheet of a sitting with the answer kept so far.
type SheetView struct {
	SittingView
	Sheet     quiz.Sheet
	Answer    quiz.Answer
	Kept      KeptAnswer // zero where nothing was kept
	Explained *Explained // practice: set where the answer is fixed and explained
}

// Sheet returns sheet n of the caller's own open sitting. After the hand-in it
// is a Conflict: what there is to see then is the result.
func (a *App) Sheet(ctx context.Context, c Caller, id string, n int) (SheetView, error) {
	v, err := a.Sitting(ctx, c, id)
	if err != nil {
		return SheetView{}, err
	}
	out := SheetView{SittingView: v}
	err = a.read(ctx, c, Sit, func(r Reader, w Actor) error {
		if v.Sitting.Person != w.Person.ID {
			return notFound("sheet")
		}
		if v.Sitting.State != StateOpen {
			return conflict(string(v.Sitting.State), "This sitting is handed in. Its sheets are closed.")
		}
		form, err := a.forms.form(ctx, r, id)
		if err != nil {
			return err
		}
		if n < 1 || n > len(form.Items) {
			return notFound("sheet")
		}
		out.Sheet = form.Sheet(n)
		out.Kept = v.Answers[n]
		if err := decodeAnswer(out.Kept.Answer, &out.Answer); err != nil || !out.Kept.Fixed {
			return err
		}
		out.Explained, err = explained(form.Items[n-1], out.Answer)
		return err
	})
	return out, err
}

func decodeAnswer(raw []byte, into *quiz.Answer) error {
	if len(raw) == 0 {
		return nil
	}
	if err := json.Unmarshal(raw, into); err != nil {
		return fmt.Errorf("decode kept answer: %w", err)
	}
	return nil
}

// Sittings lists sittings, newest first: the caller's own, or anybody's for who
// may read results. Open ones whose time is up are handed in first.
func (a *App) Sittings(ctx context.Context, c Caller, f SittingFilter) ([]Sitting, error) {
	out, err := a.sittings(ctx, c, f)
	if err != nil {
		return nil, err
	}
	late := false
	for _, s := range out {
		if s.State == StateOpen && !a.now().Before(s.Deadline) {
			late = true
			if err := a.handInIfDue(ctx, s.ID); err != nil {
				return nil, err
			}
		}
	}
	if late {
		return a.sittings(ctx, c, f)
	}
	return out, nil
}

func (a *App) sittings(ctx context.Context, c Caller, f SittingFilter) ([]Sitting, error) {
	var out []Sitting
	err := a.read(ctx, c, "", func(r Reader, w Actor) (err error) {
		if f.Person == "" || f.Person != w.Person.ID {
			if err := w.may(ReadResults); err != nil {
				return err
			}
		}
		if out, err = r.Sittings(ctx, f); err != nil {
			return err
		}
		for i, s := range out {
			final, _, err := a.final(ctx, r, scoring.Verdict(s.Verdict), s.ID, s.HandedIn)
			if err != nil {
				return err
			}
			out[i].Final = string(final)
		}
		return nil
	})
	return out, err
}
