package clearance

import (
	"errors"
	"fmt"

	"soloright/content"
)

// RevisionAdopted: the revision is in force from here on.
type RevisionAdopted struct {
	Procedure     string           `json:"procedure"`
	Revision      string           `json:"revision"`
	Previous      string           `json:"previous,omitempty"` // "" for the first
	Changed       []content.FactID `json:"changed,omitempty"`  // added, or of another value
	Removed       []content.FactID `json:"removed,omitempty"`
	Observe       []ObserveAgain   `json:"observe,omitempty"`       // facts whose hold point is to be observed again
	Prerequisites []string         `json:"prerequisites,omitempty"` // other procedures that must be cleared
}

// ObserveAgain is a changed fact and the hold point at which it is seen.
type ObserveAgain struct {
	Fact content.FactID `json:"fact"`
	Hold string         `json:"hold"` // id of the step
}

// Adoption returns the act of adopting a revision that compares to the one in
// force as given. HoldOf returns the step of the hold point at which a fact is
// seen, "" for none; it is asked about the changed facts of the kinds that the
// policy wants to be observed again.
func Adoption(next *content.Procedure, previous string, c content.Comparison, p Policy, holdOf func(content.Fact) string) RevisionAdopted {
	a := RevisionAdopted{Procedure: next.ID, Revision: next.Revision, Previous: previous, Prerequisites: next.Prerequisites}
	for _, f := range c.Delta() {
		a.Changed = append(a.Changed, f.ID)
		if !p.ObservesAgain(f) {
			continue
		}
		if hold := holdOf(f); hold != "" {
			a.Observe = append(a.Observe, ObserveAgain{f.ID, hold})
		}
	}
	for _, f := range c.Removed {
		a.Removed = append(a.Removed, f.ID)
	}
	return a
}

// touches reports whether a standing does not carry over to the revision.
func (a RevisionAdopted) touches() bool {
	return len(a.Changed) > 0 || len(a.Removed) > 0 || len(a.Observe) > 0
}

// ProcedureWithdrawn: nobody is cleared until a revision is adopted again.
type ProcedureWithdrawn struct {
	Procedure string `json:"procedure"`
	Reason    string `json:"reason"`
}

// PolicySet: the policy is in force from here on.
type PolicySet struct {
	Procedure string `json:"procedure,omitempty"` // "" for the site's default
	Policy    Policy `json:"policy"`
	Panel     string `json:"panel,omitempty"` // that found the cut
}

// The kinds.
func (RevisionAdopted) Kind() Kind    { return "revision adopted" }
func (ProcedureWithdrawn) Kind() Kind { return "procedure withdrawn" }
func (PolicySet) Kind() Kind          { return "policy set" }

func (a RevisionAdopted) check() error {
	for _, q := range a.Prerequisites {
		if q == a.Procedure {
			return errors.New("a procedure is no prerequisite of itself")
		}
	}
	for _, o := range a.Observe {
		if o.Fact == "" || o.Hold == "" {
			return errors.New("a hold point to be observed again lacks its fact or its step")
		}
	}
	return required("the procedure", a.Procedure, "the revision", a.Revision)
}

func (a ProcedureWithdrawn) check() error {
	return required("the procedure", a.Procedure, "the reason", a.Reason)
}

func (a PolicySet) check() error {
	if err := a.Policy.Check(); err != nil {
		return fmt.Errorf("the policy: %w", err)
	}
	return nil
}
