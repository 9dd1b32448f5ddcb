package itemstat

import "math"

// Verdict is what a sequential test says so far.
type Verdict string

// The verdicts of a sequential test.
const (
	GoOn      Verdict = "go on"
	Master    Verdict = "master"
	NonMaster Verdict = "non-master"
)

// Sequential is Wald's sequential test of a proportion right: below says that
// it is P0, above that it is P1 (Wald 1947, Sequential Analysis). It is for
// practice; critical facts are outside it.
type Sequential struct {
	Lower, Upper float64 // the boundaries of the log likelihood ratio
	right, wrong float64 // what one answer adds
}

// NewSequential returns the test with chance alpha of calling a master who
// holds only p0, and beta of calling a non-master who holds p1, both about.
// 0 < p0 < p1 < 1, alpha and beta above 0 and their sum below 1; its error is a
// [*RefusedError].
func NewSequential(p0, p1, alpha, beta float64) (Sequential, error) {
	if !finite(p0, p1, alpha, beta) {
		return Sequential{}, refuse(NotFinite, "sequential test")
	}
	if p0 <= 0 || p0 >= p1 || p1 >= 1 || alpha <= 0 || beta <= 0 || alpha+beta >= 1 {
		return Sequential{}, refuse(OutOfRange, "sequential test of %v against %v with risks %v and %v", p0, p1, alpha, beta)
	}
	s := Sequential{
		Lower: math.Log(beta / (1 - alpha)), Upper: math.Log((1 - beta) / alpha),
		right: math.Log(p1 / p0), wrong: math.Log((1 - p1) / (1 - p0)),
	}
	if !finite(s.Lower, s.Upper, s.right, s.wrong) || s.right <= 0 || s.wrong >= 0 {
		return Sequential{}, refuse(NotFinite, "sequential test of %v against %v", p0, p1)
	}
	return s, nil
}

// Judge returns the verdict after that many right of that many answered, and
// the log likelihood ratio it rests on. A count that cannot be is [GoOn] at 0.
func (s Sequential) Judge(right, answered int) (Verdict, float64) {
	if right < 0 || right > answered {
		return GoOn, 0
	}
	ratio := float64(right)*s.right + float64(answered-right)*s.wrong
	switch {
	case ratio >= s.Upper:
		return Master, ratio
	case ratio <= s.Lower:
		return NonMaster, ratio
	}
	return GoOn, ratio
}
