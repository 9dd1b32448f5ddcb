package clearance_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"soloright/scoring/clearance"
)

func said(s clearance.Standing) where {
	return where{State: s.State, Cleared: s.Cleared, Lapsing: s.Lapsing, Revision: s.Revision, Until: s.Until.String(), Due: s.Due.String(),
		Changed: s.Changed, Removed: s.Removed, Observe: s.Observe}
}

// Random records, folded at once, say on every day what an oracle says that reads
// the whole record for every question: the standing of everybody on everything,
// who may sit, and who may assess whom. The register of the last day is asked
// about all the days before it; the oracle answers each as it comes.
func TestFoldAgreesWithOracle(t *testing.T) {
	seeds := 3
	if testing.Short() {
		seeds = 1
	}
	kinds := map[clearance.Kind]int{}
	states := map[clearance.State]int{}
	for seed := range uint64(seeds) {
		agree(t, seed, kinds, states)
	}
	for _, k := range clearance.Kinds() {
		if kinds[k] == 0 {
			t.Errorf("no %q in the records", k)
		}
	}
	for _, s := range []clearance.State{clearance.Cleared, clearance.Held, clearance.Lapsed, clearance.NotCleared, clearance.StateSuspended, clearance.StateWithdrawn, clearance.StateLeft, clearance.ProcedureNotActive} {
		if states[s] < 20*seeds {
			t.Errorf("%q came up %d times in %d records: too seldom to prove anything", s, states[s], seeds)
		}
	}
	t.Log(states)
}

func agree(t *testing.T, seed uint64, kinds map[clearance.Kind]int, states map[clearance.State]int) {
	t.Helper()
	events := history(seed, 1000)
	reg := clearance.New(zone)
	for _, e := range events {
		if err := e.Check(); err != nil {
			t.Fatalf("seed %d, event %d: %v", seed, e.Seq, err)
		}
		if err := reg.Add(e); err != nil {
			t.Fatal(err)
		}
		kinds[e.Act.Kind()]++
	}
	o := newOracle(zone)
	last := events[len(events)-1].At.AddDate(0, 0, 60)
	for d := at("2026-01-01 00:00"); d.Before(last); d = d.AddDate(0, 0, 1) {
		night := d.AddDate(0, 0, 1).Add(-time.Microsecond)
		for len(events) > 0 && !events[0].At.After(night) {
			o.add(events[0])
			events = events[1:]
		}
		sameDay(t, seed, reg, o, night, states)
		if t.Failed() {
			return
		}
	}
	sameRebuilds(t, seed, reg, o)
	later(t, seed, reg, o)
}

// sameRebuilds compares what became of every rebuild and its signatures by the
// end of the record.
func sameRebuilds(t *testing.T, seed uint64, reg *clearance.Register, o *oracle) {
	t.Helper()
	end := o.record[len(o.record)-1].At
	for i, e := range o.record {
		b, ok := e.Act.(clearance.RebuildFinished)
		if _, first := o.rebuild(o.record, b.Rebuild); !ok || first != i {
			continue
		}
		sitting := o.built[b.Rebuild]
		want := clearance.Rebuild{Counts: o.judged[i], Performed: o.signs(o.record, i, b.Rebuild, clearance.Performed),
			Observed: o.signs(o.record, i, b.Rebuild, clearance.Observed), Follows: sitting != "" && o.stands(o.record, sitting), Voided: o.struckOut(o.record, b.Rebuild)}
		if want.Follows {
			_, yes := o.approved(sitting)
			want.Ready, want.Approved = len(o.signedRebuilds(o.record, sitting)) >= o.policy(o.record, b.Procedure).Rebuilds, yes
		}
		got, _ := reg.Rebuild(b.Rebuild, end)
		got.Reason = ""
		if got != want {
			t.Errorf("seed %d, rebuild %s: oracle %+v, fold %+v", seed, b.Rebuild, want, got)
		}
	}
}

var people, procedures = []string{"p0", "p1", "p2", "p3", "p4"}, []string{"q0", "q1", "q2"}

func sameDay(t *testing.T, seed uint64, reg *clearance.Register, o *oracle, night time.Time, states map[clearance.State]int) {
	t.Helper()
	list := o.up(night)
	for i, p := range people {
		for k, q := range procedures {
			want := o.standing(list, p, q, night)
			states[want.State]++
			if diff := cmp.Diff(want, said(reg.Standing(p, q, night, time.Time{})), cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("seed %d, %s on %s at %s: -oracle +fold\n%s", seed, p, q, night, diff)
			}
			may, left := o.sits(list, p, q, night)
			if got := reg.MaySit(p, q, night); got.May != may || got.Left != left {
				t.Errorf("seed %d, %s sits on %s at %s: oracle %v %d, fold %+v", seed, p, q, night, may, left, got)
			}
			sameLack(t, seed, reg, o, night, p, q)
			sameAssessor(t, seed, reg, o, night, p, people[(i+1+k)%len(people)], q)
		}
	}
}

func sameAssessor(t *testing.T, seed uint64, reg *clearance.Register, o *oracle, night time.Time, assessor, technician, q string) {
	t.Helper()
	list := o.up(night)
	all, _ := o.adoptions(list, q)
	for i := max(0, len(all)-2); i < len(all); i++ {
		r := all[i].Revision
		want := assessor != technician && o.entitled(list, assessor, q, r, night, night) && !o.taught(list, assessor, technician, q, night, night)
		if got, why := reg.MayAssess(assessor, technician, q, r, night); got != want {
			t.Errorf("seed %d, %s assesses %s on %s at %s: oracle %v, fold %v %q", seed, assessor, technician, r, night, want, got, why)
		}
	}
}

// later compares the standings of past days as known at other instants.
func later(t *testing.T, seed uint64, reg *clearance.Register, o *oracle) {
	t.Helper()
	end := o.record[len(o.record)-1].At
	for d := at("2026-01-03 12:00"); d.Before(end); d = d.AddDate(0, 0, 9) {
		for _, known := range []time.Time{d.AddDate(0, 0, -20), d.Add(20 * time.Hour), end} {
			for _, p := range people {
				for _, q := range procedures {
					want := o.standing(o.seenAs(d, known), p, q, d)
					if diff := cmp.Diff(want, said(reg.Standing(p, q, d, known)), cmpopts.EquateEmpty()); diff != "" {
						t.Errorf("seed %d, %s on %s at %s as known at %s: -oracle +fold\n%s", seed, p, q, d, known, diff)
					}
				}
			}
		}
		if t.Failed() {
			return
		}
	}
}
