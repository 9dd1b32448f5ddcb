package itemstat

import (
	"math"
	"math/big"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Four judges and five items; values computed from the definitions.
func TestAngoff(t *testing.T) {
	p, err := Angoff([][]float64{
		{.80, .65, .90, .55, .70},
		{.75, .60, .85, .60, .65},
		{.85, .70, .95, .50, .75},
		{.70, .60, .90, .55, .60},
	})
	if err != nil {
		t.Fatal(err)
	}
	known(t, "cut", p.Cut, 3.5375, 1e-9)
	known(t, "SE", p.SE, .0875, 1e-9)
	if p.Pass != 4 || p.Cut.N != 4 {
		t.Errorf("passing integer %d by %d judges, want 4 by 4", p.Pass, p.Cut.N)
	}
	near(t, "lowest of item 1", p.Items[0].Lo, .70, 0)
	near(t, "highest of item 1", p.Items[0].Hi, .85, 0)
	// In binary these sum to 1.0000000000000002.
	p, _ = Angoff([][]float64{{.05, .10, .20, .55, .10}})
	if p.Pass != 1 {
		t.Errorf("a cut of 1 asks for %d right", p.Pass)
	}
	p, _ = Angoff([][]float64{{.5, .5}})
	absent(t, "SE of one judge", p.SE, TooFew)
	for name, c := range map[string]struct {
		ratings [][]float64
		want    Reason
	}{
		"none":    {nil, Empty},
		"uneven":  {[][]float64{{.5}, {.5, .6}}, NotSame},
		"NaN":     {[][]float64{{math.NaN()}}, NotFinite},
		"above 1": {[][]float64{{75}}, OutOfRange},
	} {
		_, err := Angoff(c.ratings)
		refused(t, name, err, c.want)
	}
}

// Wald 1947 with p0 .60, p1 .85, α = β = .025; values computed from the definitions.
func TestSequential(t *testing.T) {
	s, err := NewSequential(.60, .85, .025, .025)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "upper boundary", s.Upper, 3.663562, 5e-7)
	near(t, "lower boundary", s.Lower, -3.663562, 5e-7)
	for right := range 21 {
		want := GoOn
		if right <= 12 {
			want = NonMaster
		} else if right >= 18 {
			want = Master
		}
		if got, _ := s.Judge(right, 20); got != want {
			t.Errorf("%d of 20: %s, want %s", right, got, want)
		}
	}
	if v, _ := s.Judge(3, 2); v != GoOn {
		t.Errorf("3 of 2: %s", v)
	}
	_, err = NewSequential(.85, .60, .025, .025)
	refused(t, "p1 below p0", err, OutOfRange)
	_, err = NewSequential(.6, math.NaN(), .025, .025)
	refused(t, "NaN", err, NotFinite)
}

// The planner's published values, and with rational arithmetic that no smaller
// length does, and no lower cut at that length.
func TestPlanLength(t *testing.T) {
	for tries, want := range map[int][2]int{1: {37, 31}, 2: {40, 34}, 3: {47, 40}} {
		g := Goal{Weak: .70, FalsePass: .05, Strong: .90, FalseFail: .10, Tries: tries}
		p, err := PlanLength(g)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, [2]int{p.Length, p.Cut}); d != "" {
			t.Errorf("%d tries: (-want +got)\n%s", tries, d)
		}
		first := false
		for n := 1; n <= p.Length && !first; n++ {
			for c := 0; c <= n && !first; c++ {
				pass, fail := exactRisks(n, c, tries)
				first = pass.Cmp(big.NewRat(5, 100)) < 0 && fail.Cmp(big.NewRat(10, 100)) < 0
				if first && (n != p.Length || c != p.Cut) {
					t.Errorf("%d tries: %d of %d does already", tries, c, n)
				}
			}
		}
		pass, fail := exactRisks(p.Length, p.Cut, tries)
		fp, _ := pass.Float64()
		ff, _ := fail.Float64()
		near(t, "false pass", p.FalsePass, fp, 1e-12)
		near(t, "false fail", p.FalseFail, ff, 1e-12)
	}
	_, err := PlanLength(Goal{Weak: .7, FalsePass: .05, Strong: .7001, FalseFail: .1, Tries: 1})
	refused(t, "too near", err, OutOfRange)
	_, err = PlanLength(Goal{Weak: math.NaN(), FalsePass: .05, Strong: .9, FalseFail: .1, Tries: 1})
	refused(t, "NaN", err, NotFinite)
	_, err = PlanLength(Goal{Weak: .7, FalsePass: .05, Strong: .9, FalseFail: .1})
	refused(t, "no tries", err, OutOfRange)
}

// exactRisks returns the chance that somebody who holds 7/10 reaches c of n
// within the tries, and that somebody who holds 9/10 misses it at once.
func exactRisks(n, c, tries int) (pass, fail *big.Rat) {
	below := func(tenths int64) *big.Rat {
		sum := new(big.Int)
		for x := range c {
			term := new(big.Int).Binomial(int64(n), int64(x))
			term.Mul(term, new(big.Int).Exp(big.NewInt(tenths), big.NewInt(int64(x)), nil))
			term.Mul(term, new(big.Int).Exp(big.NewInt(10-tenths), big.NewInt(int64(n-x)), nil))
			sum.Add(sum, term)
		}
		return new(big.Rat).SetFrac(sum, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil))
	}
	never := big.NewRat(1, 1)
	for range tries {
		never.Mul(never, below(7))
	}
	return never.Sub(big.NewRat(1, 1), never), below(9)
}
