package itemstat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// fault is a planted mistake, for seeing that the tests of recovery can fail.
type fault struct{ shift, narrow float64 }

// recovery collects estimates of known truths.
type recovery struct {
	fault
	errors            []float64
	covered, interval int
}

func (r *recovery) see(f Figure, truth float64) {
	value, half := f.Value+r.shift, (f.Hi-f.Lo)/2*(1-r.narrow)
	r.errors = append(r.errors, value-truth)
	r.covered += int(indicator(value-half <= truth && truth <= value+half))
	r.interval++
}

// complaints holds the mean error to a bias of .02 and four standard errors, no
// error's spread above .3, and the coverage of 90 % intervals to 87 % to 93 %, wider under -short.
func (r *recovery) complaints() []string {
	var out []string
	spread := math.Sqrt(covariance(r.errors, r.errors))
	se := spread / math.Sqrt(float64(len(r.errors)))
	if m := mean(r.errors); math.Abs(m) > .02+4*se {
		out = append(out, fmt.Sprintf("mean error %.4f, standard error %.4f", m, se))
	}
	if spread > .3 {
		out = append(out, fmt.Sprintf("errors of %.3f", spread))
	}
	slack := .03 + 3*math.Sqrt(.09/float64(r.interval))*indicator(testing.Short())
	if rate := float64(r.covered) / float64(r.interval); math.Abs(rate-Level) > slack {
		out = append(out, fmt.Sprintf("intervals cover %.3f of %d", rate, r.interval))
	}
	return out
}

// recoveries draw people from a model with known parameters and fit it: slopes
// and difficulties apart, because errors of one sign in each could cancel.
var recoveries = map[string]func(t *testing.T, seed uint64, slopes, places *recovery){
	"2PL": func(t *testing.T, seed uint64, slopes, places *recovery) {
		m, slope, intercept := simulated2PL(t, 100+seed, 1000, 8)
		f := fit(t, m, Options{Model: TwoPL, Nodes: 31, Errors: true, Tolerance: 1e-6})
		for j, it := range f.Items {
			slopes.see(it.Slope, slope[j])
			places.see(it.Difficulty, -intercept[j]/slope[j])
		}
	},
	"generalized partial credit": func(t *testing.T, seed uint64, slopes, places *recovery) {
		truth := mixed(.9, 1.3, 1.1, 1.4, .8)
		m := simulatedGraded(t, rand.New(rand.NewPCG(seed, 33)), 1000, truth, .9)
		f := fitGraded(t, m, GradedOptions{Options: Options{Model: TwoPL, Nodes: 31, Errors: true, Tolerance: 1e-6}})
		for j, it := range f.Items {
			slopes.see(it.Slope, truth[j].Slope)
			for v, s := range it.Steps {
				places.see(s, truth[j].Steps[v])
			}
			places.see(it.Location, mean(truth[j].Steps))
		}
	},
	"partial credit, marginal": func(t *testing.T, seed uint64, _, places *recovery) {
		truth := mixed(1, 1, 1, 1, 1)
		m := simulatedGraded(t, rand.New(rand.NewPCG(seed, 61)), 400, truth, .8)
		f := fitGraded(t, m, GradedOptions{Options: Options{Model: Rasch, Nodes: 31, Errors: true, Tolerance: 1e-6}})
		for j, it := range f.Items {
			for v, s := range it.Steps {
				places.see(s, truth[j].Steps[v])
			}
		}
	},
	"partial credit, conditional": func(t *testing.T, seed uint64, _, places *recovery) {
		truth := mixed(1, 1, 1, 1, 1)
		m := simulatedGraded(t, rand.New(rand.NewPCG(seed, 62)), 600, truth, .8)
		f, err := ConditionalGraded(m, GradedOptions{})
		if err != nil || !f.Converged {
			t.Fatal(f.Course, err)
		}
		middle, n := 0.0, 0.0
		for _, g := range truth {
			for _, b := range g.Steps {
				middle, n = middle+b, n+1
			}
		}
		for j, it := range f.Items {
			for v, s := range it.Steps {
				places.see(s, truth[j].Steps[v]-middle/n)
			}
			places.see(it.Location, mean(truth[j].Steps)-middle/n)
		}
	},
	"Rasch, marginal": func(t *testing.T, seed uint64, _, places *recovery) {
		m, truth := simulatedRasch(t, seed)
		f := fit(t, m, Options{Model: Rasch, Nodes: 31, Errors: true, Tolerance: 1e-6})
		for j, it := range f.Items {
			places.see(it.Difficulty, truth[j])
		}
	},
	"Rasch, conditional": func(t *testing.T, seed uint64, _, places *recovery) {
		m, truth := simulatedRasch(t, seed)
		f, err := Conditional(m)
		if err != nil || !f.Converged {
			t.Fatal(f.Course, err)
		}
		middle := mean(truth)
		for j, it := range f.Items {
			places.see(it.Difficulty, truth[j]-middle)
		}
	},
}

