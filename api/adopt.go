package api

import (
	"context"
	"fmt"
	"slices"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
)

// Adoption is what adopting a revision does.
type Adoption struct {
	Procedure string
	From      string             // the revision in force; empty: none
	To        string             // the revision to adopt
	Withdrawn bool               // the procedure is withdrawn: adopting puts it in force again
	Compared  content.Comparison // by fact; of nothing where From is empty
	Observe   []clearance.ObserveAgain
	Grace     content.Date         // its last day, for whoever is cleared
	Touched   []clearance.Standing // whoever has a standing that does not carry over, as it is now
	Lines     []RegisterLine       // the same, by name
}

// adoptionPlan is an adoption with the act that makes it so.
type adoptionPlan struct {
	Adoption
	act clearance.RevisionAdopted
}

// inForce reports whether the revision is in force already.
func (p adoptionPlan) inForce() bool { return p.From == p.To && !p.Withdrawn }

// adopts reports whether there is anything to adopt.
func (p adoptionPlan) adopts() bool { return p.act.Revision != "" && !p.inForce() }

// AdoptRevision is the command to put an imported revision in force.
type AdoptRevision struct {
	Procedure string `json:"procedure" validate:"required,max=64"`
	Revision  string `json:"revision" validate:"required,max=64"`
	Replaces  string `json:"replaces,omitempty" validate:"max=64"` // the revision in force when the adoption was looked at
}

// PreviewAdoption says what adopting an imported revision would do, and whom it
// would touch, before it is done. It costs a comparison and a walk for each
// person on the procedure. It is a Conflict while the caller has a qualifying or
// delta sitting on the procedure open: it shows what is asked there.
func (a *App) PreviewAdoption(ctx context.Context, c Caller, procedure, revision string) (Adoption, error) {
	var plan adoptionPlan
	err := a.read(ctx, c, ReadRegister, func(r Reader, w Actor) (err error) {
		if err := a.closedBook(ctx, r, w, procedure); err != nil {
			return err
		}
		plan, err = a.planStored(ctx, r, procedure, revision)
		return err
	})
	return plan.Adoption, err
}

// AdoptRevision puts a revision in force from now on and returns what that does.
// The one in force already is adopted once, unless the procedure was withdrawn
// since: then it comes into force again. One that was replaced before is a
// Conflict; so is one that replaces another than the command says.
func (a *App) AdoptRevision(ctx context.Context, c Caller, cmd AdoptRevision) (Adoption, error) {
	if err := check(cmd); err != nil {
		return Adoption{}, err
	}
	var plan adoptionPlan
	err := a.decide(ctx, c, ManagePolicy, func(tx Tx, _ Actor) (acts []newAct, err error) {
		if plan, err = a.planStored(ctx, tx, cmd.Procedure, cmd.Revision); err != nil {
			return nil, err
		}
		switch {
		case plan.inForce():
			return nil, nil
		case cmd.Replaces != "" && cmd.Replaces != plan.From:
			return nil, conflict("revision "+plan.From, fmt.Sprintf("Revision %s is in force by now, not %s. Look again at whom it touches.", plan.From, cmd.Replaces))
		}
		return []newAct{{act: plan.act}}, nil
	})
	return plan.Adoption, err
}

func (a *App) planStored(ctx context.Context, r Reader, procedure, revision string) (adoptionPlan, error) {
	next, err := a.content.whole(ctx, r, procedure, revision)
	if err != nil {
		return adoptionPlan{}, err
	}
	return a.planAdoption(ctx, r, next)
}

// planAdoption works out the adoption of a revision that need not be kept yet.
func (a *App) planAdoption(ctx context.Context, r Reader, next *content.Procedure) (adoptionPlan, error) {
	plan := adoptionPlan{Adoption: Adoption{Procedure: next.ID, To: next.Revision}}
	var before bool
	var policy clearance.Policy
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		plan.From, before, policy = f.inForce[next.ID], f.adopted[[2]string{next.ID, next.Revision}], f.reg.PolicyAt(next.ID, a.now())
		plan.Withdrawn = f.withdrawn[next.ID]
		return nil
	})
	if err != nil || plan.inForce() {
		return plan, err
	}
	if before && plan.From != next.Revision {
		return plan, conflict("adopted before", fmt.Sprintf("Revision %s was in force before and was replaced. Import the procedure under a new revision to go back to it.", next.Revision))
	}
	if plan.From != "" {
		was, err := a.content.whole(ctx, r, next.ID, plan.From)
		if err != nil {
			return plan, err
		}
		plan.Compared = content.Compare(was, next)
	}
	plan.act = clearance.Adoption(next, plan.From, plan.Compared, policy, func(f content.Fact) string { return holdOf(next, f) })
	if err := a.observeUnasked(next, &plan); err != nil {
		return plan, err
	}
	plan.Observe = plan.act.Observe
	today := a.now().In(a.zone)
	plan.Grace = content.DateOf(today.AddDate(0, 0, policy.GraceDays))
	return plan, a.touched(ctx, r, &plan, content.DateOf(today))
}

