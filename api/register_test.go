package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
)

// The register by parts is the register: the parts put together are the whole, in
// the order of names, and every filter takes from it what it says.
func TestTheRegisterByParts(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	for i := range 5 {
		p := s.add(fmt.Sprint("hand-", i), api.Technician)
		s.passed(p)
		if i == 2 {
			s.clear(p, "L")
		}
	}
	officer := s.role(api.SafetyOfficer)
	ask := func(q api.RegisterAsk) api.RegisterPart {
		t.Helper()
		part, err := s.RegisterPart(t.Context(), officer, q)
		s.do(err)
		return part
	}
	whole := ask(api.RegisterAsk{})
	names := func(lines []api.RegisterLine) (out []string) {
		for _, l := range lines {
			out = append(out, l.Name+" "+l.Procedure)
		}
		return out
	}
	if got := names(whole.Lines); !slices.IsSorted(got) || len(got) != 5 || whole.Total != len(got) {
		t.Errorf("the whole: %d of %v", whole.Total, got)
	}
	var parts []string
	for from := 1; from <= whole.Total; from += 2 {
		part := ask(api.RegisterAsk{From: from, Limit: 2})
		if parts = append(parts, names(part.Lines)...); part.Total != whole.Total || len(part.Lines) > 2 {
			t.Errorf("from %d: %d lines of %d", from, len(part.Lines), part.Total)
		}
	}
	if !slices.Equal(parts, names(whole.Lines)) {
		t.Errorf("the parts are %v, the whole %v", parts, names(whole.Lines))
	}
	for what, c := range map[string]struct {
		q    api.RegisterAsk
		want int
	}{
		"one procedure":      {api.RegisterAsk{Procedure: pump}, 5},
		"a procedure unseen": {api.RegisterAsk{Procedure: "none such"}, 0},
		"by a name":          {api.RegisterAsk{Name: "HAND-3"}, 1},
		"who may alone":      {api.RegisterAsk{State: api.MayAlone}, 1},
		"on the road":        {api.RegisterAsk{State: string(clearance.NotCleared), Procedure: pump}, 4},
		"on the road, 2 and": {api.RegisterAsk{State: string(clearance.NotCleared), Procedure: pump, From: 2, Limit: 3}, 4},
		"beyond the end":     {api.RegisterAsk{State: api.MayAlone, From: 9}, 1},
		"before the record":  {api.RegisterAsk{On: content.DateOf(s.now().AddDate(0, 0, -9))}, 0},
	} {
		part := ask(c.q)
		if part.Total != c.want || c.q.Limit > 0 && len(part.Lines) != c.q.Limit || c.q.From > part.Total && len(part.Lines) > 0 {
			t.Errorf("%s: %d lines of %d, want %d", what, len(part.Lines), part.Total, c.want)
		}
	}
	_, err := s.RegisterPart(t.Context(), officer, api.RegisterAsk{State: "lost"})
	wantKind(t, err, api.Invalid)
}

