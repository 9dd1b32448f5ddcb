package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The estimates against a fine grid, by their definitions.
func TestEstimateByGrid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range trials(30) {
		answers := make([]Answer, 2+rnd.IntN(20))
		for i := range answers {
			answers[i] = Answer{Param{0.4 + 1.6*rnd.Float64(), 2 * rnd.NormFloat64()}, rnd.IntN(2) == 0}
		}
		got, err := Estimate(answers, 0.3, 1.2)
		if err != nil {
			t.Fatal(err)
		}
		var ml, wle float64
		topML, topWLE := math.Inf(-1), math.Inf(-1)
		var w, first, second float64
		for theta := -12.0; theta <= 12; theta += 1e-3 {
			l, info := 0.0, 0.0
			for _, a := range answers {
				p := 1 / (1 + math.Exp(-a.Slope*(theta-a.Difficulty)))
				info += a.Slope * a.Slope * p * (1 - p)
				if a.Right {
					l += math.Log(p)
				} else {
					l += math.Log(1 - p)
				}
			}
			if l > topML {
				ml, topML = theta, l
			}
			if v := l + math.Log(info)/2; v > topWLE {
				wle, topWLE = theta, v
			}
			p := math.Exp(l - (theta-.3)*(theta-.3)/(2*1.44))
			w, first, second = w+p, first+p*theta, second+p*theta*theta
		}
		if got.ML.Known() && math.Abs(ml) < 11.9 {
			known(t, "ML", got.ML, ml, 1e-3)
		}
		known(t, "WLE", got.WLE, wle, 1e-3)
		known(t, "EAP", got.EAP, first/w, 1e-5)
		known(t, "EAP SE", got.EAPSE, math.Sqrt(second/w-first/w*first/w), 1e-5)
	}
}

// Worked by hand: of two columns alike, one right: θ is their difficulty and the
// information 2·¼.
func TestEstimateByHand(t *testing.T) {
	got, err := Estimate([]Answer{{Param{1, .7}, true}, {Param{1, .7}, false}}, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "ML", got.ML, .7, 1e-9)
	known(t, "ML SE", got.MLSE, math.Sqrt2, 1e-9)
	known(t, "WLE", got.WLE, .7, 1e-9)
	// Warm's estimate for one Rasch column right: 1 − P + (1 − 2P)/2 = 0, P = ¾.
	got, _ = Estimate([]Answer{{Param{1, 0}, true}}, 0, 1)
	absent(t, "ML of all right", got.ML, AllRight)
	known(t, "WLE of all right", got.WLE, math.Log(3), 1e-9)
	got, _ = Estimate([]Answer{{Param{1, 0}, false}, {Param{2, 1}, false}}, 0, 1)
	absent(t, "ML of all wrong", got.ML, AllWrong)
	absent(t, "ML SE of all wrong", got.MLSE, AllWrong)
}

func TestEstimateRefuses(t *testing.T) {
	_, err := Estimate(nil, 0, 1)
	refused(t, "no answers", err, Empty)
	for _, c := range []struct {
		p    Param
		sd   float64
		want Reason
	}{
		{Param{math.NaN(), 0}, 1, NotFinite}, {Param{1, math.Inf(1)}, 1, NotFinite}, {Param{0, 0}, 1, OutOfRange},
		{Param{1e9, 0}, 1, OutOfRange}, {Param{1, 1e9}, 1, OutOfRange}, {Param{1, 0}, 0, OutOfRange}, {Param{1, 0}, math.NaN(), NotFinite},
	} {
		_, err := Estimate([]Answer{{c.p, true}}, 0, c.sd)
		refused(t, "parameters", err, c.want)
	}
}
