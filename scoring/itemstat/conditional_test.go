package itemstat

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Against arithmetic with 400 bits, at 200 columns with difficulties over ten logits.
func TestSymmetricFunctionsExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(13, 14))
	for _, k := range []int{1, 2, 3, 17, 200} {
		eps := make([]float64, k)
		for i := range eps {
			eps[i] = math.Exp(10*rnd.Float64() - 5)
		}
		gamma, without := symmetricFunctions(linear(eps))
		sameFunctions(t, fmt.Sprintf("γ of %d", k), gamma, eps)
		for _, i := range []int{0, k / 2, k - 1} {
			rest := append(append([]float64{}, eps[:i]...), eps[i+1:]...)
			sameFunctions(t, fmt.Sprintf("γ of %d without %d", k, i), without[i], rest)
		}
	}
}

// linear is 1 + ε·x for each ε.
func linear(eps []float64) [][]float64 {
	out := make([][]float64, len(eps))
	for i, e := range eps {
		out[i] = []float64{1, e}
	}
	return out
}

func sameFunctions(t *testing.T, what string, got, eps []float64) {
	t.Helper()
	exact := []*big.Float{big.NewFloat(1).SetPrec(400)}
	for _, e := range eps {
		exact = append(exact, new(big.Float).SetPrec(400))
		for r := len(exact) - 1; r > 0; r-- {
			term := new(big.Float).SetPrec(400).Mul(exact[r-1], big.NewFloat(e))
			exact[r].Add(exact[r], term)
		}
	}
	if len(got) != len(exact) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(exact))
	}
	for r, want := range exact {
		w, _ := want.Float64()
		if math.IsNaN(got[r]) || math.Abs(got[r]/w-1) > 1e-13 {
			t.Errorf("%s, total %d: %g, want %g", what, r, got[r], w)
		}
	}
}

// Two columns: the difference of the difficulties is the logarithm of the ratio
// of those who have only the one right to those who have only the other (Rasch
// 1960), with the standard error √(1/n₁ + 1/n₂).
func TestConditionalTwoColumns(t *testing.T) {
	m := matrix(t, 2)
	add(t, m, 60, "10")
	add(t, m, 20, "01")
	add(t, m, 500, "11")
	f, err := Conditional(m)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "b of the second", f.Items[1].Difficulty, math.Log(3)/2, 1e-6)
	known(t, "its SE", f.Items[1].DifficultySE, math.Sqrt(1./60+1./20)/2, 1e-6)
	if f.People != 80 {
		t.Errorf("%d people used, want the 80 that are not all right", f.People)
	}
}

// At the estimates the expected number right of each column, by enumeration of
// all answers with each total, is the number seen: the conditional likelihood
// equations. Sparse, too.
func TestConditionalEquations(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 16))
	m := matrix(t, 6)
	rows := map[string]int{}
	for range 300 {
		theta, row := rnd.NormFloat64(), []byte("......")
		for j := range row {
			if rnd.IntN(4) > 0 {
				row[j] = '0' + byte(indicator(rnd.Float64() < logistic(theta-float64(j)/2+1)))
			}
		}
		rows[string(row)]++
		add(t, m, 1, string(row))
	}
	f, err := Conditional(m)
	if err != nil || !f.Converged {
		t.Fatal(f, err)
	}
	residual, sum := make([]float64, 6), 0.0
	for row, n := range rows {
		expectGivenTotal(row, f.Params, func(j int, chance float64) {
			residual[j] += float64(n) * (indicator(row[j] == '1') - chance)
		})
	}
	for j, r := range residual {
		near(t, fmt.Sprintf("right less expected, column %d", j), r, 0, 1e-3)
		sum += f.Params[j].Difficulty
	}
	near(t, "sum of the difficulties", sum, 0, 1e-9)
}

// The quick covariances of columns far apart are those of the slow way, at 200 columns too.
func TestConditionalInformation(t *testing.T) {
	rnd := rand.New(rand.NewPCG(66, 67))
	for _, k := range []int{5, 40, 200} {
		m := matrix(t, k)
		for range 300 {
			theta, row := rnd.NormFloat64(), make([]byte, k)
			for j := range row {
				row[j] = '0' + byte(indicator(rnd.Float64() < logistic(theta-(4*float64(j)/float64(k)-2))))
			}
			add(t, m, 1, string(row))
		}
		p, err := group(m)
		if err != nil {
			t.Fatal(err)
		}
		f := newConditionalFit(p)
		eps := make([]float64, k)
		for j := range eps {
			eps[j] = math.Exp(1.5*rnd.NormFloat64() + float64(j%2)*1e-4)
		}
		eps[1] = eps[0] * (1 + 3e-4) // near the least difference that goes the quick way
		d, g := f.designs[0], given{poly: linear(eps)}
		var without [][]float64
		g.gamma, without = symmetricFunctions(g.poly)
		scaled := make([]float64, k+1)
		for r, n := range d.byTotal {
			scaled[r] = n / g.gamma[r]
		}
		for i := range eps {
			g.atLeast = append(g.atLeast, g.steps(i, without[i]))
		}
		for _, i := range []int{0, k / 2, k - 2} {
			_, both := symmetricFunctions(append(linear(eps[:i]), linear(eps[i+1:])...))
			for l := i + 1; l < k; l++ {
				quick, ok := g.apart(i, l, d.byTotal)
				slow := g.joint(i, l, both[l-1], scaled)[0][0]
				for r, n := range d.byTotal {
					slow -= n * g.atLeast[i][0][r] * g.atLeast[l][0][r]
				}
				if ok {
					near(t, fmt.Sprintf("covariance of %d and %d of %d", i, l, k), quick, slow, 1e-8)
				}
			}
		}
		if _, ok := g.apart(0, 1, d.byTotal); !ok {
			t.Error("weights that differ by 3e-4 went the slow way")
		}
	}
}

