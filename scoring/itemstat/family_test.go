package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// simulatedFamily draws people who meet nine plain columns and one item each of
// the family in column 0, whose items differ by those effects.
func simulatedFamily(t testing.TB, rnd *rand.Rand, effects []float64, each int) (m *Matrix, columns []Graded, item []int) {
	t.Helper()
	columns = bankOf(rnd, 10)
	m = matrix(t, len(columns))
	for i, e := range effects {
		for range each {
			theta := rnd.NormFloat64()
			cells := []Cell{{0, columns[0].mark(draw(rnd, columns[0], theta-e))}}
			for j := 1; j < len(columns); j++ {
				cells = append(cells, Cell{j, columns[j].mark(draw(rnd, columns[j], theta))})
			}
			if err := m.Add(1, cells...); err != nil {
				t.Fatal(err)
			}
			item = append(item, i)
		}
	}
	return m, columns, item
}

// The likelihood against the definition: for each item the sum over its effect of the
// product over its people of the sum over their ability.
func TestFamilyLikelihood(t *testing.T) {
	rnd := rand.New(rand.NewPCG(51, 52))
	m, columns, item := simulatedFamily(t, rnd, []float64{-.5, 0, .8}, 4)
	f := newFamilyFit(m, columns, 0, item)
	got := func(spread, shift float64) float64 {
		sum := 0.0
		f.moments(spread, shift, func(_ int, log, _, _ float64) { sum += log })
		return sum
	}
	chance := func(g Graded, theta float64, mark float64) float64 { return g.Chances(theta)[g.Category(mark)] }
	want := func(spread, shift float64) float64 {
		out := 0.0
		for i := range 3 {
			sum := 0.0
			for e := -6.0; e <= 6; e += .08 {
				like := math.Exp(-e*e/2) * .08 / math.Sqrt(2*math.Pi)
				for r := range m.count {
					if item[r] != i {
						continue
					}
					_, marks, _ := m.row(r)
					over, all := 0.0, 0.0
					for theta := -6.0; theta <= 6; theta += .1 {
						w := math.Exp(-theta * theta / 2)
						for j := 1; j < len(columns); j++ {
							w *= chance(columns[j], theta, marks[j])
						}
						all += w
						over += w * chance(columns[0], theta-shift-spread*e, marks[0])
					}
					like *= over / all
				}
				sum += like
			}
			out += math.Log(sum)
		}
		return out
	}
	base := got(.6, 0) - want(.6, 0) // a constant that the tables leave out
	near(t, "another place", got(.6, .5)-want(.6, .5), base, 1e-4)
	near(t, "another spread", got(1.1, .2)-want(1.1, .2), base, 1e-4)
	near(t, "a small spread", got(.1, 0)-want(.1, 0), base, 1e-4)

	// The family's place integrated out, Laplace's method against a sum.
	effects := make([]float64, 25)
	m, columns, item = simulatedFamily(t, rnd, effects, 10)
	f = newFamilyFit(m, columns, 0, item)
	restricted := func(spread float64) float64 {
		sum, top := 0.0, got(spread, 0)
		for shift := -1.5; shift <= 1.5; shift += .02 {
			sum += math.Exp(got(spread, shift) - top)
		}
		return top + math.Log(sum)
	}
	for _, spread := range []float64{.2, 1.2} {
		near(t, "restricted likelihood", f.best(spread, 0).log-f.best(.6, 0).log, restricted(spread)-restricted(.6), .01)
	}
}

// Spreads come back, and their 90 % intervals cover 85 % to 95 % of 200 replications.
func TestFamilyRecovery(t *testing.T) {
	for _, spread := range []float64{.3, .8} {
		var found []float64
		covered, replications := 0, trials(200)
		for rep := range replications {
			f, _ := spreadOf(t, rand.New(rand.NewPCG(uint64(rep), uint64(100*spread))), spread)
			found = append(found, f.SD.Value)
			covered += int(indicator(f.SD.Lo <= spread && spread <= f.SD.Hi))
		}
		near(t, "mean spread", mean(found), spread, .04+4*math.Sqrt(covariance(found, found)/float64(replications)))
		rate := float64(covered) / float64(replications)
		near(t, "coverage of the spread", rate, Level, .05+3*math.Sqrt(.09/float64(replications))*indicator(testing.Short()))
		t.Logf("spread %v: mean %.3f, coverage %.3f", spread, mean(found), rate)
	}
}

