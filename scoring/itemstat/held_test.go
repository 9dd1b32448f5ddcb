package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Without luck the posterior is the textbook one: a beta with the counts added
// (Gelman et al., Bayesian Data Analysis, section 2.4).
func TestPosteriorWithoutLuck(t *testing.T) {
	got, err := Posterior(JeffreysPrior, .7, Tally{Right: 4, Answered: 20})
	if err != nil {
		t.Fatal(err)
	}
	// NIST/SEMATECH handbook 7.2.4: Jeffreys, 4 of 20 at 90 %.
	near(t, "lower", got.Share.Lo, .087335, 5e-7)
	near(t, "upper", got.Share.Hi, .372739, 5e-7)
	known(t, "mean", got.Share, 4.5/21, 1e-12)
	near(t, "below .7", got.Below, betaCDF(.7, 4.5, 16.5), 1e-12)
	got, _ = Posterior(Beta{2, 3}, .5)
	known(t, "the prior", got.Share, .4, 1e-12)
	if got.Share.N != 0 {
		t.Errorf("N = %d without answers", got.Share.N)
	}
}

// With luck, against Bayes's rule on a fine grid; chances mixed.
func TestPosteriorByGrid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	for range trials(50) {
		prior := Beta{1 + 4*rnd.Float64(), 1 + 4*rnd.Float64()}
		var tallies []Tally
		for _, g := range []float64{0, .25, 1. / 3} {
			n := rnd.IntN(12)
			tallies = append(tallies, Tally{rnd.IntN(n + 1), n, g})
		}
		got, err := Posterior(prior, .8, tallies...)
		if err != nil {
			t.Fatal(err)
		}
		const steps = 20000
		var w, first, below, lower float64
		for i := range steps {
			h := (float64(i) + .5) / steps
			p := math.Pow(h, prior.A-1) * math.Pow(1-h, prior.B-1)
			for _, y := range tallies {
				right := h + (1-h)*y.Guess
				p *= math.Pow(right, float64(y.Right)) * math.Pow(1-right, float64(y.Answered-y.Right))
			}
			w, first = w+p, first+p*h
			below += p * indicator(h < .8)
			lower += p * indicator(h < got.Share.Lo)
		}
		known(t, "mean", got.Share, first/w, 1e-6)
		near(t, "below", got.Below, below/w, 1e-3)
		near(t, "tail under the interval", lower/w, .05, 1e-3)
	}
}

// Shares drawn from the prior lie in the 90 % interval 88 % to 92 % of the
// times, with the prior known and with one that a crew of 60 gave.
func TestPosteriorCoverage(t *testing.T) {
	rnd := rand.New(rand.NewPCG(23, 24))
	truth, n, guess := Beta{4, 1.5}, 12, .25
	const replications = 20_000
	right := func(h float64) int { return draws(rnd, n, h+(1-h)*guess) }
	prior := truth
	for _, fitted := range []bool{false, true} {
		covered := 0
		var held map[int]Held
		for rep := range replications {
			if rep%200 == 0 {
				held = map[int]Held{}
				if fitted {
					prior = crewOf(t, rnd, 60, n, guess, truth)
				}
			}
			h := drawBeta(rnd, truth)
			r := right(h)
			if _, ok := held[r]; !ok {
				got, err := Posterior(prior, .8, Tally{r, n, guess})
				if err != nil {
					t.Fatal(err)
				}
				held[r] = got
			}
			covered += int(indicator(held[r].Share.Lo <= h && h <= held[r].Share.Hi))
		}
		if rate := float64(covered) / float64(replications); rate < .88 || rate > .92 {
			t.Errorf("prior fitted %v: interval covers %.4f", fitted, rate)
		}
	}
}

func crewOf(t *testing.T, rnd *rand.Rand, people, n int, guess float64, truth Beta) Beta {
	t.Helper()
	crew := make([][]Tally, people)
	for i := range crew {
		h := drawBeta(rnd, truth)
		crew[i] = []Tally{{draws(rnd, n, h+(1-h)*guess), n, guess}}
	}
	d, err := CrewPrior(crew)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A large crew gives back the beta that it was drawn from.
func TestCrewPriorRecovers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(25, 26))
	d := crewOf(t, rnd, 4000, 20, .2, Beta{6, 3})
	near(t, "mean", d.Mean(), 2./3, .015)
	near(t, "ln(α+β)", math.Log(d.A+d.B), math.Log(9), .2)
}

// The gradient that the fit climbs by is that of its height.
func TestCrewPriorGradient(t *testing.T) {
	s := &priorSurface{}
	for _, y := range []Tally{{3, 5, .25}, {0, 4, 0}, {6, 6, .5}} {
		e, err := gather([]Tally{y, {1, 2, .2}})
		if err != nil {
			t.Fatal(err)
		}
		s.all = append(s.all, e)
	}
	x := []float64{.4, 1.3}
	for i := range x {
		up, down := append([]float64{}, x...), append([]float64{}, x...)
		up[i] += 1e-5
		down[i] -= 1e-5
		near(t, "slope", s.at(x).gradient[i], (s.at(up).value-s.at(down).value)/2e-5, 1e-6)
	}
}

// A crew that is all right, or all alike, still gives a finite prior.
func TestCrewPriorExtremes(t *testing.T) {
	for _, y := range []Tally{{10, 10, .25}, {0, 10, .25}, {5, 10, 0}, {1, 1, 0}} {
		crew := make([][]Tally, 100)
		for i := range crew {
			crew[i] = []Tally{y}
		}
		d, err := CrewPrior(crew)
		if err != nil || d.A <= 0 || d.B <= 0 || d.A+d.B > 1000 {
			t.Errorf("%+v: %v, %v", y, d, err)
		}
		if _, err := Posterior(d, .8, y); err != nil {
			t.Errorf("%+v: %v", y, err)
		}
		_, err = CrewPrior(crew[:29])
		refused(t, "29 people", err, TooFew)
	}
}

func TestPosteriorRefuses(t *testing.T) {
	for _, c := range []struct {
		prior Beta
		level float64
		y     Tally
		want  Reason
	}{
		{Beta{0, 1}, .5, Tally{}, OutOfRange}, {Beta{math.NaN(), 1}, .5, Tally{}, NotFinite},
		{Beta{1, math.Inf(1)}, .5, Tally{}, NotFinite}, {JeffreysPrior, 1.5, Tally{}, OutOfRange},
		{JeffreysPrior, .5, Tally{3, 2, 0}, OutOfRange}, {JeffreysPrior, .5, Tally{-1, 2, 0}, OutOfRange},
		{JeffreysPrior, .5, Tally{1, 2, 1}, OutOfRange}, {JeffreysPrior, .5, Tally{1, 2, math.NaN()}, NotFinite},
		{JeffreysPrior, .5, Tally{1, math.MaxInt, 0}, OutOfRange},
	} {
		_, err := Posterior(c.prior, c.level, c.y)
		refused(t, "posterior", err, c.want)
	}
}