// simulatedRasch draws 300 people who each met two thirds of ten columns.
func simulatedRasch(t *testing.T, seed uint64) (*Matrix, []float64) {
	t.Helper()
	columns, truth := make([]Graded, 10), make([]float64, 10)
	for j := range columns {
		truth[j] = float64(j)/3 - 1.2
		columns[j] = Param{1, truth[j]}.Graded()
	}
	return simulatedGraded(t, rand.New(rand.NewPCG(seed, 63)), 300, columns, .67), truth
}

// Parameters come back over 200 replications, and their intervals cover.
func TestRecovery(t *testing.T) {
	for name, draw := range recoveries {
		var slopes, places recovery
		for rep := range trials(200) {
			draw(t, uint64(rep), &slopes, &places)
		}
		for what, r := range map[string]*recovery{"slopes": &slopes, "difficulties": &places} {
			if len(r.errors) == 0 {
				continue
			}
			for _, c := range r.complaints() {
				t.Errorf("%s, %s: %s", name, what, c)
			}
			t.Logf("%s, %s: mean error %.4f, cover %.4f of %d", name, what, mean(r.errors), float64(r.covered)/float64(r.interval), r.interval)
		}
	}
}

// With a bias of a tenth of a logit planted, or intervals a third too short, each
// of those tests is red.
func TestRecoveryCanFail(t *testing.T) {
	for name, draw := range recoveries {
		for _, planted := range []fault{{shift: .1}, {narrow: 1. / 3}} {
			slopes, places := recovery{fault: planted}, recovery{fault: planted}
			for rep := range 40 {
				draw(t, uint64(rep), &slopes, &places)
			}
			if len(places.complaints()) == 0 || len(slopes.errors) > 0 && len(slopes.complaints()) == 0 {
				t.Errorf("%s: %+v planted, and nothing is found", name, planted)
			}
		}
	}
}

// coverageOfAbilities is how often the 90 % interval of the posterior mean holds
// the ability, drawn from the prior, and the mean error of Warm's estimate for
// somebody of a given ability; slant is a bias of the parameters that the estimates are given.
func coverageOfAbilities(slant float64) (covers float64, errors map[float64]float64) {
	rnd := rand.New(rand.NewPCG(64, 65))
	form := bankOf(rnd, 12)
	sit := func(theta float64) []reply {
		replies := make([]reply, len(form))
		for j, g := range form {
			steps := make([]float64, len(g.Steps))
			for v, b := range g.Steps {
				steps[v] = b + slant
			}
			replies[j] = reply{g.Slope, steps, draw(rnd, g, theta)}
		}
		return replies
	}
	replications := trials(10_000)
	for range replications {
		theta := rnd.NormFloat64()
		f, _ := expectedAPosteriori(sit(theta), 0, 1)
		covers += indicator(f.Lo <= theta && theta <= f.Hi) / float64(replications)
	}
	errors = map[float64]float64{}
	for _, theta := range []float64{-1, 0, 1} {
		for range trials(2000) {
			f, _ := weightedLikelihood(sit(theta))
			errors[theta] += (f.Value - theta) / float64(trials(2000))
		}
	}
	return covers, errors
}

// Posterior intervals of abilities cover 88 % to 92 % over draws from the prior,
// 10 000 of them; Warm's estimate is off by less than .04 on the mean.
func TestRecoveryAbility(t *testing.T) {
	slack := indicator(testing.Short())
	covers, errors := coverageOfAbilities(0)
	near(t, "coverage", covers, Level, .02+.02*slack)
	for theta, e := range errors {
		near(t, fmt.Sprintf("mean error at %v", theta), e, 0, .04+.08*slack)
	}
	t.Logf("coverage %.4f, errors %v", covers, errors)
	covers, errors = coverageOfAbilities(.6)
	if covers >= .88 || math.Abs(errors[0]) < .3 {
		t.Errorf("difficulties .6 too high: coverage %.4f, errors %v, and nothing is found", covers, errors)
	}
}