func spreadOf(t *testing.T, rnd *rand.Rand, spread float64) (Family, []float64) {
	t.Helper()
	effects := make([]float64, 30)
	for i := range effects {
		effects[i] = spread * rnd.NormFloat64()
	}
	m, columns, item := simulatedFamily(t, rnd, effects, 12)
	f, err := FamilySpread(m, columns, 0, item)
	if err != nil {
		t.Fatal(err)
	}
	return f, effects
}

// Over spreads drawn from the prior, uniform up to MaxSpread, the items' 90 %
// intervals cover .88 to .92 of the true effects (6000 of them, ten thousand being too dear).
func TestFamilyItemsCoverage(t *testing.T) {
	items, inside := 0, 0
	for rep := range trials(200) {
		rnd := rand.New(rand.NewPCG(uint64(rep), 57))
		f, effects := spreadOf(t, rnd, MaxSpread*rnd.Float64())
		for i, it := range f.Items {
			items++
			inside += int(indicator(it.Harder.Lo <= effects[i] && effects[i] <= it.Harder.Hi))
		}
	}
	near(t, "coverage", float64(inside)/float64(items), Level, .02+.03*indicator(testing.Short()))
	t.Logf("coverage %.4f of %d", float64(inside)/float64(items), items)
}

// One item two logits harder than its like stands out, and only that one.
func TestFamilyOddItem(t *testing.T) {
	rnd := rand.New(rand.NewPCG(53, 54))
	effects := make([]float64, 20)
	effects[13] = 2
	m, columns, item := simulatedFamily(t, rnd, effects, 30)
	f, err := FamilySpread(m, columns, 0, item)
	if err != nil {
		t.Fatal(err)
	}
	for i, it := range f.Items {
		if it.Item != i || it.Harder.N != 30 || it.Harder.Lo > .5 != (i == 13) {
			t.Errorf("item %d: %+v", i, it)
		}
	}
	same := make([]float64, 20)
	m, columns, item = simulatedFamily(t, rnd, same, 30)
	if f, err = FamilySpread(m, columns, 0, item); err != nil || f.SD.Lo != 0 || f.SD.Value > .3 {
		t.Errorf("items alike: %+v, %v", f.SD, err)
	}
}

func TestFamilySpreadRefuses(t *testing.T) {
	rnd := rand.New(rand.NewPCG(55, 56))
	m, columns, item := simulatedFamily(t, rnd, make([]float64, 4), 20)
	f, err := FamilySpread(m, columns, 0, item)
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "four items", f.SD, TooFew)
	absent(t, "an effect without a spread", f.Items[0].Harder, TooFew)
	if f.SD.N != 4 || f.SD.Need != NeedItems {
		t.Errorf("four items: %+v", f.SD)
	}
	m, columns, item = simulatedFamily(t, rnd, make([]float64, 5), 5)
	f, _ = FamilySpread(m, columns, 0, item)
	absent(t, "25 answers", f.SD, TooFew)
	if f.SD.N != 25 || f.SD.Need != NeedRasch {
		t.Errorf("25 answers: %+v", f.SD)
	}
	// Every item twice, once with full marks and once with none: any spread will do.
	m, item = matrix(t, 1), nil
	for i := range 40 {
		if err := m.Add(2, Cell{0, float64(i % 2)}); err != nil {
			t.Fatal(err)
		}
		item = append(item, i)
	}
	f, err = FamilySpread(m, []Graded{Param{1, 0}.Graded()}, 0, item)
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "items all or nothing", f.SD, Unbounded)
	_, err = FamilySpread(m, []Graded{Param{1, 0}.Graded()}, 1, item)
	refused(t, "another column", err, OutOfRange)
	_, err = FamilySpread(m, []Graded{Param{math.NaN(), 0}.Graded()}, 0, item)
	refused(t, "slope NaN", err, NotFinite)
	_, err = FamilySpread(m, []Graded{Param{1, 0}.Graded()}, 0, item[1:])
	refused(t, "items of other rows", err, OutOfRange)
}