// expectGivenTotal gives each column's chance of right among all answers to the
// row's columns with the row's total.
func expectGivenTotal(row string, params []Param, give func(j int, chance float64)) {
	var met []int
	totalRight := 0
	for j, r := range row {
		if r != '.' {
			met = append(met, j)
			totalRight += int(r - '0')
		}
	}
	all, by := 0.0, make([]float64, len(met))
	for set := range 1 << len(met) {
		weight, n := 1.0, 0
		for i, j := range met {
			if set>>i&1 == 1 {
				weight *= math.Exp(-params[j].Difficulty)
				n++
			}
		}
		if n == totalRight {
			all += weight
			for i := range met {
				by[i] += weight * float64(set>>i&1)
			}
		}
	}
	for i, j := range met {
		give(j, by[i]/all)
	}
}

// On LSAT section 6 the conditional and the marginal differences nearly agree: a
// common slope only stretches them (Thissen 1982, Psychometrika 47, 175–186; from memory).
func TestConditionalLSAT6(t *testing.T) {
	_, m := responses(t)
	c, err := Conditional(m)
	if err != nil || !c.Converged {
		t.Fatal(c, err)
	}
	g := fit(t, m, Options{Model: CommonSlope})
	for j := range c.Params {
		marginal := g.Params[j].Slope * (g.Params[j].Difficulty - g.Params[0].Difficulty)
		near(t, "difference", c.Params[j].Difficulty-c.Params[0].Difficulty, marginal, .02)
	}
}

// 200 columns, 400 people: difficulties come back, and half of the wrong ones would not.
func TestConditionalLong(t *testing.T) {
	rnd := rand.New(rand.NewPCG(17, 18))
	const k = 200
	m := matrix(t, k)
	for range 400 {
		theta, row := rnd.NormFloat64(), make([]byte, k)
		for j := range row {
			row[j] = '0' + byte(indicator(rnd.Float64() < logistic(theta-(4*float64(j)/(k-1)-2))))
		}
		add(t, m, 1, string(row))
	}
	f, err := Conditional(m)
	if err != nil || !f.Converged {
		t.Fatal(err, f.Cycles, f.Gain)
	}
	inside, z := 0, 0.0
	for j, it := range f.Items {
		b := 4*float64(j)/(k-1) - 2
		inside += int(indicator(it.Difficulty.Lo <= b && b <= it.Difficulty.Hi))
		z += (it.Difficulty.Value - b) * (it.Difficulty.Value - b) / (it.DifficultySE.Value * it.DifficultySE.Value) / k
	}
	if inside < 166 || inside > 194 { // 180 ± 3.3 binomial standard deviations
		t.Errorf("%d of 200 intervals cover", inside)
	}
	near(t, "mean squared standardized error", z, 1, .35)
}

func TestConditionalRefuses(t *testing.T) {
	m := matrix(t, 3)
	add(t, m, 50, "110")
	add(t, m, 50, "101")
	add(t, m, 50, "100")
	add(t, m, 50, "000")
	// Column 0 is never wrong while another is right.
	_, err := Conditional(m)
	refused(t, "a column that always wins", err, Unbounded)
	extremes := matrix(t, 2)
	add(t, extremes, 50, "11")
	add(t, extremes, 50, "00")
	_, err = Conditional(extremes)
	refused(t, "all right or all wrong", err, Unbounded)
	_, err = Conditional(matrix(t, 1))
	refused(t, "nobody", err, Empty)
	apart := matrix(t, 4)
	for _, row := range []string{"10--", "01--", "--10", "--01"} {
		add(t, apart, 40, row)
	}
	_, err = Conditional(apart)
	refused(t, "disconnected", err, Disconnected)
	few := matrix(t, 2)
	add(t, few, 10, "10")
	add(t, few, 19, "01")
	f, err := Conditional(few)
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "b from 29", f.Items[0].Difficulty, TooFew)
}

// A column answered at random scatters more than the model expects; the others as it does.
func TestMisfits(t *testing.T) {
	rnd := rand.New(rand.NewPCG(19, 20))
	m, params := matrix(t, 20), make([]Param, 20)
	for j := range params {
		params[j] = Param{1, float64(j)/5 - 2}
	}
	for range 1000 {
		theta, row := 1.5*rnd.NormFloat64(), make([]byte, 20)
		for j := range row {
			chance := logistic(theta - params[j].Difficulty)
			if j == 15 {
				chance = .5
			}
			row[j] = '0' + byte(indicator(rnd.Float64() < chance))
		}
		add(t, m, 1, string(row))
	}
	fits, err := Misfits(m, params)
	if err != nil {
		t.Fatal(err)
	}
	for j, f := range fits {
		bad := f.Infit.Value > 1.2 && f.Outfit.Value > 1.3
		if bad != (j == 15) {
			t.Errorf("column %d: infit %.3f, outfit %.3f", j, f.Infit.Value, f.Outfit.Value)
		}
		if j != 15 && (f.Infit.Value < .8 || f.Outfit.Value < .6) {
			t.Errorf("column %d: infit %.3f, outfit %.3f", j, f.Infit.Value, f.Outfit.Value)
		}
	}
	_, err = Misfits(m, params[:3])
	refused(t, "other columns", err, OutOfRange)
}
