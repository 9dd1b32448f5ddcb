package api_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// board is a site with a panel: its chair is the site's trainer, who judges too.
type board struct {
	*site
	judges []api.Person
	as     []api.Caller
	id     string
	items  int
}

func newBoard(t *testing.T, n int) *board {
	b := &board{site: newSite(t)}
	b.judges = []api.Person{b.people[api.Trainer]}
	for i := 1; i < n; i++ {
		b.judges = append(b.judges, b.add(fmt.Sprint("judge", i), api.Trainer))
	}
	var ids []string
	for _, j := range b.judges {
		ids = append(ids, j.ID)
		b.as = append(b.as, b.site.as(j))
	}
	p, err := b.OpenPanel(t.Context(), b.as[0], api.OpenPanel{Procedure: pump, Judges: ids})
	if err != nil {
		t.Fatal(err)
	}
	b.id, b.items = p.ID, p.Items
	return b
}

// flat is the same rating of every item, with another one of the first.
func (b *board) flat(first, rest int) []int {
	out := make([]int, b.items)
	for i := range out {
		out[i] = rest
	}
	out[0] = first
	return out
}

func (b *board) rate(j, round int, percent []int) error {
	return b.RateItems(b.t.Context(), b.as[j], api.RateItems{Panel: b.id, Round: round, Percent: percent})
}

func (b *board) end(round int, closes bool) error {
	return b.EndRound(b.t.Context(), b.as[0], api.EndRound{Panel: b.id, Round: round, Close: closes, Note: "talked over the <first> sheet"})
}

func (b *board) must(errs ...error) {
	b.t.Helper()
	for _, err := range errs {
		if err != nil {
			b.t.Fatal(err)
		}
	}
}

