package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/content"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// SetPolicy is the command to set the policy of a procedure, or of the site.
type SetPolicy struct {
	Procedure string           `json:"procedure,omitempty" validate:"max=64"` // empty: the site's, for all without their own
	Policy    clearance.Policy `json:"policy" validate:"-"`
}

// PolicyView is the policy in force now.
type PolicyView struct {
	Policy clearance.Policy `json:"policy"`
	Own    bool             `json:"own"` // set for this procedure; for the site: set at all
}

// SetPolicy puts a policy in force from now on. One that is in force already
// changes nothing.
func (a *App) SetPolicy(ctx context.Context, c Caller, cmd SetPolicy) (PolicyView, error) {
	if err := check(cmd); err != nil {
		return PolicyView{}, err
	}
	if faults := cmd.Policy.Faults(); len(faults) > 0 {
		e := &Error{Kind: Invalid, Message: "The policy cannot be so: " + faults[0].Message + ". Nothing was changed."}
		for _, f := range faults {
			e.Fields = append(e.Fields, FieldError{"policy." + f.Field, f.Message})
		}
		return PolicyView{}, e
	}
	err := a.decide(ctx, c, ManagePolicy, func(tx Tx, w Actor) ([]newAct, error) {
		if err := procedureThere(ctx, tx, cmd.Procedure); cmd.Procedure != "" && err != nil {
			return nil, err
		}
		act := clearance.PolicySet{Procedure: cmd.Procedure, Policy: cmd.Policy}
		if err := keepPanel(ctx, tx, &act); err != nil {
			return nil, err
		}
		same := false
		err := a.register.judge(ctx, tx, func(r *registerCache) error {
			was := clearance.PolicySet{Procedure: cmd.Procedure, Policy: r.reg.PolicyAt(cmd.Procedure, a.now()), Panel: act.Panel}
			same = r.policy[cmd.Procedure] && equalActs(was, act)
			return nil
		})
		if err != nil || same {
			return nil, err
		}
		return []newAct{{act: act}}, nil
	})
	if err != nil {
		return PolicyView{}, err
	}
	return PolicyView{Policy: cmd.Policy, Own: true}, nil
}

func equalActs(a, b clearance.Act) bool {
	_, x, err1 := clearance.Encode(a)
	_, y, err2 := clearance.Encode(b)
	return err1 == nil && err2 == nil && string(x) == string(y)
}

// Policy returns the policy in force for a procedure, for "" the site's.
func (a *App) Policy(ctx context.Context, c Caller, procedure string) (PolicyView, error) {
	var v PolicyView
	err := a.read(ctx, c, "", func(r Reader, _ Actor) error {
		return a.register.judge(ctx, r, func(f *registerCache) error {
			v = PolicyView{f.reg.PolicyAt(procedure, a.now()), f.policy[procedure]}
			return nil
		})
	})
	return v, err
}

// cut is the cut of a procedure: the policy's where one was set, else what the
// blueprint proposes.
func (a *App) cut(ctx context.Context, r Reader, procedure string, bp content.Blueprint) (content.Cut, error) {
	cut := bp.Cut
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		if f.policy[procedure] || f.policy[""] {
			cut = f.reg.PolicyAt(procedure, a.now()).Cut
		}
		return nil
	})
	return cut, err
}

// mayTry refuses a qualifying sitting while the last one is still to confirm,
// before the waiting time is over, and where training is due first.
func (a *App) mayTry(ctx context.Context, r Reader, person, procedure string) error {
	last, err := r.Sittings(ctx, SittingFilter{Person: person, Procedure: procedure, Mode: Qualifying, State: StateMarked, Limit: 2})
	if err != nil {
		return fmt.Errorf("read the last tries: %w", err)
	}
	for _, s := range last {
		if s.Confirms != "" || s.Verdict != string(scoring.ToConfirm) {
			continue
		}
		if _, settled, err := finalOf(ctx, r, s.ID); err != nil {
			return err
		} else if !settled {
			return conflict(string(scoring.ToConfirm), "Your last sitting is still to be confirmed. Do that first: it belongs to the same try.")
		}
	}
	return a.register.judge(ctx, r, func(f *registerCache) error {
		s := f.reg.MaySit(person, procedure, a.now())
		switch {
		case f.withdrawn[procedure]:
			return conflict("procedure withdrawn", "This procedure was withdrawn. There is no qualifying sitting on it until a revision is adopted again.")
		case s.May || s.Failed == 0: // a prerequisite that is not cleared holds up the clearance, not the sitting
		case s.Left == 0:
			return conflict("training due", fmt.Sprintf("%d tries were not passed. Training is due before the next one: ask a trainer.", s.Failed))
		case !s.Wait.IsZero():
			return conflict("waiting", "The last try was not passed. The next one may begin on "+s.Wait.String()+".")
		}
		return nil
	})
}

// decide runs a use case that puts acts on the record, one after the other: what
// f finds on the record is still so when its acts are written. No acts is no
// error.
func (a *App) decide(ctx context.Context, c Caller, right Act, f func(Tx, Actor) ([]newAct, error)) error {
	if err := a.allowed(ctx, c, right); err != nil {
		return err
	}
	return a.inTx(ctx, c, right, func(tx Tx, w Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		acts, err := f(tx, w)
		if err != nil || len(acts) == 0 {
			return err
		}
		return a.withActs(ctx, tx, w, nil, acts...)
	})
}

func procedureThere(ctx context.Context, r Reader, id string) error {
	revs, err := r.Revisions(ctx, id)
	if err != nil {
		return fmt.Errorf("read revisions of %s: %w", id, err)
	}
	if len(revs) == 0 {
		return notFound("procedure")
	}
	return nil
}

// personThere finds a person who has not left.
func personThere(ctx context.Context, r Reader, id, field string) error {
	p, err := r.Person(ctx, id)
	if errors.Is(err, ErrNone) {
		return invalid(field, "There is no such person.")
	}
	if err != nil {
		return fmt.Errorf("read person: %w", err)
	}
	if !p.Left.IsZero() {
		return conflict("left", p.Name+" has left.")
	}
	return nil
}

// named refuses whoever runs the program: this is done under one's own name.
func (w Actor) named() error {
	if w.op {
		return &Error{Kind: Forbidden, Message: "A person does this under his or her own name: sign in."}
	}
	return nil
}
