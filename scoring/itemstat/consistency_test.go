package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Data: teaching example on KR-20, East Carolina University; cut 7 of 10; values
// computed from the definitions of Subkoviak 1976 and Huynh 1976.
func TestConsistencyOfTeachingExample(t *testing.T) {
	m, _ := responses(t)
	c, err := Subkoviak(m, 7)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "Subkoviak p", c.Agreement, .7079, 5e-5)
	known(t, "Subkoviak κ", c.Kappa, .3944, 5e-5)
	c, d, err := Huynh(m, 7)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "α", d.A, 3.04672, 5e-6)
	near(t, "β", d.B, 1.56952, 5e-6)
	known(t, "Huynh p", c.Agreement, .75845, 5e-6)
	known(t, "Huynh κ", c.Kappa, .51031, 5e-6)
}

// With KR-21 as its reliability the effective length is the test's own, and
// Livingston and Lewis's two-parameter beta is Huynh's.
func TestLivingstonLewisMeetsHuynh(t *testing.T) {
	m, _ := responses(t)
	var totals []float64
	for i := range m.count {
		_, marks, _ := m.row(i)
		totals = append(totals, mean(marks)*10)
	}
	got, acc, err := LivingstonLewis(totals, Reliable(m).KR21.Value, 0, 10, 7)
	if err != nil {
		t.Fatal(err)
	}
	want, d, err := Huynh(m, 7)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "agreement", got.Agreement, want.Agreement.Value, 1e-9)
	known(t, "κ", got.Kappa, want.Kappa.Value, 1e-9)
	known(t, "all cases", Figure{N: 10, Value: acc.Right.Value + acc.FalsePass.Value + acc.FalseFail.Value}, 1, 1e-9)

	// Against the same numbers counted on 200 000 simulated people.
	rnd := rand.New(rand.NewPCG(7, 8))
	people := trials(200_000)
	agree, falsePass, falseFail := 0, 0, 0
	for range people {
		p := drawBeta(rnd, d)
		first, second := draws(rnd, 10, p) >= 7, draws(rnd, 10, p) >= 7
		agree += int(indicator(first == second))
		falsePass += int(indicator(first && p < .7))
		falseFail += int(indicator(!first && p >= .7))
	}
	tol := 4 * 0.5 / math.Sqrt(float64(people)) // four standard errors at their largest
	known(t, "agreement, simulated", got.Agreement, float64(agree)/float64(people), tol)
	known(t, "false pass, simulated", acc.FalsePass, float64(falsePass)/float64(people), tol)
	known(t, "false fail, simulated", acc.FalseFail, float64(falseFail)/float64(people), tol)
}

// drawBeta draws from d by Jöhnk's rejection.
func drawBeta(rnd *rand.Rand, d Beta) float64 {
	for {
		x, y := math.Pow(rnd.Float64(), 1/d.A), math.Pow(rnd.Float64(), 1/d.B)
		if x+y <= 1 && x+y > 0 {
			return x / (x + y)
		}
	}
}

func draws(rnd *rand.Rand, n int, p float64) int {
	right := 0
	for range n {
		right += int(indicator(rnd.Float64() < p))
	}
	return right
}

func TestConsistencyRefuses(t *testing.T) {
	m, _ := responses(t)
	for _, cut := range []int{-1, 0, 11} {
		_, err := Subkoviak(m, cut)
		refused(t, "cut", err, OutOfRange)
	}
	flat := matrix(t, 3)
	add(t, flat, 5, "110")
	_, _, err := Huynh(flat, 2)
	refused(t, "all alike", err, Constant)
	add(t, flat, 5, "1-1")
	_, err = Subkoviak(flat, 2)
	refused(t, "different columns", err, NotSame)
	negative := matrix(t, 4)
	add(t, negative, 5, "1100")
	add(t, negative, 5, "0011")
	add(t, negative, 1, "0001")
	_, err = Subkoviak(negative, 2)
	refused(t, "negative KR-20", err, NoReliability)
	for _, r := range []float64{0, 1, -1} {
		_, _, err = LivingstonLewis([]float64{1, 2, 3}, r, 0, 4, 2)
		refused(t, "reliability", err, NoReliability)
	}
	_, _, err = LivingstonLewis([]float64{1, math.NaN()}, .5, 0, 4, 2)
	refused(t, "NaN", err, NotFinite)
	_, _, err = LivingstonLewis([]float64{1, 5}, .5, 0, 4, 2)
	refused(t, "above the scale", err, OutOfRange)
}

// At λ = the mean Brennan's Φ(λ) of right-or-wrong marks is KR-21 (Brennan 1980).
func TestPhiLambda(t *testing.T) {
	m, _ := responses(t)
	at, err := PhiLambda(m, Reliable(m).Mean.Value/10)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "Φ at the mean", at.Phi, .684170, 5e-7)

	// By the variance components of the design, items within persons.
	lambda := .7
	n, k := 10.0, 10.0
	within, between, grand := 0.0, 0.0, Reliable(m).Mean.Value/10
	for i := range m.count {
		_, marks, _ := m.row(i)
		p := mean(marks)
		within += k * p * (1 - p) / (n * (k - 1))
		between += k * (p - grand) * (p - grand) / (n - 1)
	}
	person := (between - within) / k
	// (μ − λ)² is estimated without bias by (x̄ − λ)² − σ²(x̄).
	bias := (grand-lambda)*(grand-lambda) - (person/n + within/(n*k))
	want := (person + bias) / (person + bias + within/k)
	at, _ = PhiLambda(m, lambda)
	known(t, "Φ(.7)", at.Phi, want, 1e-9)
	known(t, "SEM", at.SEM, math.Sqrt(within/k), 1e-9)
	known(t, "SEM of 8 of 10", AbsoluteSEM([]float64{1, 1, 1, 1, 1, 1, 1, 1, 0, 0}), math.Sqrt(.8*.2/9), 1e-12)
	absent(t, "SEM of one mark", AbsoluteSEM([]float64{1}), TooFew)
	absent(t, "SEM of NaN", AbsoluteSEM([]float64{1, math.NaN()}), NotFinite)
	_, err = PhiLambda(m, 1.5)
	refused(t, "cut", err, OutOfRange)
}
