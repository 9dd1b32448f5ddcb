package api_test

import (
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/content"
	"soloright/scoring/clearance"
)

// Several instances decide on one record at random, each with the fold that it
// keeps, while others read: whichever is asked, on whatever day, by what was known
// then or is now, it says what the whole record says when it is folded anew.
func TestEveryInstancesFoldIsTheFullFold(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { interleaved(t, newSite(t), 1) })
	t.Run("PostgreSQL", func(t *testing.T) { interleaved(t, newSiteAt(t, "", testenv.PostgreSQL(t)), 2) })
}

// interleaving is a site with several instances and a random hand on each.
type interleaving struct {
	*site
	rnd    *rand.Rand
	apps   []*api.App
	people []api.Person

	begun   time.Time
	officer api.Caller
	seen    map[clearance.State]int
}

func interleaved(t *testing.T, s *site, seed uint64) {
	x := &interleaving{site: s, rnd: rand.New(rand.NewPCG(seed, 9)), apps: []*api.App{s.App, s.on(s.store), s.on(s.store)}, seen: map[clearance.State]int{}, begun: s.now()}
	s.lone("L", false, nil)
	for i := range 4 {
		x.people = append(x.people, s.add(fmt.Sprint("hand-", i), api.Technician))
	}
	rounds := 40
	if testing.Short() {
		rounds = 15
	}
	for i := range rounds {
		if i%3 == 0 {
			s.wait(time.Duration(1+x.rnd.IntN(40*24)) * time.Hour)
		}
		x.officer = x.role(api.SafetyOfficer)
		x.atOnce()
		x.same()
		if t.Failed() {
			t.Fatalf("after round %d of seed %d", i, seed)
		}
	}
	for _, state := range []clearance.State{clearance.Cleared, clearance.StateSuspended, clearance.StateWithdrawn, clearance.StateLeft} {
		if x.seen[state] == 0 && !testing.Short() {
			t.Errorf("nobody was ever %s: %v", state, x.seen)
		}
	}
	s.sound()
}

// atOnce lets every instance decide on something while another reads.
func (x *interleaving) atOnce() {
	var all sync.WaitGroup
	for i, a := range x.apps {
		act := x.decision()
		all.Go(func() {
			if err := act(a); err != nil && api.KindOf(err) != api.Conflict && api.KindOf(err) != api.Forbidden {
				x.t.Errorf("instance %d: %v", i, err)
			}
		})
		all.Go(func() {
			if _, err := a.RegisterPart(x.t.Context(), x.officer, api.RegisterAsk{}); err != nil {
				x.t.Errorf("instance %d: %v", i, err)
			}
		})
	}
	all.Wait()
}

// decision is something at random that goes on the record, or is refused.
func (x *interleaving) decision() func(*api.App) error {
	who, ctx := x.people[x.rnd.IntN(len(x.people))], x.t.Context()
	officer := x.officer
	cmd := api.StandingCommand{Person: who.ID, Procedure: pump, Reason: fmt.Sprintf("for the reason number %d", x.rnd.IntN(3))}
	switch x.rnd.IntN(7) {
	case 0, 1:
		return func(a *api.App) error { return a.Suspend(ctx, officer, cmd) }
	case 2:
		return func(a *api.App) error { return a.Reinstate(ctx, officer, cmd) }
	case 3:
		return func(a *api.App) error { return a.Withdraw(ctx, officer, cmd) }
	case 4:
		policy := clearance.DefaultPolicy()
		policy.Months = 1 + x.rnd.IntN(24)
		return func(a *api.App) error {
			_, err := a.SetPolicy(ctx, officer, api.SetPolicy{Procedure: pump, Policy: policy})
			return err
		}
	case 5:
		left := x.rnd.IntN(2) == 0
		return func(a *api.App) error {
			_, err := a.ChangeAccount(ctx, api.Operator(), api.ChangeAccount{Person: who.ID, Left: &left})
			return err
		}
	}
	now := x.now()
	acts := x.road(fmt.Sprint(x.rnd.Uint64()), who.ID, now)
	return func(a *api.App) error { return api.PutActs(ctx, a, x.people[0].ID, acts...) }
}

// road is a sitting passed and a rebuild signed for.
func (x *interleaving) road(id, person string, now time.Time) []clearance.Act {
	assessor := x.site.people[api.Trainer].ID
	digest := fmt.Sprintf("%064x", 7)
	sign := func(who string, m clearance.Meaning) clearance.Act {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: person, Proof: "password"}
	}
	return []clearance.Act{
		clearance.AssessorAppointed{Appointment: "a" + id, Assessor: assessor, Procedure: pump, From: content.DateOf(now)},
		clearance.SittingMarked{Sitting: "s" + id, Person: person, Procedure: pump, Revision: "L", HandedIn: now.Add(-time.Hour), Verdict: clearance.Passed},
		clearance.RebuildFinished{Rebuild: id, Technician: person, Assessor: assessor, Procedure: pump, Revision: "L", Started: now, Ended: now,
			Holds: []clearance.HoldRecord{{Step: "isolate", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest},
		sign(person, clearance.Performed), sign(assessor, clearance.Observed),
	}
}

// same compares what each instance says with the record folded anew.
func (x *interleaving) same() {
	x.t.Helper()
	full := clearance.New(time.UTC)
	for _, e := range x.record(0) {
		x.do(full.Add(e))
	}
	for i, a := range x.apps {
		span := int(x.now().Sub(x.begun).Hours()/24) + 60 // days, some of them still to come
		day := content.DateOf(x.begun.AddDate(0, 0, x.rnd.IntN(span)))
		for _, knownNow := range []bool{false, true} {
			known := time.Time{}
			if knownNow {
				known = x.now()
			}
			want := map[string]string{}
			for s := range full.On(day, known) {
				x.seen[s.State]++
				want[s.Person+" "+s.Procedure] = fmt.Sprint(s.State, s.Cleared, s.Reason, s.Until, s.ChangedAt.UnixMicro())
			}
			part, err := a.RegisterPart(x.t.Context(), x.officer, api.RegisterAsk{On: day, KnownNow: knownNow})
			x.do(err)
			got := map[string]string{}
			for _, s := range part.Lines {
				got[s.Person+" "+s.Procedure] = fmt.Sprint(s.State, s.Cleared, s.Reason, s.Until, s.ChangedAt.UnixMicro())
			}
			if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" || part.Total != len(want) {
				x.t.Errorf("instance %d on %s, known now %v, %d lines (-full +kept):\n%s", i, day, knownNow, part.Total, diff)
			}
		}
	}
}
