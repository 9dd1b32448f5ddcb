package api

import (
	"context"
	"fmt"

	"soloright/content"
	"soloright/scoring/clearance"
)

// AdoptCut is the command to put the cut that a panel found in force.
type AdoptCut struct {
	Panel string `json:"-" validate:"required,max=64"`
}

// AdoptCut sets the procedure's policy as it is, with the panel's cut and a
// reference to the panel. A panel that is open or found no cut is a Conflict; so
// is a cut that no policy may have. Adopted already it changes nothing.
func (a *App) AdoptCut(ctx context.Context, c Caller, cmd AdoptCut) (PolicyView, error) {
	if err := check(cmd); err != nil {
		return PolicyView{}, err
	}
	var v PolicyView
	err := a.decide(ctx, c, ManagePolicy, func(tx Tx, _ Actor) ([]newAct, error) {
		s, err := readPanel(ctx, tx, cmd.Panel)
		if err != nil {
			return nil, err
		}
		cut, err := s.toAdopt()
		if err != nil {
			return nil, err
		}
		last, _, err := lastPolicy(ctx, tx, s.Panel.Procedure)
		if err != nil {
			return nil, err
		}
		act := clearance.PolicySet{Procedure: s.Panel.Procedure, Panel: s.Panel.ID}
		err = a.register.judge(ctx, tx, func(f *registerCache) error {
			act.Policy = f.reg.PolicyAt(s.Panel.Procedure, a.now())
			return nil
		})
		if err != nil {
			return nil, err
		}
		act.Policy.Cut = content.Cut(cut.Percent)
		v = PolicyView{Policy: act.Policy, Own: true}
		if equalActs(act, last) {
			return nil, nil
		}
		return []newAct{{act: act}}, nil
	})
	if err != nil {
		return PolicyView{}, err
	}
	return v, nil
}

// toAdopt is the cut of a closed panel that a policy may have.
func (s *panelState) toAdopt() (PanelCut, error) {
	cut, err := s.found()
	switch {
	case err != nil:
		return PanelCut{}, err
	case !s.closed:
		return PanelCut{}, conflict("open", "This panel is still open. Its chair closes it first.")
	case cut == nil:
		return PanelCut{}, conflict("no cut", "This panel was closed with fewer than two judges’ ratings, so it found no cut.")
	case cut.Clipped:
		return PanelCut{}, conflict("cut too low", fmt.Sprintf("The panel found %d %%, and a policy’s cut is from 50 to 100 %%. Somebody who holds less than half may not work alone: look at the ratings with the panel.", cut.Percent))
	}
	return *cut, nil
}

// keepPanel carries the reference to a panel on to a policy that leaves its cut as
// it is.
func keepPanel(ctx context.Context, r Reader, act *clearance.PolicySet) error {
	last, was, err := lastPolicy(ctx, r, act.Procedure)
	if err == nil && was && last.Policy.Cut == act.Policy.Cut {
		act.Panel = last.Panel
	}
	return err
}
