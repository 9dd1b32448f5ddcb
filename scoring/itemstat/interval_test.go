package itemstat

import (
	"errors"
	"math"
	"testing"
)

func TestIntervals(t *testing.T) {
	for _, c := range []struct {
		source, name string
		got          func() (Interval, error)
		lo, hi, tol  float64
	}{
		{"NIST/SEMATECH handbook 7.2.4", "Clopper–Pearson", func() (Interval, error) { return ClopperPearson(4, 20, .90) }, .071354, .401028, 5e-7},
		{"NIST/SEMATECH handbook 7.2.4", "Wilson", func() (Interval, error) { return Wilson(4, 20, .90) }, .093118, .378377, 5e-7},
		{"NIST/SEMATECH handbook 7.2.4", "Jeffreys", func() (Interval, error) { return Jeffreys(4, 20, .90) }, .087335, .372739, 5e-7},
		{"Newcombe 1998", "Wilson", func() (Interval, error) { return Wilson(81, 263, .95) }, .2553, .3662, 5e-5},
		{"Newcombe 1998", "Clopper–Pearson", func() (Interval, error) { return ClopperPearson(81, 263, .95) }, .2527, .3676, 5e-5},
	} {
		in, err := c.got()
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+", "+c.source, in.Lo, c.lo, c.tol)
		near(t, c.name+", "+c.source, in.Hi, c.hi, c.tol)
	}
}

// Coverage at nominal 90 % by exact summation over p = .01(.005).99: no
// simulation, so no tolerance for chance.
func TestCoverage(t *testing.T) {
	for _, n := range []int{10, 20, 30, 50, 100} {
		for _, c := range []struct {
			name                  string
			of                    func(x int) (Interval, error)
			least, meanLo, meanHi float64
		}{
			{"Clopper–Pearson", func(x int) (Interval, error) { return ClopperPearson(x, n, Level) }, .90, .90, 1},
			{"Wilson", func(x int) (Interval, error) { return Wilson(float64(x), n, Level) }, .80, .89, .92},
			{"Jeffreys", func(x int) (Interval, error) { return Jeffreys(float64(x), n, Level) }, .75, .89, .91},
		} {
			least, mean := coverage(t, n, c.of)
			if least < c.least || mean < c.meanLo || mean > c.meanHi {
				t.Errorf("%s, n = %d: covers at least %.4f (want %.2f), mean %.4f (want %.2f to %.2f)",
					c.name, n, least, c.least, mean, c.meanLo, c.meanHi)
			}
		}
	}
}

// The quick root is the slow one's, steep, flat and one-sided, in few steps.
func TestRoot(t *testing.T) {
	for name, f := range map[string]func(float64) float64{
		"cube":     func(x float64) float64 { return (x - 1.3) * (x - 1.3) * (x - 1.3) },
		"steep":    func(x float64) float64 { return math.Atan(1e6 * (x - .123)) },
		"logistic": func(x float64) float64 { return logistic(x-40) - .2 },
		"flat":     func(x float64) float64 { return math.Expm1(.01 * (x + 2)) },
	} {
		calls := 0
		got := root(-200, 200, func(x float64) float64 { calls++; return f(x) })
		near(t, name, got, bisect(-200, 200, f), 1e-5)
		if name != "cube" {
			near(t, name, got, bisect(-200, 200, f), 1e-9)
		}
		if calls > 60 && name != "cube" {
			t.Errorf("%s: %d calls", name, calls)
		}
	}
	near(t, "never below 0", root(0, 3, func(float64) float64 { return 1 }), 0, 1e-9)
	near(t, "never above 0", root(0, 3, func(float64) float64 { return -1 }), 3, 1e-9)
}

func coverage(t *testing.T, n int, of func(int) (Interval, error)) (least, mean float64) {
	t.Helper()
	ins := make([]Interval, n+1)
	for x := range ins {
		in, err := of(x)
		if err != nil {
			t.Fatal(err)
		}
		ins[x] = in
	}
	least = 1
	points := 0
	for i := 2; i <= 198; i++ {
		p, sum := float64(i)/200, 0.0
		for x, in := range ins {
			if in.Lo <= p && p <= in.Hi {
				sum += binomialPMF(x, n, p)
			}
		}
		least, mean, points = min(least, sum), mean+sum, points+1
	}
	return least, mean / float64(points)
}

func TestIntervalsRefuse(t *testing.T) {
	for _, c := range []struct {
		x     float64
		n     int
		level float64
		want  Reason
	}{
		{0, 0, .9, Empty}, {1, -1, .9, Empty}, {5, 4, .9, OutOfRange}, {-1, 4, .9, OutOfRange},
		{math.NaN(), 4, .9, NotFinite}, {1, 4, math.Inf(1), NotFinite}, {1, 4, 1, OutOfRange}, {1, 4, 0, OutOfRange},
	} {
		for name, f := range map[string]func(float64, int, float64) (Interval, error){"Wilson": Wilson, "Jeffreys": Jeffreys} {
			_, err := f(c.x, c.n, c.level)
			refused(t, name, err, c.want)
		}
	}
}

// refused fails unless err is a refusal for that reason.
func refused(t *testing.T, what string, err error, want Reason) {
	t.Helper()
	var r *RefusedError
	if !errors.As(err, &r) || r.Reason != want {
		t.Errorf("%s: error %v, want %q", what, err, want)
	}
}
