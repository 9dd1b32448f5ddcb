package api

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"soloright/quiz"
)

// An Angoff panel finds a cut on evidence: its judges say of each item of one
// form how many of a hundred technicians who are just good enough get it right
// (Angoff 1971, in Thorndike, Educational Measurement, 2nd edition). They rate a
// form that the blueprint set, by a seed of the panel's own: it holds the topics
// in the blueprint's proportions, so its cut in percent is the blueprint's, and
// what a judge rates is an item as somebody sits it, with its guesses.

// What a panel may be.
const (
	leastJudges = 2 // the fewest that have a spread
	mostJudges  = 30
	mostRounds  = 5
)

// OpenPanel is the command to open a panel on a procedure's revision in force.
type OpenPanel struct {
	Procedure string   `json:"procedure" validate:"required,max=64"`
	Build     string   `json:"build,omitempty" validate:"max=64"`
	Judges    []string `json:"judges" validate:"required,min=2,max=30,unique,dive,required,max=64"` // person ids
}

// OpenPanel opens a panel whose chair is the caller, and sets the form that it
// rates. Judges are trainers; the chair is one of them where he or she is named.
func (a *App) OpenPanel(ctx context.Context, c Caller, cmd OpenPanel) (Panel, error) {
	if err := check(cmd); err != nil {
		return Panel{}, err
	}
	seed, err := a.newSeed()
	if err != nil {
		return Panel{}, err
	}
	id, err := a.newID()
	if err != nil {
		return Panel{}, err
	}
	p := Panel{ID: id, Procedure: cmd.Procedure, Build: cmd.Build, Judges: slices.Clone(cmd.Judges)}
	err = a.inTx(ctx, c, RunPanels, func(tx Tx, w Actor) error {
		if err := w.named(); err != nil {
			return err
		}
		if err := judgesThere(ctx, tx, cmd.Judges); err != nil {
			return err
		}
		if err := a.closedBook(ctx, tx, w, cmd.Procedure); err != nil {
			return err
		}
		if err := a.setPanelForm(ctx, tx, &p, seed); err != nil {
			return err
		}
		p.Opened, p.By = a.now(), w.Person.ID
		if err := tx.AddPanel(ctx, p); err != nil {
			return fmt.Errorf("open panel on %s: %w", p.Procedure, err)
		}
		return a.attest(ctx, tx, panelOpened(p))
	})
	p.Form = nil
	return p, err
}

