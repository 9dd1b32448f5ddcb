package itemstat

import "math"

// Param is a column's slope and difficulty.
type Param struct{ Slope, Difficulty float64 }

// Answer is one right or wrong answer to a column of known parameters.
type Answer struct {
	Param
	Right bool
}

// GradedAnswer is one answer to a column of known parameters, with the category
// of its mark.
type GradedAnswer struct {
	Graded
	Category int
}

// Ability is what a person's answers say of θ, on the scale of the parameters.
// Each figure carries the 90 % interval of its standard error; N is the number of answers.
type Ability struct {
	ML, MLSE   Figure // maximum likelihood; none where all is right or all is wrong
	WLE, WLESE Figure // Warm's weighted likelihood (1989, Psychometrika 54, 427–450): finite always
	EAP, EAPSE Figure // mean and standard deviation under the prior N(mean, sd²)
}

// reply is an answer as the estimates see it.
type reply struct {
	slope    float64
	steps    []float64
	category int
}

// Estimate returns the ability estimates of one person, for a normal prior of
// that mean and standard deviation. Its error is a [*RefusedError]: no answers, a
// parameter that is not finite, a slope that is 0 or beyond 30, a difficulty
// beyond 100, a prior without width.
func Estimate(answers []Answer, mean, sd float64) (Ability, error) {
	replies := make([]reply, 0, len(answers))
	for i, a := range answers {
		g := a.Graded()
		if err := g.check("answer", i); err != nil {
			return Ability{}, err
		}
		replies = append(replies, reply{g.Slope, g.Steps, int(indicator(a.Right))})
	}
	return estimate(replies, mean, sd)
}

// EstimateGraded is [Estimate] for answers with part marks. Its error is also a
// category that the column does not have.
func EstimateGraded(answers []GradedAnswer, mean, sd float64) (Ability, error) {
	replies := make([]reply, 0, len(answers))
	for i, a := range answers {
		if err := a.check("answer", i); err != nil {
			return Ability{}, err
		}
		if a.Category < 0 || a.Category > len(a.Steps) {
			return Ability{}, refuse(OutOfRange, "answer %d: category %d", i, a.Category)
		}
		replies = append(replies, reply{a.Slope, a.Steps, a.Category})
	}
	return estimate(replies, mean, sd)
}

func estimate(replies []reply, mean, sd float64) (Ability, error) {
	if len(replies) == 0 {
		return Ability{}, refuse(Empty, "answers")
	}
	if !finite(mean, sd) {
		return Ability{}, refuse(NotFinite, "prior")
	}
	if sd <= 1e-6 || sd > 1e3 || math.Abs(mean) > 100 {
		return Ability{}, refuse(OutOfRange, "prior N(%v, %v²)", mean, sd)
	}
	var out Ability
	out.ML, out.MLSE = maximumLikelihood(replies)
	out.WLE, out.WLESE = weightedLikelihood(replies)
	out.EAP, out.EAPSE = expectedAPosteriori(replies, mean, sd)
	return out, nil
}

// scoreAt returns the likelihood's slope at θ, the information I, and its own slope I′.
func scoreAt(replies []reply, theta float64) (score, info, third float64) {
	for _, r := range replies {
		mean, v, m3 := moments3(r.slope, r.steps, theta)
		score += r.slope * (float64(r.category) - mean)
		info += r.slope * r.slope * v
		third += r.slope * r.slope * r.slope * m3
	}
	return score, info, third
}

// farthest bounds the search for θ: beyond every difficulty that is let in.
const farthest = 200

func maximumLikelihood(replies []reply) (est, se Figure) {
	n := len(replies)
	up, down := false, false // answers that draw θ up, and down
	for _, r := range replies {
		best, worst := len(r.steps), 0
		if r.slope < 0 {
			best, worst = worst, best
		}
		up = up || r.category != worst
		down = down || r.category != best
	}
	switch {
	case !down:
		return none(AllRight, n), none(AllRight, n)
	case !up:
		return none(AllWrong, n), none(AllWrong, n)
	}
	// The log-likelihood is concave, so its slope falls through 0 once.
	theta := root(-farthest, farthest, func(x float64) float64 {
		s, _, _ := scoreAt(replies, x)
		return -s
	})
	return atTheta(replies, theta)
}

func atTheta(replies []reply, theta float64) (est, se Figure) {
	_, info, _ := scoreAt(replies, theta)
	e := 1 / math.Sqrt(info)
	if !finite(e) || math.Abs(theta) > farthest-1 {
		return none(Unbounded, len(replies)), none(Unbounded, len(replies))
	}
	return withSE(theta, e, len(replies)), number(e, len(replies))
}

// logLikelihood of the replies at θ, without overflow however far it is.
func logLikelihood(replies []reply, theta float64) float64 {
	sum := 0.0
	for _, r := range replies {
		sum += r.log(theta)
	}
	return sum
}

// log is the logarithm of the reply's chance at θ.
func (r reply) log(theta float64) float64 {
	if len(r.steps) == 1 {
		x := r.slope * (theta - r.steps[0])
		if r.category == 0 {
			x = -x
		}
		if x < 0 {
			return x - math.Log1p(math.Exp(x))
		}
		return -math.Log1p(math.Exp(-x))
	}
	mine, top, log := 0.0, 0.0, 0.0
	for k, b := range r.steps {
		log += r.slope * (theta - b)
		top = max(top, log)
		if k+1 == r.category {
			mine = log
		}
	}
	sum := math.Exp(-top)
	log = 0
	for _, b := range r.steps {
		log += r.slope * (theta - b)
		sum += math.Exp(log - top)
	}
	return mine - top - math.Log(sum)
}

// expectedAPosteriori integrates over 8 standard deviations of the prior either way.
func expectedAPosteriori(replies []reply, mean, sd float64) (est, se Figure) {
	const nodes = 321
	logs, top := make([]float64, nodes), math.Inf(-1)
	node := func(i int) float64 { return -8 + 16*float64(i)/(nodes-1) }
	for i := range logs {
		logs[i] = logLikelihood(replies, mean+sd*node(i)) - node(i)*node(i)/2
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
	return withSE(mean+sd*first, e, len(replies)), number(e, len(replies))
}
