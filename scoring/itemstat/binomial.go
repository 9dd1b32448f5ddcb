package itemstat

import "math"

// binomialPMF is the probability of exactly x of n at chance p each.
func binomialPMF(x, n int, p float64) float64 {
	switch {
	case x < 0 || x > n:
		return 0
	case p <= 0:
		return indicator(x == 0)
	case p >= 1:
		return indicator(x == n)
	}
	return math.Exp(logChoose(n, x) + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
}

// binomialCDF is the probability of at most x of n, to about 14 digits, through
// the incomplete beta function: P(X ≤ x) = I(1−p; n−x, x+1).
func binomialCDF(x, n int, p float64) float64 {
	switch {
	case x < 0:
		return 0
	case x >= n:
		return 1
	}
	return betaCDF(1-p, float64(n-x), float64(x+1))
}

// binomialTail is the probability of at least x of n.
func binomialTail(x, n int, p float64) float64 {
	switch {
	case x <= 0:
		return 1
	case x > n:
		return 0
	}
	return betaCDF(p, float64(x), float64(n-x+1))
}

func logChoose(n, k int) float64 {
	return logGamma(float64(n+1)) - logGamma(float64(k+1)) - logGamma(float64(n-k+1))
}

// logBeta is the logarithm of the beta function, a and b above 0.
func logBeta(a, b float64) float64 { return logGamma(a) + logGamma(b) - logGamma(a+b) }

func logGamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
