package held

import (
	"encoding/binary"
	"math"

	"soloright/scoring/itemstat"
)

// Levels of facts and standings of people are worked on at the points of a grid
// on the scale of the logit. A standing moves a level by whole points, so the
// likelihood of a pair is worked out once for each point of a wider grid.
const (
	spacing = 0.125
	lowest  = -5.0
	levels  = 97 // of facts: −5 to 7

	standings = 25 // of people: −3 to 3
	perShift  = 2  // points that one standing is from the next
	wide      = levels + (standings-1)*perShift
)

func levelAt(j int) float64    { return lowest + float64(j)*spacing }
func standingAt(k int) float64 { return float64(k-(standings-1)/2) * perShift * spacing }

// wideShare is the mean of a pair whose level j and standing k add up to point e = j + perShift·k.
var wideShare = func() (m [wide]float64) {
	for e := range m {
		m[e] = logistic(lowest + float64(e)*spacing + standingAt(0))
	}
	return m
}()

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// pattern is what a pair answered, as far as its likelihood goes: how many were
// wrong, and the chance luck[s] that first + s of the right ones were held.
type pattern struct {
	luck         []float64
	first, wrong int
}

// patternMost bounds the answers of one pair that count for what others borrow
// from it; more of them are scaled down.
const patternMost = 200

func patternOf(ts []itemstat.Tally) pattern {
	scale := 1.0
	if n := answered(ts); n > patternMost {
		scale = patternMost / float64(n)
	}
	p := pattern{luck: []float64{1}}
	for _, t := range ts {
		right := int(math.Round(scale * float64(t.Right)))
		p.wrong += int(math.Round(scale * float64(t.Answered-t.Right)))
		if t.Guess == 0 {
			p.first += right
			continue
		}
		for range right { // each is held, or luck with the weight g
			next := make([]float64, len(p.luck)+1)
			for s, l := range p.luck {
				next[s] += l * t.Guess
				next[s+1] += l * (1 - t.Guess)
			}
			p.luck = next
		}
	}
	return p
}

// key tells patterns apart.
func patternKey(ts []itemstat.Tally) string {
	b := make([]byte, 0, 24*len(ts))
	for _, t := range ts {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(t.Guess))
		b = binary.LittleEndian.AppendUint32(b, uint32(t.Right))
		b = binary.LittleEndian.AppendUint32(b, uint32(t.Answered))
	}
	return string(b)
}

// likelihood is that of a pattern at each point, highest 1, and the logarithm of
// the factor that was left out.
type likelihood struct {
	at    [wide]float64
	scale float64
}

// likelihood sums the beta of the pair out: E[h^s·(1 − h)^w] = a^(s)·b^(w)/κ^(s+w)
// in rising factorials, with a = κm and b = κ(1 − m).
func (p pattern) likelihood(strength float64, into *likelihood) {
	top := 0.0
	for e, m := range wideShare {
		a, b := strength*m, strength*(1-m)
		rise := 1.0
		for i := range p.first {
			rise *= (a + float64(i)) / (strength + float64(i))
		}
		sum := 0.0
		for s, l := range p.luck {
			n := float64(p.first + s)
			part := rise * l
			for i := range p.wrong {
				part *= (b + float64(i)) / (strength + n + float64(i))
			}
			sum += part
			rise *= (a + n) / (strength + n)
		}
		into.at[e] = sum
		top = max(top, sum)
	}
	for e, v := range into.at {
		into.at[e] = max(v/top, 1e-300)
	}
	into.scale = math.Log(top)
}