// judgesThere refuses judges who are not there, have left or may not judge, each
// by the field that names them.
func judgesThere(ctx context.Context, r Reader, judges []string) error {
	var wrong []FieldError
	for i, id := range judges {
		p, err := r.Person(ctx, id)
		say := func(message string) {
			wrong = append(wrong, FieldError{Field: fmt.Sprintf("judges[%d]", i), Message: message})
		}
		switch {
		case errors.Is(err, ErrNone):
			say("is nobody here")
		case err != nil:
			return fmt.Errorf("read judge: %w", err)
		case !p.Left.IsZero():
			say(p.Name + " has left")
		case !p.Role.May(RunPanels):
			say(p.Name + " is no trainer: a judge sees the keys")
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	return &Error{Kind: Invalid, Message: "Not everybody named can judge: " + wrong[0].Message + ". No panel was opened.", Fields: wrong}
}

// setPanelForm sets the form that a panel rates, as it would be set for somebody
// who has met nothing.
func (a *App) setPanelForm(ctx context.Context, r Reader, p *Panel, seed quiz.Seed) error {
	rev, err := a.current(ctx, r, p.Procedure)
	if err != nil {
		return err
	}
	e, err := a.content.edition(ctx, r, rev.Procedure, rev.Revision, p.Build)
	if err != nil {
		return err
	}
	cut, err := a.cut(ctx, r, rev.Procedure, e.Blueprint)
	if err != nil {
		return err
	}
	bank, err := a.writing(ctx, r, e)
	if err != nil {
		return err
	}
	form, err := quiz.Assemble(bank, e.blueprint(Qualifying, cut), quiz.History{}, seed)
	if err != nil {
		return unmet(err)
	}
	if p.Form, err = json.Marshal(form); err != nil {
		return fmt.Errorf("encode form: %w", err)
	}
	sum := sha256.Sum256(p.Form)
	p.Revision, p.Digest, p.Items = rev.Revision, sum[:], len(form.Items)
	return nil
}

// RateItems is the command to hand in a judge's ratings of a round.
type RateItems struct {
	Panel   string `json:"-" validate:"required,max=64"`
	Round   int    `json:"round" validate:"min=1,max=5"`               // the one the ratings are meant for
	Percent []int  `json:"percent" validate:"required,min=1,max=1000"` // of each item in the form's order, 0 to 100
}

// RateItems keeps a judge's ratings of the open round. They stand: who thinks
// otherwise after seeing the others says so in the next round. Ratings that cannot
// be are refused with each field named, and nothing is kept.
func (a *App) RateItems(ctx context.Context, c Caller, cmd RateItems) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.onPanel(ctx, c, cmd.Panel, func(tx Tx, w Actor, s *panelState) error {
		if err := s.mayRate(w.Person.ID, cmd.Round); err != nil {
			return err
		}
		if err := sound(cmd.Percent, s.Panel.Items); err != nil {
			return err
		}
		r := PanelRatings{Panel: cmd.Panel, Round: s.round, Judge: w.Person.ID, At: a.now(), Percent: cmd.Percent}
		if err := tx.AddRatings(ctx, r); err != nil {
			return fmt.Errorf("keep ratings in panel %s: %w", cmd.Panel, err)
		}
		return a.attest(ctx, tx, panelRated(r))
	})
}

// sound refuses ratings that are too few, too many or no percent.
func sound(percent []int, items int) error {
	if len(percent) != items {
		return invalid("percent", fmt.Sprintf("There are %d ratings, and the form has %d items: each needs one. Nothing was kept.", len(percent), items))
	}
	var wrong []FieldError
	for i, p := range percent {
		if p < 0 || p > 100 {
			wrong = append(wrong, FieldError{Field: fmt.Sprintf("percent[%d]", i), Message: fmt.Sprintf("is %d; it must be from 0 to 100", p)})
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	return &Error{Kind: Invalid, Message: "Not every rating is a percent from 0 to 100. Nothing was kept.", Fields: wrong}
}

// EndRound is the command to end a round of a panel.
type EndRound struct {
	Panel string `json:"-" validate:"required,max=64"`
	Round int    `json:"round" validate:"min=1,max=5"` // the one that is meant
	Close bool   `json:"close"`                        // the panel with it; else another round begins
	Note  string `json:"note,omitempty" validate:"max=2000"`
}

// EndRound ends the open round, and with Close the panel. Only its chair may.
// Another round needs two judges who have rated; a panel may be closed with fewer
// and then finds no cut. The same end told twice is no error.
func (a *App) EndRound(ctx context.Context, c Caller, cmd EndRound) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.onPanel(ctx, c, cmd.Panel, func(tx Tx, w Actor, s *panelState) error {
		if w.Person.ID != s.Panel.By {
			return &Error{Kind: Forbidden, Message: "Only the chair of the panel ends its rounds."}
		}
		if i := slices.IndexFunc(s.ends, func(e PanelEnd) bool { return e.Round == cmd.Round && e.Closed == cmd.Close }); i >= 0 {
			return nil
		}
		if err := s.mayEnd(cmd); err != nil {
			return err
		}
		e := PanelEnd{Panel: cmd.Panel, Round: s.round, Closed: cmd.Close, At: a.now(), By: w.Person.ID, Note: cmd.Note}
		if err := tx.AddPanelEnd(ctx, e); err != nil {
			return fmt.Errorf("end round %d of panel %s: %w", e.Round, e.Panel, err)
		}
		return a.attest(ctx, tx, panelEnded(e))
	})
}

// onPanel runs a use case on a panel as it stands: nobody else puts anything on
// the record before its end.
func (a *App) onPanel(ctx context.Context, c Caller, id string, f func(Tx, Actor, *panelState) error) error {
	return a.inTx(ctx, c, RunPanels, func(tx Tx, w Actor) error {
		if err := w.named(); err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		s, err := readPanel(ctx, tx, id)
		if err != nil {
			return err
		}
		return f(tx, w, s)
	})
}
