package itemstat

import "math"

// Param is a column's slope and difficulty.
type Param struct{ Slope, Difficulty float64 }

// Answer is one right or wrong answer to a column of known parameters.
type Answer struct {
	Param
	Right bool
}

// Ability is what a person's answers say of θ, on the scale of the parameters.
// Each figure carries the 90 % interval of its standard error; N is the number of answers.
type Ability struct {
	ML, MLSE   Figure // maximum likelihood; none where all is right or all is wrong
	WLE, WLESE Figure // Warm's weighted likelihood (1989, Psychometrika 54, 427–450): finite always
	EAP, EAPSE Figure // mean and standard deviation under the prior N(mean, sd²)
}

// Estimate returns the ability estimates of one person, for a normal prior of
// that mean and standard deviation. Its error is a [*RefusedError]: no answers, a
// parameter that is not finite, a slope that is 0 or beyond 30, a difficulty
// beyond 100, a prior without width.
func Estimate(answers []Answer, mean, sd float64) (Ability, error) {
	if len(answers) == 0 {
		return Ability{}, refuse(Empty, "answers")
	}
	if !finite(mean, sd) {
		return Ability{}, refuse(NotFinite, "prior")
	}
	if sd <= 1e-6 || sd > 1e3 || math.Abs(mean) > 100 {
		return Ability{}, refuse(OutOfRange, "prior N(%v, %v²)", mean, sd)
	}
	for i, a := range answers {
		if !finite(a.Slope, a.Difficulty) {
			return Ability{}, refuse(NotFinite, "answer %d", i)
		}
		if s := math.Abs(a.Slope); s < 1e-6 || s > extreme || math.Abs(a.Difficulty) > 100 {
			return Ability{}, refuse(OutOfRange, "answer %d: slope %v, difficulty %v", i, a.Slope, a.Difficulty)
		}
	}
	var out Ability
	out.ML, out.MLSE = maximumLikelihood(answers)
	out.WLE, out.WLESE = weightedLikelihood(answers)
	out.EAP, out.EAPSE = expectedAPosteriori(answers, mean, sd)
	return out, nil
}

// scoreAt returns the likelihood's slope at θ, the information, and Σ a³PQ(1−2P).
func scoreAt(answers []Answer, theta float64) (score, info, third float64) {
	for _, a := range answers {
		p := logistic(a.Slope * (theta - a.Difficulty))
		v := a.Slope * a.Slope * p * (1 - p)
		score += a.Slope * (indicator(a.Right) - p)
		info += v
		third += a.Slope * v * (1 - 2*p)
	}
	return score, info, third
}

// farthest bounds the search for θ: beyond every difficulty that is let in.
const farthest = 200

func maximumLikelihood(answers []Answer) (est, se Figure) {
	n := len(answers)
	up, down := false, false // answers that draw θ up, and down
	for _, a := range answers {
		if a.Right == (a.Slope > 0) {
			up = true
		} else {
			down = true
		}
	}
	switch {
	case !down:
		return none(AllRight, n), none(AllRight, n)
	case !up:
		return none(AllWrong, n), none(AllWrong, n)
	}
	// The log-likelihood is concave, so its slope falls through 0 once.
	theta := bisect(-farthest, farthest, func(x float64) float64 {
		s, _, _ := scoreAt(answers, x)
		return -s
	})
	return atTheta(answers, theta)
}

func atTheta(answers []Answer, theta float64) (est, se Figure) {
	_, info, _ := scoreAt(answers, theta)
	e := 1 / math.Sqrt(info)
	if !finite(e) || math.Abs(theta) > farthest-1 {
		return none(Unbounded, len(answers)), none(Unbounded, len(answers))
	}
	return withSE(theta, e, len(answers)), number(e, len(answers))
}

// weightedLikelihood solves score + J/(2I) = 0. For answers far apart that
// equation may have several roots; the one of the highest weighted likelihood,
// likelihood × √information, on a grid is then refined.
func weightedLikelihood(answers []Answer) (est, se Figure) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, a := range answers {
		lo, hi = min(lo, a.Difficulty-8/math.Abs(a.Slope)), max(hi, a.Difficulty+8/math.Abs(a.Slope))
	}
	lo, hi = max(lo, -farthest), min(hi, farthest)
	const steps = 400
	width := (hi - lo) / steps
	best, top := lo, math.Inf(-1)
	for i := range steps + 1 {
		theta := lo + float64(i)*width
		if l := weightedLog(answers, theta); l > top {
			best, top = theta, l
		}
	}
	theta := bisect(best-width, best+width, func(x float64) float64 {
		s, info, third := scoreAt(answers, x)
		return -(s + third/(2*info))
	})
	return atTheta(answers, theta)
}

func weightedLog(answers []Answer, theta float64) float64 {
	_, info, _ := scoreAt(answers, theta)
	return logLikelihood(answers, theta) + math.Log(info)/2
}

// logLikelihood of the answers at θ, without overflow however far it is.
func logLikelihood(answers []Answer, theta float64) float64 {
	sum := 0.0
	for _, a := range answers {
		x := a.Slope * (theta - a.Difficulty)
		if !a.Right {
			x = -x
		}
		if x < 0 {
			sum += x - math.Log1p(math.Exp(x))
		} else {
			sum -= math.Log1p(math.Exp(-x))
		}
	}
	return sum
}

// expectedAPosteriori integrates over 8 standard deviations of the prior either way.
func expectedAPosteriori(answers []Answer, mean, sd float64) (est, se Figure) {
	const nodes = 321
	logs, top := make([]float64, nodes), math.Inf(-1)
	node := func(i int) float64 { return -8 + 16*float64(i)/(nodes-1) }
	for i := range logs {
		logs[i] = logLikelihood(answers, mean+sd*node(i)) - node(i)*node(i)/2
		top = max(top, logs[i])
	}
	var w, first, second float64
	for i, l := range logs {
		p := math.Exp(l - top)
		w += p
		first += p * node(i)
		second += p * node(i) * node(i)
	}
	first /= w
	e := sd * math.Sqrt(max(0, second/w-first*first))
	return withSE(mean+sd*first, e, len(answers)), number(e, len(answers))
}