func (b *board) view(c api.Caller) api.PanelView {
	b.t.Helper()
	v, err := b.Panel(b.t.Context(), c, b.id)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// Three judges, two rounds, one of them missing in the second: his first ratings
// stand. The sums are worked out by hand: of 30 items with the first apart.
func TestAPanelFindsACut(t *testing.T) {
	b := newBoard(t, 3)
	b.must(b.rate(0, 1, b.flat(50, 80)), b.rate(1, 1, b.flat(100, 90)), b.rate(2, 1, b.flat(60, 60)), b.end(1, false))
	b.must(b.rate(0, 2, b.flat(55, 80)), b.rate(1, 2, b.flat(90, 85)), b.end(2, true))
	v := b.view(b.as[1])
	n := b.items - 1
	sums := []float64{.55 + .8*float64(n), .9 + .85*float64(n), .6 + .6*float64(n)}
	mean := (sums[0] + sums[1] + sums[2]) / 3
	ss := 0.0
	for _, s := range sums {
		ss += (s - mean) * (s - mean)
	}
	se := math.Sqrt(ss/2) / math.Sqrt(3)
	hundredths := 55 + 90 + 60 + (80+85+60)*n
	percent, pass := (hundredths+3*b.items-1)/(3*b.items), (hundredths+299)/300
	if c := v.Cut; c == nil || c.Judges != 3 || math.Abs(c.Marks-mean) > 1e-9 || math.Abs(c.SE-se) > 1e-9 || c.Percent != percent || c.Pass != pass || c.Clipped {
		t.Fatalf("cut %+v, want %.4f ± %.4f, %d %%, %d", c, mean, se, percent, pass)
	}
	last := v.Rounds[1]
	if len(last.Seats) != 3 || last.Seats[2].Round != 1 || last.Seats[0].Round != 2 || math.Abs(last.Seats[1].Severity-(sums[1]-mean)) > 1e-9 {
		t.Errorf("seats %+v", last.Seats)
	}
	if !slices.Equal(v.Names[2].In, []bool{true, false}) || last.Items[0].Lo != .55 || last.Items[0].Hi != .9 {
		t.Errorf("in %v, the first item %+v", v.Names[2].In, last.Items[0])
	}
	b.sound()
}

// Nobody sees what others said in a round before the own ratings are in; who does
// not judge sees it once the round is ended.
func TestJudgesAreIndependent(t *testing.T) {
	b := newBoard(t, 3)
	officer, other := b.role(api.SafetyOfficer), b.site.as(b.add("onlooker", api.Trainer))
	hidden := func(when string, round int, want ...bool) {
		t.Helper()
		for i, c := range append(slices.Clone(b.as), officer, other) {
			r := b.view(c).Rounds[round-1]
			if r.Hidden != want[i] || r.Hidden && (len(r.Seats) > 0 || r.Cut != nil || r.Items != nil) {
				t.Errorf("%s: for %d round %d is hidden: %t with %d seats", when, i, round, r.Hidden, len(r.Seats))
			}
		}
	}
	hidden("at first", 1, true, true, true, true, true)
	b.must(b.rate(0, 1, b.flat(50, 80)))
	hidden("one is in", 1, false, true, true, true, true)
	b.must(b.rate(1, 1, b.flat(50, 70)), b.end(1, false))
	hidden("the first round is over", 1, false, false, false, false, false)
	hidden("the first round is over", 2, true, true, true, true, true)
	if v := b.view(b.as[2]); v.Rate || !strings.Contains(v.WhyNot, "first round") {
		t.Errorf("the late judge may rate: %t, %q", v.Rate, v.WhyNot)
	}
	wantState(t, b.rate(2, 2, b.flat(1, 1)), "late")
	if v := b.view(officer); v.Items != nil || v.Cut != nil {
		t.Error("a safety officer is shown keys, or a cut that is not found yet")
	}
	if v := b.view(b.as[1]); len(v.Items) != b.items || !v.Rate || !slices.Equal(v.Mine, b.flat(50, 70)) {
		t.Errorf("a judge sees %d items, may rate: %t, said %v", len(v.Items), v.Rate, v.Mine)
	}
}

func wantState(t *testing.T, err error, state string) {
	t.Helper()
	if e := wantKind(t, err, api.Conflict); e.State != state {
		t.Errorf("%v, want the state %q", err, state)
	}
}

func TestRatingsThatAreRefused(t *testing.T) {
	b := newBoard(t, 2)
	bad := b.flat(101, 80)
	bad[3] = -1
	e := wantKind(t, b.rate(0, 1, bad), api.Invalid)
	if len(e.Fields) != 2 || e.Fields[0].Field != "percent[0]" || e.Fields[1].Field != "percent[3]" {
		t.Errorf("fields %+v", e.Fields)
	}
	wantKind(t, b.rate(0, 1, b.flat(1, 1)[1:]), api.Invalid)
	wantKind(t, b.RateItems(t.Context(), b.site.as(b.add("stranger", api.Trainer)), api.RateItems{Panel: b.id, Round: 1, Percent: b.flat(1, 1)}), api.Forbidden)
	wantState(t, b.rate(0, 2, b.flat(1, 1)), "round 1")
	wantState(t, b.end(1, false), "too few judges")
	b.must(b.rate(0, 1, b.flat(80, 80)))
	wantState(t, b.rate(0, 1, b.flat(70, 70)), "rated")
	wantState(t, b.end(1, false), "too few judges")
	wantKind(t, b.EndRound(t.Context(), b.as[1], api.EndRound{Panel: b.id, Round: 1, Close: true}), api.Forbidden)
	b.must(b.end(1, true), b.end(1, true)) // told twice
	wantState(t, b.rate(1, 1, b.flat(80, 80)), "closed")
	wantState(t, b.end(1, false), "closed")
	if v := b.view(b.as[0]); !v.Closed || v.Cut != nil {
		t.Errorf("closed with one judge: %t, cut %+v", v.Closed, v.Cut)
	}
	_, err := b.AdoptCut(t.Context(), b.role(api.SafetyOfficer), api.AdoptCut{Panel: b.id})
	wantState(t, err, "no cut")
	b.sound()
}

func TestPanelsThatAreNotOpened(t *testing.T) {
	s := newSite(t)
	me, tech := s.people[api.Trainer].ID, s.people[api.Technician].ID
	_, err := s.OpenPanel(t.Context(), s.role(api.Trainer), api.OpenPanel{Procedure: pump, Judges: []string{me, tech, "nobody"}})
	e := wantKind(t, err, api.Invalid)
	if len(e.Fields) != 2 || e.Fields[0].Field != "judges[1]" || e.Fields[1].Field != "judges[2]" {
		t.Errorf("fields %+v", e.Fields)
	}
	_, err = s.OpenPanel(t.Context(), s.role(api.Trainer), api.OpenPanel{Procedure: pump, Judges: []string{me, me}})
	wantKind(t, err, api.Invalid)
	_, err = s.OpenPanel(t.Context(), s.role(api.Trainer), api.OpenPanel{Procedure: "none", Judges: []string{me, s.add("second", api.Trainer).ID}})
	wantKind(t, err, api.NotFound)
	_, err = s.OpenPanel(t.Context(), api.Operator(), api.OpenPanel{Procedure: pump, Judges: []string{me, s.add("third", api.Trainer).ID}})
	wantKind(t, err, api.Forbidden)
}

// The cut becomes the procedure's policy with a reference to the panel, which a
// later policy keeps as long as it leaves the cut alone.
func TestACutIsAdopted(t *testing.T) {
	b := newBoard(t, 2)
	officer := b.role(api.SafetyOfficer)
	adopt := func() (api.PolicyView, error) {
		return b.AdoptCut(t.Context(), officer, api.AdoptCut{Panel: b.id})
	}
	b.must(b.rate(0, 1, b.flat(85, 85)), b.rate(1, 1, b.flat(87, 87)))
	_, err := adopt()
	wantState(t, err, "open")
	b.must(b.end(1, true))
	for range 2 { // the second time it changes nothing
		if v, err := adopt(); err != nil || v.Policy.Cut != 86 || !v.Own {
			t.Fatalf("%+v, %v", v, err)
		}
	}
	if v := b.view(officer); !v.Adopted || v.InForce != 86 {
		t.Errorf("adopted: %t, in force: %d", v.Adopted, v.InForce)
	}
	policy := clearance.DefaultPolicy()
	policy.Cut, policy.Tries = 86, 5
	set := func(cut content.Cut) {
		policy.Cut = cut
		if _, err := b.SetPolicy(t.Context(), officer, api.SetPolicy{Procedure: pump, Policy: policy}); err != nil {
			t.Fatal(err)
		}
	}
	set(86)
	set(86)
	set(90)
	all, err := b.Policies(t.Context(), officer, pump)
	if err != nil || len(all) != 3 || all[0].Panel != "" || all[1].Panel != b.id || all[2].Panel != b.id || all[1].Policy.Tries != 5 {
		t.Fatalf("%+v, %v", all, err)
	}
	if v := b.view(officer); v.Adopted || v.InForce != 90 {
		t.Errorf("after another cut: adopted %t, in force %d", v.Adopted, v.InForce)
	}
	if f := b.form(b.open(b.role(api.Technician), api.Qualifying).ID); f.Cut != 90 {
		t.Errorf("the form was set with the cut %d", f.Cut)
	}
	b.sound()
}

// A panel may find that less than half is enough; a policy may not say so.
func TestACutBelowHalfIsNotAdopted(t *testing.T) {
	b := newBoard(t, 2)
	b.must(b.rate(0, 1, b.flat(40, 49)), b.rate(1, 1, b.flat(40, 49)), b.end(1, true))
	_, err := b.AdoptCut(t.Context(), b.role(api.SafetyOfficer), api.AdoptCut{Panel: b.id})
	wantState(t, err, "cut too low")
}

// What was done to a panel behind the program's back is named.
func TestAPanelThatWasAltered(t *testing.T) {
	b := newBoard(t, 2)
	b.must(b.rate(0, 1, b.flat(85, 85)), b.rate(1, 1, b.flat(87, 87)), b.end(1, true))
	b.sound()
	h := hand{t, b.raw(), b.url}
	at := func(kind ledger.Kind) (n int) {
		for i, e := range b.entries() {
			if e.Kind == kind {
				n = i
			}
		}
		return n
	}
	in := strings.NewReplacer("{P}", b.id, "{J}", b.judges[1].ID, "{C}", b.judges[0].ID, "{o}", fmt.Sprint(at(ledger.PanelOpened)), "{r}", fmt.Sprint(at(ledger.PanelRated)), "{e}", fmt.Sprint(at(ledger.PanelClosed))).Replace
	for _, a := range []alteration{
		{name: "a rating", tables: "panel_ratings", want: []string{"The ratings of {J} in round 1 of the panel {P} was altered: its row is not what entry {r} attests"},
			do: func(h hand, in func(string) string) {
				h.do(in("UPDATE panel_ratings SET percents = (SELECT percents FROM panel_ratings WHERE judge = '{C}') WHERE judge = '{J}'"))
			}},
		{name: "a rating taken out", tables: "panel_ratings", want: []string{"Entry {r} attests the ratings of {J} in round 1 of the panel {P}, and that is not in the database"},
			do: func(h hand, in func(string) string) { h.do(in("DELETE FROM panel_ratings WHERE judge = '{J}'")) }},
		{name: "ratings put in", tables: "panel_ratings", want: []string{"The ratings of {J} in round 2 of the panel {P} is in the database and no entry"},
			do: func(h hand, in func(string) string) {
				h.do(in("INSERT INTO panel_ratings (panel, round, judge, rated, percents) SELECT panel, 2, judge, rated, percents FROM panel_ratings WHERE judge = '{J}'"))
			}},
		{name: "a byte of the form", tables: "panels", want: []string{"The panel {P} was altered: its form is not what entry {o} attests", "the digest of its form that is stored beside it"},
			do: func(h hand, in func(string) string) { h.byte("panels", "form", in("id = '{P}'")) }},
		{name: "the judges", tables: "panels", want: []string{"The panel {P} was altered: its row"},
			do: func(h hand, in func(string) string) { h.do("UPDATE panels SET judges = judges || ' x'") }},
		{name: "a panel put in", tables: "panels", want: []string{"The panel x is in the database and no entry"},
			do: func(h hand, in func(string) string) {
				h.do("INSERT INTO panels (id, procedure, revision, build, judges, form, digest, items, opened, opened_by) SELECT 'x', procedure, revision, build, judges, form, digest, items, opened, opened_by FROM panels")
			}},
		{name: "a panel opened again", tables: "panel_ends", want: []string{"The end of round 1 of the panel {P} was altered: whether it closes the panel", "its row"},
			do: func(h hand, in func(string) string) { h.do("UPDATE panel_ends SET closed = 0") }},
		{name: "an end put in", tables: "panel_ends", want: []string{"The end of round 4 of the panel {P} is in the database and no entry"},
			do: func(h hand, in func(string) string) {
				h.do("INSERT INTO panel_ends (panel, round, closed, ended, ended_by, note) SELECT panel, 4, closed, ended, ended_by, note FROM panel_ends")
			}},
	} {
		t.Run(a.name, func(t *testing.T) {
			h.t, b.t = t, t
			h.undone(strings.Fields(a.tables), func() {
				a.do(h, in)
				b.found(a, in)
			})
		})
	}
}

// mere is no error where a use case got past who may: what it did not find is
// for others to test.
func mere(err error) error {
	if k := api.KindOf(err); k == api.NotFound || k == api.Invalid {
		return nil
	}
	return err
}
