package clearance_test

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// size is a site: so many people on so many procedures, with ten events for each
// person on each procedure.
type size struct{ people, procedures int }

// siteSize is the largest that the register is made for; -short scales it down.
func siteSize() size {
	if testing.Short() {
		return size{500, 10}
	}
	return size{10_000, 20}
}

const perPair = 10

// events yields the record of three years, in the order of time: each person sits
// each procedure, fails or passes, is observed and signed for, sits again; two
// revisions of each procedure are adopted in between. It makes one event at a
// time, so that the record itself does not count as memory of the fold.
func (z size) events(yield func(clearance.Event) bool) {
	b := &siteRecord{size: z, rnd: rand.New(rand.NewPCG(3, 4)), yield: yield, now: at("2024-01-01 00:00"), total: z.people * z.procedures * perPair}
	for q := range z.procedures {
		b.tell(clearance.RevisionAdopted{Procedure: procedureID(q), Revision: "A"})
		b.tell(clearance.AssessorAppointed{Appointment: fmt.Sprint("a", q), Assessor: "assessor", Procedure: procedureID(q), From: date("2024-01-01")})
	}
	for turn := range perPair {
		if turn == 4 || turn == 8 {
			for q := range z.procedures {
				b.tell(clearance.RevisionAdopted{Procedure: procedureID(q), Revision: string(rune('A' + turn/4)), Changed: []content.FactID{"f1", "f2"}[:q%3]})
			}
		}
		for _, p := range b.rnd.Perm(z.people) {
			for q := range z.procedures {
				b.turn(turn, p, q)
			}
		}
	}
}

func procedureID(q int) string { return fmt.Sprintf("procedure-%02d", q) }
func personID(p int) string    { return fmt.Sprintf("person-%05d", p) }

type siteRecord struct {
	size
	rnd   *rand.Rand
	yield func(clearance.Event) bool
	now   time.Time
	n     int64
	total int
	over  bool
}

func (b *siteRecord) tell(a clearance.Act) {
	if b.over {
		return
	}
	b.now = b.now.Add(3 * 365 * 24 * time.Hour / time.Duration(b.total))
	b.n++
	b.over = !b.yield(clearance.Event{Seq: b.n, At: b.now, By: "officer", Act: a})
}

// turn is the next event of a person on a procedure.
func (b *siteRecord) turn(turn, p, q int) {
	person, procedure := personID(p), procedureID(q)
	id := fmt.Sprint(p, ".", q, ".", turn)
	round := fmt.Sprint(p, ".", q, ".", turn/5)
	revision := string(rune('A' + turn/4))
	switch turn % 5 {
	case 0:
		v := clearance.Passed
		if b.rnd.IntN(4) == 0 {
			v = clearance.Failed
		}
		b.tell(clearance.SittingMarked{Sitting: id, Person: person, Procedure: procedure, Revision: revision, HandedIn: b.now, Verdict: v})
	case 1:
		b.tell(clearance.RebuildFinished{Rebuild: round, Technician: person, Assessor: "assessor", Procedure: procedure, Revision: revision, Started: b.now, Ended: b.now,
			Holds: []clearance.HoldRecord{{Step: "h", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest})
	case 2:
		b.tell(b.signature(round, person, person, clearance.Performed))
	case 3:
		b.tell(b.signature(round, person, "assessor", clearance.Observed))
	case 4:
		b.tell(clearance.DeltaMarked{Sitting: id, Person: person, Procedure: procedure, From: "A", To: revision, HandedIn: b.now, Verdict: clearance.Passed})
	}
}

func (b *siteRecord) signature(rebuild, technician, signer string, m clearance.Meaning) clearance.Signed {
	return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: rebuild, Digest: digest}, Signer: signer, Role: "as printed", Meaning: m, Technician: technician, Proof: "password"}
}

func (z size) register(t testing.TB) *clearance.Register {
	t.Helper()
	r := clearance.New(zone)
	for e := range z.events {
		if err := r.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// BenchmarkFold folds the whole record; it reports events a second, the making of
// the events taken off, and the memory that the register holds afterwards.
func BenchmarkFold(b *testing.B) {
	z := siteSize()
	for b.Loop() {
		begun := time.Now()
		n := 0
		for range z.events {
			n++
		}
		making := time.Since(begun)
		before := heap()
		begun = time.Now()
		r := z.register(b)
		took := time.Since(begun) - making
		b.ReportMetric(float64(n)/took.Seconds(), "events/s")
		b.ReportMetric(float64(heap()-before)/float64(n), "B/event")
		runtime.KeepAlive(r)
	}
}

func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// BenchmarkAsk asks the folded record: the whole register on a past day, today
// and a coming day, one person's standing, what lapses, who is the only one.
func BenchmarkAsk(b *testing.B) {
	z := siteSize()
	r := z.register(b)
	for _, d := range []string{"2025-06-30", "2026-12-31", "2027-09-01"} {
		b.Run("register/"+d, func(b *testing.B) {
			rows, cleared := 0, 0
			for b.Loop() {
				rows, cleared = 0, 0
				for s := range r.On(date(d), time.Time{}) {
					rows++
					if s.Cleared {
						cleared++
					}
				}
			}
			b.ReportMetric(float64(rows), "rows")
			b.ReportMetric(float64(cleared), "cleared")
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/float64(rows), "ns/row")
		})
	}
	b.Run("standing", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			r.Standing(personID(i%z.people), procedureID(i%z.procedures), end("2025-06-30"), time.Time{})
		}
	})
	b.Run("who-could-sign", func(b *testing.B) {
		for b.Loop() {
			r.WhoCouldSign(personID(1), procedureID(1), "B", end("2025-06-30"))
		}
	})
	b.Run("lapsing", func(b *testing.B) {
		for b.Loop() {
			r.Lapsing(date("2026-06-30"), 30, time.Time{})
		}
	})
}

// A register that grew, and was asked in between, is the one made at once: what
// is kept by its length stays true.
func TestGrownEqualsFolded(t *testing.T) {
	events := history(99, 600)
	grown := clearance.New(zone)
	for i, e := range events {
		if err := grown.Add(e); err != nil {
			t.Fatal(err)
		}
		if i%97 != 0 {
			continue
		}
		whole := clearance.New(zone)
		for _, x := range events[:i+1] {
			if err := whole.Add(x); err != nil {
				t.Fatal(err)
			}
		}
		for _, d := range []int{-30, -1, 0, 40} {
			sameRegister(t, grown, whole, content.DateOf(e.At.AddDate(0, 0, d)))
		}
	}
}

func sameRegister(t *testing.T, a, b *clearance.Register, d content.Date) {
	t.Helper()
	if a.Len() != b.Len() {
		t.Fatalf("%d events against %d", a.Len(), b.Len())
	}
	var rows []string
	for s := range a.On(d, time.Time{}) {
		rows = append(rows, fmt.Sprintf("%+v", s))
	}
	i := 0
	for s := range b.On(d, time.Time{}) {
		if row := fmt.Sprintf("%+v", s); i >= len(rows) || rows[i] != row {
			t.Errorf("on %s, row %d: %s", d, i, row)
		}
		i++
	}
	if i != len(rows) {
		t.Errorf("on %s: %d rows against %d", d, len(rows), i)
	}
}