// observeUnasked adds the hold points of critical changed facts that no model can
// ask: such a fact is read and signed for, and to read it is too little for one
// that nobody may miss. A critical fact at which no work stops is only read.
func (a *App) observeUnasked(next *content.Procedure, plan *adoptionPlan) error {
	var critical []content.Fact
	for _, f := range plan.Compared.Delta() {
		has := slices.ContainsFunc(plan.act.Observe, func(o clearance.ObserveAgain) bool { return o.Fact == f.ID })
		if f.Critical && !has {
			critical = append(critical, f)
		}
	}
	if len(critical) == 0 {
		return nil
	}
	asked, err := a.askedSomewhere(next, critical)
	if err != nil {
		return err
	}
	for _, f := range critical {
		if hold := holdOf(next, f); hold != "" && !asked[f.ID] {
			plan.act.Observe = append(plan.act.Observe, clearance.ObserveAgain{Fact: f.ID, Hold: hold})
		}
	}
	return nil
}

// askedSomewhere says which facts a delta sitting can ask on some build. The cost is
// a bank for each build.
func (a *App) askedSomewhere(p *content.Procedure, facts []content.Fact) (map[content.FactID]bool, error) {
	builds := []string{""}
	if len(p.Builds) > 0 {
		builds = nil
	}
	for _, b := range p.Builds {
		builds = append(builds, b.ID)
	}
	out := map[content.FactID]bool{}
	for _, b := range builds {
		bank := quiz.NewBank(quiz.NewSource(p, b), a.models)
		for _, f := range facts {
			asked, _, err := quiz.Askable(bank, []content.FactID{f.ID})
			if err != nil {
				return nil, fmt.Errorf("find whether %s can be asked: %w", f.ID, err)
			}
			out[f.ID] = out[f.ID] || len(asked) > 0
		}
	}
	return out, nil
}

// touched lists whoever has a clearance or is on the way to one, where the
// revision asks for anything to be shown, read or observed again.
func (a *App) touched(ctx context.Context, r Reader, plan *adoptionPlan, today content.Date) error {
	if len(plan.act.Changed)+len(plan.act.Removed)+len(plan.act.Observe) == 0 || plan.From == "" {
		return nil
	}
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		for s := range f.reg.OnProcedure(plan.Procedure, today, a.now()) {
			if s.State == clearance.Cleared || s.State == clearance.Held || s.State == clearance.StateSuspended || s.OnTheRoad() {
				plan.Touched = append(plan.Touched, s)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	known, err := readNames(ctx, r)
	plan.Lines = known.lines(plan.Touched)
	return err
}

// holdOf is the hold point at which a fact is seen: the step that states it where
// work stops there, else the first one after it, in the order of the file, at
// which work stops; "" for none.
func holdOf(p *content.Procedure, f content.Fact) string {
	if f.Step == "" {
		return ""
	}
	after := map[string]bool{f.Step: true}
	for grown := true; grown; { // the steps need not stand in order
		grown = false
		for _, s := range p.Steps {
			if !after[s.ID] && slices.ContainsFunc(s.After, func(id string) bool { return after[id] }) {
				after[s.ID], grown = true, true
			}
		}
	}
	first := ""
	for _, s := range p.Steps {
		if s.Hold == nil || !after[s.ID] {
			continue
		}
		if s.ID == f.Step {
			return s.ID
		}
		if first == "" {
			first = s.ID
		}
	}
	return first
}

// Added returns the facts that the revision states anew.
func (a Adoption) Added() []FactChange { return changesOf(nil, a.Compared.Added) }

// Removed returns the facts that it states no more.
func (a Adoption) Removed() []FactChange { return changesOf(a.Compared.Removed, nil) }

// Changed returns the facts that have another value.
func (a Adoption) Changed() []FactChange { return pairsOf(a.Compared.Changed) }

// Reworded returns the facts that have the same value in other words: they are
// neither asked nor read again.
func (a Adoption) Reworded() []FactChange { return pairsOf(a.Compared.Reworded) }

// Regraded returns the facts that are critical in one of the two revisions only.
func (a Adoption) Regraded() []FactChange { return pairsOf(a.Compared.Regraded) }

func changesOf(old, is []content.Fact) []FactChange {
	var out []FactChange
	for _, f := range old {
		out = append(out, FactChange{Fact: f.ID, Step: f.Step, Critical: f.Critical, Was: f.Text})
	}
	for _, f := range is {
		out = append(out, FactChange{Fact: f.ID, Step: f.Step, Critical: f.Critical, Is: f.Text})
	}
	return out
}

func pairsOf(list []content.Change) []FactChange {
	var out []FactChange
	for _, c := range list {
		out = append(out, FactChange{Fact: c.New.ID, Step: c.New.Step, Critical: c.New.Critical, Was: c.Old.Text, Is: c.New.Text})
	}
	return out
}
