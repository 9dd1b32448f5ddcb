package itemstat

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestChoices(t *testing.T) {
	var people []Choice
	for i := range 21 {
		option := 0
		switch {
		case i < 5:
			option = 1
		case i == 5:
			option = NoChoice
		}
		people = append(people, Choice{option, float64(i)})
	}
	got, err := Choices(3, people)
	if err != nil {
		t.Fatal(err)
	}
	want := ChoiceTable{N: 21, People: [3]int{7, 7, 7}, Blank: [3]int{1, 0, 0}, Unused: []int{2},
		Chosen: [3][]int{{1, 5, 0}, {7, 0, 0}, {7, 0, 0}}, Omitted: Omitted(1, 21)}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	got, _ = Choices(3, people[:19])
	if got.NotYet != TooFew || got.Need != 20 || got.Chosen[0] != nil {
		t.Errorf("19 people: %+v, want not yet", got)
	}
	for i := range people {
		people[i].Score = 1
	}
	got, _ = Choices(3, people)
	if got.People != [3]int{0, 21, 0} {
		t.Errorf("all tied: groups %v, want all in the middle", got.People)
	}
	_, err = Choices(3, []Choice{{3, 0}})
	refused(t, "option 3 of 3", err, OutOfRange)
	_, err = Choices(3, []Choice{{1, math.NaN()}})
	refused(t, "score NaN", err, NotFinite)
}

// The ranks of the median's interval: Conover, Practical Nonparametric
// Statistics, binomial at ½: P(X ≤ 5 | 20) = .0207 and P(X ≤ 6 | 20) = .0577.
func TestSheetTimes(t *testing.T) {
	times := make([]float64, 20)
	for i := range times {
		times[len(times)-1-i] = float64(i + 1)
	}
	got, err := SheetTimes(times)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "lower quartile", got.Lower, 5.75, 1e-12)
	known(t, "median", got.Median, 10.5, 1e-12)
	known(t, "upper quartile", got.Upper, 15.25, 1e-12)
	if got.Median.Lo != 6 || got.Median.Hi != 15 {
		t.Errorf("median from %v to %v, want 6 to 15", got.Median.Lo, got.Median.Hi)
	}
	_, err = SheetTimes([]float64{1, -1})
	refused(t, "a negative time", err, OutOfRange)
	got, _ = SheetTimes(nil)
	absent(t, "no times", got.Median, Empty)
}