// Where it hangs on one person, who runs out, who could sign for whom and who not,
// with the reason; and what is next on one's own road.
func TestCoverSignersAndRoads(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	tech, trainer := s.people[api.Technician], s.people[api.Trainer]
	s.passed(tech)
	road := func() api.Road {
		t.Helper()
		roads, err := s.Roads(t.Context(), s.as(tech))
		s.do(err)
		return roads[slices.IndexFunc(roads, func(r api.Road) bool { return r.Procedure == pump })]
	}
	if r := road(); r.Task() != clearance.TaskRebuild || len(r.Signers) != 0 || r.InForce != "L" {
		t.Errorf("before anybody may assess: %+v", r)
	}
	_, err := s.AppointAssessor(t.Context(), s.role(api.SafetyOfficer), api.AppointAssessor{Assessor: trainer.ID, Procedure: pump, Reason: "knows the pump from the maker’s school"})
	s.do(err)
	if r := road(); len(r.Signers) != 1 || r.Signers[0].Name != trainer.Name || r.Signers[0].Why != "appointed" {
		t.Errorf("with an assessor: %+v", r.Signers)
	}
	s.do(s.GiveTraining(t.Context(), s.as(trainer), api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: content.DateOf(s.now())}))
	v, err := s.Signers(t.Context(), s.role(api.SafetyOfficer), pump, 1, 10)
	s.do(err)
	if len(v.Assessors) != 1 || v.Total != 1 || len(v.Technicians) != 1 || v.Technicians[0].Person != tech.ID {
		t.Fatalf("who could sign: %+v", v)
	}
	if by := v.Technicians[0].Signers[0]; by.May || !strings.HasPrefix(by.Why, "trained the technician on ") {
		t.Errorf("who trained him could sign: %+v", by)
	}
	if r := road(); len(r.Signers) != 0 {
		t.Errorf("who trained me could observe me: %+v", r.Signers)
	}
	other := s.add("other", api.Technician)
	s.passed(other)
	s.clear(other, "L")
	cover, err := s.Cover(t.Context(), s.role(api.SafetyOfficer), content.Date{})
	s.do(err)
	l := cover[slices.IndexFunc(cover, func(l api.CoverLine) bool { return l.Procedure == pump })]
	if l.Alone != 1 || l.Only == nil || l.Only.Person != other.ID || l.Only.Name != other.Name || l.Road != 1 || l.Lapsing != 0 || l.Title == pump {
		t.Errorf("the cover: %+v", l)
	}
	cover, err = s.Cover(t.Context(), s.role(api.SafetyOfficer), content.DateOf(s.now().AddDate(0, 0, 350)))
	s.do(err)
	if l = cover[slices.IndexFunc(cover, func(l api.CoverLine) bool { return l.Procedure == pump })]; l.Lapsing != 1 {
		t.Errorf("the cover in 350 days: %+v", l)
	}
	for _, c := range []api.Caller{s.as(tech), s.role(api.Administrator)} {
		_, err = s.Cover(t.Context(), c, content.Date{})
		wantKind(t, err, api.Forbidden)
		_, err = s.Signers(t.Context(), c, pump, 1, 10)
		wantKind(t, err, api.Forbidden)
		_, err = s.PersonTrail(t.Context(), c, other.ID, pump)
		wantKind(t, err, api.Forbidden)
	}
}

// A trail tells everything in its order; what counts no more stays, struck out,
// with the reason.
func TestTheTrailStrikesOutAndKeeps(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	void := s.passed(tech)
	s.do(s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: void.Sitting.ID, Reason: "the wrong person sat there"}))
	s.wait(48 * time.Hour)
	s.passed(tech)
	s.clear(tech, "L")
	trail := func() api.TrailView {
		t.Helper()
		v, err := s.PersonTrail(t.Context(), s.as(tech), tech.ID, pump)
		s.do(err)
		return v
	}
	v := trail()
	said := func(v api.TrailView) (out []string) {
		for _, a := range v.Acts {
			line := a.Text
			if a.Struck {
				line = "×" + line
			}
			out = append(out, line)
		}
		return out
	}
	want := []string{"×Qualifying sitting passed on revision L", "Sitting struck out", "Qualifying sitting passed on revision L",
		"Observed rebuild on revision L, assessor " + s.people[api.Trainer].Name + ": 1 hold point, all unaided",
		"Signed as performed by " + tech.Name + ", as printed", "Signed as observed by " + s.people[api.Trainer].Name + ", as printed"}
	if got := said(v); !slices.Equal(got, want) || v.Acts[0].Note != "void" || !v.Own || !v.Cleared || v.Trail.Sitting == void.Sitting.ID {
		t.Errorf("the trail: %q", got)
	}
	s.do(s.Withdraw(t.Context(), s.role(api.SafetyOfficer), api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}))
	for i := range want {
		if i != 1 && i != 0 {
			want[i] = "×" + want[i]
		}
	}
	v = trail()
	if got := said(v); !slices.Equal(got, append(want, "Withdrawn: the road begins anew with a sitting")) || v.Acts[2].Note != "withdrawn" {
		t.Errorf("after the withdrawal: %q", got)
	}
	rows, err := s.LedgerEntries(t.Context(), s.role(api.SafetyOfficer), fmt.Sprint(v.Acts[6].Entry))
	s.do(err)
	if len(rows) != 1 || rows[0].Kind != "clearance.withdrawn" {
		t.Errorf("the entry of the withdrawal: %+v", rows)
	}
}

// Every kind of act that can stand in a trail has words of its own there.
func TestEveryActHasItsWords(t *testing.T) {
	told := map[string]clearance.Kind{}
	for _, act := range clearance.EmptyActs() {
		switch act.(type) {
		case clearance.AccountAdded, clearance.RoleSet:
			continue // of the account, not of the way on a procedure
		}
		line := api.TrailWords(act)
		if line.Text == string(act.Kind()) || line.Text == "" || told[line.Text] != "" {
			t.Errorf("%q is told as %q, like %q", act.Kind(), line.Text, told[line.Text])
		}
		told[line.Text] = act.Kind()
	}
}
