package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// Remark is what marking again without a withdrawn item would do, or did.
type Remark struct {
	Withdrawal Withdrawal     `json:"withdrawal"` // that it rests on
	Changes    []RemarkChange `json:"changes"`    // every sitting that is marked again, those that turn first
	Waiting    []string       `json:"waiting"`    // sittings whose confirming step is not over: later
	Bare       []string       `json:"bare"`       // sittings of which nothing would be left: they stay as they are
	Digest     string         `json:"digest"`     // of all of it; the command to mark again repeats it
}

// RemarkChange is what marking again does to one sitting.
type RemarkChange struct {
	Sitting     string          `json:"sitting"`
	Person      Person          `json:"-"`
	Confirms    string          `json:"confirms,omitempty"`
	Revision    string          `json:"revision"`
	HandedIn    time.Time       `json:"handed_in"`
	Left        []int           `json:"left"` // the sheets that count no more
	Was         scoring.Verdict `json:"was"`
	Is          scoring.Verdict `json:"is"`
	WasPercent  int             `json:"was_percent"`
	IsPercent   int             `json:"is_percent"`
	WasFinal    string          `json:"was_final"` // of the try, with its confirming step; empty in a confirming step
	IsFinal     string          `json:"is_final"`
	WasStanding clearance.State `json:"was_standing"` // of the person with the procedure, today
	IsStanding  clearance.State `json:"is_standing"`

	before  Sitting
	n       int // the number of the new marking
	outcome scoring.Outcome
}

// Turns reports whether the try has another end than before.
func (c RemarkChange) Turns() bool { return c.WasFinal != c.IsFinal }

// Touches reports whether the person's standing changes.
func (c RemarkChange) Touches() bool { return c.WasStanding != c.IsStanding }

// try is a sitting that gives a verdict, with its confirming step where it has one.
type remarkTry struct {
	first   Sitting
	confirm *Sitting
}

// planRemark works out what marking again would do. Practice is left alone: nothing
// rests on it. Neither is what is void, open, or marked so already.
func (a *App) planRemark(ctx context.Context, r Reader, sub ItemSubject) (Remark, error) {
	w, err := lastWithdrawal(ctx, r, sub)
	if err != nil {
		return Remark{}, err
	}
	if !w.Withdrawn {
		return Remark{}, conflict("in use", "This is not withdrawn. Only what is withdrawn is left out when sittings are marked again.")
	}
	plan := Remark{Withdrawal: w, Changes: []RemarkChange{}, Waiting: []string{}, Bare: []string{}}
	tries, err := a.triesWith(ctx, r, sub)
	if err != nil {
		return Remark{}, err
	}
	for _, t := range tries {
		if err := a.planTry(ctx, r, t, &plan); err != nil {
			return Remark{}, fmt.Errorf("mark %s again: %w", t.first.ID, err)
		}
	}
	if err := a.standings(ctx, r, &plan); err != nil {
		return Remark{}, err
	}
	slices.SortStableFunc(plan.Changes, func(x, y RemarkChange) int { return x.weight() - y.weight() })
	plan.Digest = plan.digest()
	return plan, nil
}

// weight puts first what matters most.
func (c RemarkChange) weight() int {
	switch {
	case c.Touches():
		return 0
	case c.Turns():
		return 1
	}
	return 2
}

// triesWith returns the tries that hold the subject, in either of their sittings.
func (a *App) triesWith(ctx context.Context, r Reader, sub ItemSubject) ([]remarkTry, error) {
	ids, err := r.SittingsWith(ctx, sub)
	if err != nil {
		return nil, fmt.Errorf("find sittings with %s on %s: %w", sub.Model, sub.Fact, err)
	}
	var out []remarkTry
	seen := map[string]bool{}
	for _, id := range ids {
		s, err := r.Sitting(ctx, id)
		if err == nil && s.Confirms != "" {
			s, err = r.Sitting(ctx, s.Confirms)
		}
		if err != nil {
			return nil, fmt.Errorf("read sitting %s: %w", id, err)
		}
		if seen[s.ID] || s.Mode == Practice || s.State != StateMarked {
			continue
		}
		seen[s.ID] = true
		t := remarkTry{first: s}
		steps, err := r.Sittings(ctx, SittingFilter{Confirms: s.ID})
		if err != nil {
			return nil, fmt.Errorf("find the confirming step of %s: %w", s.ID, err)
		}
		if len(steps) > 0 {
			t.confirm = &steps[0]
		}
		out = append(out, t)
	}
	return out, nil
}

// planTry adds what becomes of one try.
func (a *App) planTry(ctx context.Context, r Reader, t remarkTry, plan *Remark) error {
	final, has, err := finalOf(ctx, r, t.first.ID)
	if err != nil {
		return err
	}
	if !has || t.first.HandedIn.Add(ConfirmWithin).After(a.now()) {
		plan.Waiting = append(plan.Waiting, t.first.ID)
		return nil
	}
	first, err := a.withoutSubject(ctx, r, t.first, nil, plan.Withdrawal.ItemSubject)
	if errors.Is(err, scoring.ErrNothingLeft) {
		plan.Bare = append(plan.Bare, t.first.ID)
		return nil
	}
	if err != nil {
		return err
	}
	end := first.Is
	var step *RemarkChange
	if end == scoring.ToConfirm {
		if end, step, err = a.planStep(ctx, r, t, first.outcome, plan); err != nil {
			return err
		}
	}
	first.WasFinal, first.IsFinal = string(final), string(end)
	if first.changed() || first.Turns() {
		plan.Changes = append(plan.Changes, first)
	}
	if step != nil && step.changed() {
		plan.Changes = append(plan.Changes, *step)
	}
	return nil
}

