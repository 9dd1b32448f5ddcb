package itemhealth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"soloright/scoring/itemstat"
)

func answer(person string, minute int, mark float64) Response {
	return Response{Person: person, Revision: "A", Value: "1", Family: Family{"fact", "alpha"}, At: day.Add(time.Duration(minute) * time.Minute), Mark: mark, Right: mark == 1, Seconds: 10}
}

// Of a person the first meeting counts, in whatever order the answers come; the
// later ones are answers and no people.
func TestFirstMeetingCounts(t *testing.T) {
	for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {1, 0, 2}} {
		all := []Response{answer("ana", 0, 0), answer("ana", 5, 1), answer("bo", 3, 1)}
		s := NewStudy(Design{Revisions: []string{"A"}})
		for _, i := range order {
			if err := s.Add(all[i]); err != nil {
				t.Fatal(err)
			}
		}
		r, err := s.Judge(func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		h := r.Items[0]
		if h.Answers != 3 || h.People != 2 || h.Difficulty.Value != 0.5 || h.Difficulty.N != 2 {
			t.Errorf("%v: %d answers of %d people, difficulty %v", order, h.Answers, h.People, h.Difficulty)
		}
	}
}

// The report does not depend on the order of the answers.
func TestOrderOfAnswersDoesNotCount(t *testing.T) {
	w := newWorld(21)
	w.facts, w.people = 12, 40
	var all []Response
	for i := range w.people {
		p := person{ability: w.rnd.NormFloat64(), crew: w.crews[i%2], revision: i % 2}
		for f := range w.facts {
			all = append(all, w.response(i, p, f))
		}
	}
	report := func() *Report {
		s := NewStudy(w.design)
		for _, r := range all {
			if err := s.Add(r); err != nil {
				t.Fatal(err)
			}
		}
		r, err := s.Judge(func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		Settle(r)
		return r
	}
	want := report()
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	if diff := cmp.Diff(want, report(), cmpopts.IgnoreUnexported(Report{}, Health{}, Flag{}), cmpopts.EquateApprox(1e-9, 1e-9)); diff != "" {
		t.Error(diff)
	}
}

// Below the n that a figure needs there is a reason and no number (measurement.md's table).
func TestTooFewSayNotYet(t *testing.T) {
	for _, c := range []struct {
		people int
		figure func(Health) bool // known
		need   int
	}{
		{itemstat.NeedCorrelation, func(h Health) bool { return h.ItemTotal.Known() && h.Discrimination.Known() }, 30},
		{itemstat.NeedChoices, func(h Health) bool { return h.Options[0].NotYet == "" }, 20},
		{itemstat.NeedRasch, func(h Health) bool { return h.Rasch.Known() }, 30},
	} {
		for _, n := range []int{c.need - 1, c.need} {
			w := newWorld(4)
			w.people, w.facts, w.share = n, 10, 1
			known := 0
			for _, h := range w.report(t).Items {
				if h.People == n && c.figure(h) {
					known++
				}
			}
			if c.people != c.need || (known > 0) != (n == c.need) {
				t.Errorf("from %d: %d families with %d people have the figure", c.need, known, n)
			}
		}
	}
}

func TestStudyRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Response){
		"a mark that is none":          func(r *Response) { r.Mark = math.NaN() },
		"a mark above 1":               func(r *Response) { r.Mark = 1.5 },
		"a time below 0":               func(r *Response) { r.Seconds = -1 },
		"a time without end":           func(r *Response) { r.Seconds = math.Inf(1) },
		"a revision that is not there": func(r *Response) { r.Revision = "Z" },
	} {
		s := NewStudy(Design{Revisions: []string{"A"}})
		r := answer("ana", 0, 1)
		spoil(&r)
		if err := s.Add(r); err == nil || len(s.people) > 0 {
			t.Errorf("%s: %v, %d people", name, err, len(s.people))
		}
	}
	r, err := NewStudy(Design{}).Judge(func(float64) {})
	if err != nil || len(r.Items) > 0 {
		t.Errorf("no answers: %v, %v", r, err)
	}
}

// Whatever comes in, every figure is finite or says why not.
func FuzzJudge(f *testing.F) {
	f.Add(uint64(1), byte(3), byte(3))
	f.Add(uint64(2), byte(60), byte(2))
	f.Fuzz(func(t *testing.T, seed uint64, people, facts byte) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		s := NewStudy(Design{Revisions: []string{"A", "B"}, Cut: rnd.Float64()})
		for i := range int(people) {
			for j := range int(facts % 8) {
				if rnd.IntN(3) == 0 {
					continue
				}
				r := answer(fmt.Sprint(i), rnd.IntN(9), float64(rnd.IntN(4))/3)
				r.Lead, r.Crew, r.Revision = fmt.Sprint(j), fmt.Sprint(rnd.IntN(3)), []string{"A", "B"}[rnd.IntN(2)]
				r.Options = []Option{{"x", rnd.IntN(2) == 0, rnd.IntN(2) == 0}, {"y", false, rnd.IntN(2) == 0}}
				if err := s.Add(r); err != nil {
					t.Fatal(err)
				}
			}
		}
		r, err := s.Judge(func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		Settle(r)
		for _, h := range r.Items {
			for _, g := range []itemstat.Figure{h.Difficulty, h.ItemTotal, h.Discrimination, h.Omitted, h.Lower, h.Median, h.Upper, h.Rasch} {
				if g.Known() && (math.IsNaN(g.Value) || math.IsInf(g.Value, 0)) {
					t.Fatalf("%s: %v", h.Lead, g)
				}
			}
			for _, fl := range h.Flags {
				if math.IsNaN(fl.Luck) || fl.Luck < 0 || fl.Adjusted > 1 || fl.Sentence == "" {
					t.Fatalf("%s: %v", h.Lead, fl)
				}
			}
		}
	})
}
