package itemmodel

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"soloright/content"
	"soloright/quiz"
)

// placing counts in which place something stood, of k places.
type placing map[string][]int

func (p placing) add(what string, place, k int) {
	if place < 0 || place >= k || k < 2 {
		return
	}
	what = fmt.Sprintf("%s of %d", what, k)
	if p[what] == nil {
		p[what] = make([]int, k)
	}
	p[what][place]++
}

// check is measurement.md's law of even placing: chi-square with k − 1 degrees, p
// above .001 over the number of tests, and no place off by more than one
// percentage point where n ≥ 40 000.
func (p placing) check() []error {
	var errs []error
	for what, counts := range p {
		n := 0
		for _, c := range counts {
			n += c
		}
		mean := float64(n) / float64(len(counts))
		if mean < 5 {
			continue
		}
		chi := 0.0
		for _, c := range counts {
			chi += (float64(c) - mean) * (float64(c) - mean) / mean
			if off := math.Abs(float64(c)-mean) / float64(n); n >= 40000 && off > 0.01 {
				errs = append(errs, fmt.Errorf("%s: %v, a place is off by %.1f points", what, counts, 100*off))
			}
		}
		if pv := (distuv.ChiSquared{K: float64(len(counts) - 1)}).Survival(chi); pv < 0.001/float64(len(p)) {
			errs = append(errs, fmt.Errorf("%s: %v, chi-square %.1f, p %.2g", what, counts, chi, pv))
		}
	}
	return errs
}

// note adds the places of one item: of its key among the shuffled options, and
// which way its figure is turned.
func (p placing) note(model string, it quiz.Item) {
	in := it.Interaction
	switch {
	case in.Ordered, in.Kind == quiz.Hotspot: // stand where their value or the order of work puts them
	case in.Kind == quiz.Choice, in.Kind == quiz.Multiple:
		at := leastRight(it)
		p.add(model+": key", at, len(in.Options)-in.Fixed)
		p.add("all models: key", at, len(in.Options)-in.Fixed)
	case in.Kind == quiz.Order:
		p.add(model+": first", first(it), len(in.Options))
	case in.Kind == quiz.Match:
		at := slices.IndexFunc(it.Key.Rows, func(r quiz.KeyRow) bool { return r.Fact == it.Lead })
		p.add(model+": bin", slices.IndexFunc(in.Bins, func(b quiz.Option) bool { return b.ID == it.Key.Rows[at].Bin }), len(in.Bins))
	}
	if in.Kind == quiz.Match && in.Ordered {
		return // so does its drawing, which shows the places as the procedure does
	}
	if in.Kind == quiz.Match {
		at := slices.IndexFunc(it.Key.Rows, func(r quiz.KeyRow) bool { return r.Fact == it.Lead })
		p.add(model+": row", at, len(in.Rows))
	}
	p.noteFigure(model, it)
}

func (p placing) noteFigure(model string, it quiz.Item) {
	f := it.Figure
	if f == nil {
		return
	}
	if f.Stack != nil {
		p.add(model+": mirrored", half(f.Stack.Mirrored), 2)
	}
	if f.Joint != nil {
		p.add(model+": mirrored", half(f.Joint.Mirror), 2)
		p.add(model+": turned", f.Joint.Rotation/90, 4)
	}
	if f.Facing != nil {
		p.add(model+": mirrored", half(f.Facing.Left < f.Facing.Right), 2)
	}
}

func half(b bool) int {
	if b {
		return 1
	}
	return 0
}

// leastRight is the place of the right option whose text comes first in the alphabet.
func leastRight(it quiz.Item) int {
	least := -1
	for i, o := range it.Key.Options {
		if o.Right && (least < 0 || it.Interaction.Options[i].Text < it.Interaction.Options[least].Text) {
			least = i
		}
	}
	return least
}

// first is the place of the option that the most others come after, of several the
// one whose text comes first in the alphabet; −1 where two of those look alike.
func first(it quiz.Item) int {
	after := map[string]int{}
	for _, p := range it.Key.Pairs {
		after[p.Before]++
	}
	at, twice := 0, false
	opts := it.Interaction.Options
	for i := 1; i < len(opts); i++ {
		more := after[opts[i].ID] - after[opts[at].ID]
		switch c := strings.Compare(opts[at].Text, opts[i].Text); {
		case more > 0 || more == 0 && c > 0:
			at, twice = i, false
		case more == 0 && c == 0:
			twice = true
		}
	}
	if twice {
		return -1
	}
	return at
}

// TestEvenPlacing writes an item of each model for seeds 1 to 10 000, the facts
// of all procedures in turn.
func TestEvenPlacing(t *testing.T) {
	type lead struct {
		src  *quiz.Source
		fact content.Fact
	}
	places := placing{}
	for _, m := range All() {
		var leads []lead
		for _, src := range sources(t) {
			for _, f := range leadsOf(src, m) {
				leads = append(leads, lead{src, f})
			}
		}
		if len(leads) == 0 {
			t.Errorf("%s writes on no fact of any procedure", m.Name())
			continue
		}
		for seed := 1; seed <= scaled(10000); seed++ {
			l := leads[seed%len(leads)]
			it, err := m.Write(l.src, l.fact, random(seed))
			if err != nil {
				t.Fatal(err)
			}
			places.note(m.Name(), it)
		}
	}
	for _, err := range places.check() {
		t.Error(err)
	}
}

// TestEvenPlacingSeesAPlantedFault: a key that stands first a little too often is seen.
func TestEvenPlacingSeesAPlantedFault(t *testing.T) {
	places := placing{}
	rnd := random(1)
	for i := range 40000 {
		at := rnd.IntN(4)
		if i%40 == 0 {
			at = 0
		}
		places.add("planted", at, 4)
	}
	if len(places.check()) == 0 {
		t.Error("a skew of 1.9 percentage points was not seen")
	}
}