// planStep is the end of a try that is to confirm, given its first sitting as it
// comes out now. Where nothing of the confirming step is left, or there is none,
// nothing is confirmed.
func (a *App) planStep(ctx context.Context, r Reader, t remarkTry, first scoring.Outcome, plan *Remark) (scoring.Verdict, *RemarkChange, error) {
	if t.confirm == nil || t.confirm.State != StateMarked {
		return scoring.Failed, nil, nil
	}
	step, err := a.withoutSubject(ctx, r, *t.confirm, &first, plan.Withdrawal.ItemSubject)
	if errors.Is(err, scoring.ErrNothingLeft) {
		plan.Bare = append(plan.Bare, t.confirm.ID)
		return scoring.Failed, nil, nil
	}
	if err != nil {
		return "", nil, err
	}
	return step.Is, &step, nil
}

// changed reports whether the marking itself leaves out more than the one before.
func (c RemarkChange) changed() bool { return c.n > 0 }

// withoutSubject marks a sitting without the subject; a confirming step by what its first
// sitting comes out as. Where that leaves out nothing more, the marking that stands
// stays.
func (a *App) withoutSubject(ctx context.Context, r Reader, s Sitting, first *scoring.Outcome, sub ItemSubject) (RemarkChange, error) {
	last, err := lastMarking(ctx, r, s.ID)
	if err != nil {
		return RemarkChange{}, err
	}
	was, err := last.leftOut()
	if err != nil {
		return RemarkChange{}, err
	}
	form, answers, err := a.handed(ctx, r, s.ID)
	if err != nil {
		return RemarkChange{}, err
	}
	left := slices.Clone(was)
	for i, it := range form.Items {
		if sub.covers(s.Revision, it) && !slices.Contains(left, i+1) {
			left = append(left, i+1)
		}
	}
	slices.Sort(left)
	c := RemarkChange{Sitting: s.ID, Confirms: s.Confirms, Revision: s.Revision, HandedIn: s.HandedIn, Left: left,
		Was: scoring.Verdict(last.Verdict), WasPercent: last.Percent, before: s}
	if len(left) > len(was) {
		c.n = last.N + 1
	}
	rules := scoring.RulesVersion
	if c.n == 0 {
		rules = last.Rules
	}
	if c.outcome, err = a.markAgain(ctx, r, s, first, form, answers, markedBy{rules: rules, left: left, at: a.now()}); err != nil {
		return RemarkChange{}, err
	}
	c.Is, c.IsPercent = c.outcome.Verdict, c.outcome.Percent
	if c.Person, err = r.Person(ctx, s.Person); err != nil {
		return RemarkChange{}, fmt.Errorf("read person of %s: %w", s.ID, err)
	}
	return c, nil
}

func (a *App) markAgain(ctx context.Context, r Reader, s Sitting, first *scoring.Outcome, form *quiz.Form, answers map[int]quiz.Answer, how markedBy) (scoring.Outcome, error) {
	if first == nil {
		return a.outcomeBy(ctx, r, s, how)
	}
	by, err := scoring.ByRules(how.rules)
	if err != nil {
		return scoring.Outcome{}, err
	}
	return by.Confirm(*first, form, answers, how.left...)
}

// standings tells whose standing changes: the record is folded once as it is and
// once with what marking again would put on it.
func (a *App) standings(ctx context.Context, r Reader, plan *Remark) error {
	reg, seq, err := a.foldAll(ctx, r)
	if err != nil {
		return err
	}
	procedure, now := plan.Withdrawal.Procedure, a.now()
	for i := range plan.Changes {
		c := &plan.Changes[i]
		c.WasStanding = reg.Standing(c.Person.ID, procedure, now, time.Time{}).State
	}
	for _, c := range plan.Changes {
		if !c.Turns() {
			continue
		}
		seq++
		if err := reg.Add(clearance.Event{Seq: seq, At: now, Act: c.act("as it would be")}); err != nil {
			return fmt.Errorf("fold the record as it would be: %w", err)
		}
	}
	for i := range plan.Changes {
		c := &plan.Changes[i]
		c.IsStanding = reg.Standing(c.Person.ID, procedure, now, time.Time{}).State
	}
	return nil
}

// foldAll folds the whole record into a register of its own.
func (a *App) foldAll(ctx context.Context, r Reader) (*clearance.Register, int64, error) {
	const batch = 5000
	reg, seq := clearance.New(a.zone), int64(0)
	for {
		acts, err := r.Acts(ctx, seq, batch)
		if err != nil || len(acts) == 0 {
			return reg, seq, err
		}
		for _, s := range acts {
			e, err := s.Event()
			if err != nil {
				return nil, 0, fmt.Errorf("act %d: %w", s.Seq, err)
			}
			if err := reg.Add(e); err != nil {
				return nil, 0, fmt.Errorf("fold the record: %w", err)
			}
			seq = s.Seq
		}
	}
}

// act is what the change puts on the record where the try turns.
func (c RemarkChange) act(reason string) clearance.SittingRemarked {
	return clearance.SittingRemarked{Sitting: c.Sitting, Verdict: clearance.Verdict(c.IsFinal), Reason: reason}
}

// digest changes with anything that a reader of the plan relies on.
func (p Remark) digest() string {
	h := sha256.New()
	fmt.Fprintf(h, "%+v|%d|%q|%q", p.Withdrawal.ItemSubject, p.Withdrawal.N, p.Waiting, p.Bare)
	for _, c := range p.Changes {
		fmt.Fprintf(h, "|%s %d %v %s %s %d %s %s %s %s", c.Sitting, c.n, c.Left, c.Was, c.Is, c.IsPercent, c.WasFinal, c.IsFinal, c.WasStanding, c.IsStanding)
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}
