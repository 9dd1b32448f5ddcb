package api_test

import (
	"testing"

	"soloright/api"
	"soloright/quiz"
)

// Each use case that a role is needed for, and who may. A role that is not named
// must be refused; nobody at all is told to sign in.
var guarded = []struct {
	name string
	may  []api.Role
	do   func(s *site, c api.Caller) error
}{
	{"people", []api.Role{api.Trainer, api.SafetyOfficer, api.Administrator}, func(s *site, c api.Caller) error {
		_, err := s.People(s.t.Context(), c)
		return err
	}},
	{"add an account", []api.Role{api.Administrator}, func(s *site, c api.Caller) error {
		_, err := s.AddAccount(s.t.Context(), c, api.AddAccount{SignIn: "added", Name: "Added", Role: api.Technician})
		return err
	}},
	{"change an account", []api.Role{api.Administrator}, func(s *site, c api.Caller) error {
		crew := "night"
		_, err := s.ChangeAccount(s.t.Context(), c, api.ChangeAccount{Person: s.people[api.Trainer].ID, Crew: &crew})
		return err
	}},
	{"preview with keys", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		_, err := s.Preview(s.t.Context(), c, "energy-isolation", "", "", quiz.Seed{})
		return err
	}},
	{"everybody's sittings", []api.Role{api.Trainer, api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Sittings(s.t.Context(), c, api.SittingFilter{})
		return err
	}},
	{"sit", []api.Role{api.Technician, api.Trainer, api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.OpenSitting(s.t.Context(), c, api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Practice})
		return err
	}},
	{"panels", []api.Role{api.Trainer, api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Panels(s.t.Context(), c)
		return err
	}},
	{"a panel", []api.Role{api.Trainer, api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Panel(s.t.Context(), c, "none")
		return mere(err)
	}},
	{"open a panel", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		_, err := s.OpenPanel(s.t.Context(), c, api.OpenPanel{Procedure: pump, Judges: []string{s.people[api.Trainer].ID, "nobody"}})
		return mere(err)
	}},
	{"rate items", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		return mere(s.RateItems(s.t.Context(), c, api.RateItems{Panel: "none", Round: 1, Percent: []int{1}}))
	}},
	{"end a round", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		return mere(s.EndRound(s.t.Context(), c, api.EndRound{Panel: "none", Round: 1}))
	}},
	{"adopt a cut", []api.Role{api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.AdoptCut(s.t.Context(), c, api.AdoptCut{Panel: "none"})
		return mere(err)
	}},
	{"withdrawals", []api.Role{api.Trainer, api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Withdrawals(s.t.Context(), c, pump)
		return err
	}},
	{"withdraw an item", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		fam := api.ItemSubject{Procedure: pump, Fact: "facing/rod-cup-seal", Model: "pick-the-facing"}
		_, err := s.WithdrawItem(s.t.Context(), c, api.WithdrawCommand{ItemSubject: fam, Reason: because})
		return err
	}},
	{"who would be marked otherwise", []api.Role{api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.RemarkPreview(s.t.Context(), c, api.RemarkQuery{ItemSubject: api.ItemSubject{Procedure: pump, Fact: "facing/rod-cup-seal", Model: "pick-the-facing"}})
		return err
	}},
	{"the health of items", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		_, err := s.ItemsHealth(s.t.Context(), c, pump)
		return err
	}},
	{"analyse items", []api.Role{api.Trainer}, func(s *site, c api.Caller) error {
		_, err := s.AnalyseItems(s.t.Context(), c)
		return err
	}},
	{"somebody else’s evidence", []api.Role{api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Evidence(s.t.Context(), c, api.EvidenceQuery{Person: s.other().ID, Procedure: pump})
		return err
	}},
	{"somebody else’s cards", []api.Role{api.SafetyOfficer}, func(s *site, c api.Caller) error {
		_, err := s.Cards(s.t.Context(), c, s.other().ID, pump)
		return err
	}},
	{"procedures", api.Roles, func(s *site, c api.Caller) error {
		_, err := s.Procedures(s.t.Context(), c)
		return err
	}},
}

// other is somebody who is none of the others.
func (s *site) other() api.Person {
	s.t.Helper()
	if _, there := s.people["other"]; !there {
		s.people["other"] = s.add("somebody-else", api.Technician)
	}
	return s.people["other"]
}

func TestWhoMayDoWhat(t *testing.T) {
	s := newSite(t)
	for _, g := range guarded {
		wantKind(t, g.do(s, api.Bearer("")), api.Unauthenticated)
		for _, r := range api.Roles {
			err := g.do(s, s.role(r))
			allowed := false
			for _, m := range g.may {
				allowed = allowed || m == r
			}
			if got := api.KindOf(err); allowed && err != nil || !allowed && got != api.Forbidden {
				t.Errorf("%s by a %s: %v; allowed %v", g.name, r, err, allowed)
			}
		}
	}
}

func TestOnlyASafetyOfficerStrikesASittingOut(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	void := func(by api.Caller, reason string) error {
		return s.VoidSitting(t.Context(), by, api.VoidCommand{Sitting: sit.ID, Reason: reason})
	}
	officer := s.role(api.SafetyOfficer)
	wantKind(t, void(officer, "somebody else sat for him"), api.Conflict) // still open
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		wantKind(t, void(s.role(r), "somebody else sat for him"), api.Forbidden)
	}
	wantKind(t, void(officer, "because"), api.Invalid)
	if err := void(officer, "somebody else sat for him"); err != nil {
		t.Fatal(err)
	}
	wantKind(t, void(officer, "somebody else sat for him"), api.Conflict)
	r, err := s.Result(t.Context(), c, sit.ID)
	if err != nil || r.Void == nil || r.Sitting.State != api.StateVoid {
		t.Errorf("after the void: %+v, %v", r.Void, err)
	}
}
