package itemmodel

import (
	"math/big"
	"regexp"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// oracleLimits are limits as their texts give them; either may be "".
type oracleLimits struct{ min, max string }

func limitsOf(l content.Limit) oracleLimits {
	var o oracleLimits
	if l.Min != nil {
		o.min = l.Min.Text()
	}
	if l.Max != nil {
		o.max = l.Max.Text()
	}
	return o
}

// limitsOfLead takes the limits from the raw procedure; a tolerance band is worked
// out from the texts of target and tolerance.
func limitsOfLead(t failer, p *content.Procedure, it quiz.Item) oracleLimits {
	t.Helper()
	if ends(it)[0] == "setting" {
		return limitsOf(rawSetting(p, it).Limit)
	}
	target := rawJoint(p, it).Tighten
	of := target.Torque
	if target.By == content.ByGap {
		of = target.Gap
	}
	unit := of.Unit().String()
	band := oracleBand(t, content.Tighten{Torque: of, Tolerance: target.Tolerance}, unit)
	return oracleLimits{band[0].RatString() + " " + unit, band[1].RatString() + " " + unit}
}

// side says whether a reading "0.12 mm" is below (−1), within (0) or above (1) the
// limits, both included. A reading in another unit than the limits' must not lie
// within its own rounding of one.
func (o oracleLimits) side(t failer, reading string) int {
	t.Helper()
	number, unit, _ := strings.Cut(reading, " ")
	_, decimals, _ := strings.Cut(number, ".")
	half := ratOf(t, "0."+strings.Repeat("0", len(decimals))+"5")
	v, side := ratOf(t, number), 0
	for i, limit := range []string{o.min, o.max} {
		if limit == "" {
			continue
		}
		l := oracleIn(t, limit, unit)
		off := new(big.Rat).Sub(v, l)
		if !strings.HasSuffix(limit, " "+unit) && new(big.Rat).Abs(off).Cmp(half) <= 0 {
			t.Fatalf("%s lies within its rounding of %s", reading, limit)
		}
		if i == 0 && off.Sign() < 0 {
			side = -1
		}
		if i == 1 && off.Sign() > 0 {
			side = 1
		}
	}
	return side
}

var (
	oneReading    = regexp.MustCompile(`(?:shows|measures|comes to) (−?[0-9.]+) (\S+)\. What do you make of it\?$`)
	threeReadings = regexp.MustCompile(`comes to (−?[0-9.]+), (−?[0-9.]+) and (−?[0-9.]+) (\S+)\. Which (?:do you accept|passed)\?$`)
)

// oracleReading is the text of the right option, and the sides of the readings.
func oracleReading(t failer, o oracleLimits, stem string) (want string, sides []int) {
	t.Helper()
	if m := oneReading.FindStringSubmatch(stem); m != nil {
		side := o.side(t, m[1]+" "+m[2])
		return [3]string{"too low", "within the limits: accept it", "too high"}[side+1], []int{side}
	}
	m := threeReadings.FindStringSubmatch(stem)
	if m == nil {
		t.Fatalf("no readings: %s", stem)
	}
	var good []string
	for _, n := range m[1:4] {
		side := o.side(t, n+" "+m[4])
		if sides = append(sides, side); side == 0 {
			good = append(good, n)
		}
	}
	switch len(good) {
	case 0:
		return "none of them", sides
	case 1:
		return "only " + good[0] + " " + m[4], sides
	case 2:
		return "only " + good[0] + " and " + good[1] + " " + m[4], sides
	}
	return "all three", sides
}

func truthOfReading(t failer, p *content.Procedure, it quiz.Item) truth {
	want, _ := oracleReading(t, limitsOfLead(t, p, it), it.Stem)
	return truthOfText(it, want)
}

func TestAcceptTheReading(t *testing.T) {
	for _, src := range sources(t) {
		sides := map[content.FactID]map[int]int{}
		exactly := 0
		for _, lead := range src.Index.Facts() {
			if n, _ := acceptTheReading.Count(src, lead); n == 0 {
				continue
			}
			sides[lead.ID] = map[int]int{}
			for seed := range scaled(400) {
				it, err := acceptTheReading.Write(src, lead, random(seed))
				if err != nil {
					t.Fatal(err)
				}
				o := limitsOfLead(t, src.Procedure, it)
				want, at := oracleReading(t, o, it.Stem)
				if got := rightOption(t, it); got != want {
					t.Errorf("the key is %q, want %q: %s", got, want, it.Stem)
				}
				for _, s := range at {
					sides[lead.ID][s]++
				}
				if strings.Contains(it.Stem, strings.Split(o.max, " ")[0]+" "+strings.Split(o.max+" ", " ")[1]) && o.max != "" {
					exactly++
				}
			}
		}
		for id, n := range sides {
			if n[0] == 0 || n[-1]+n[1] == 0 {
				t.Errorf("%s: sides %v, want readings within and outside", id, n)
			}
		}
		if len(sides) > 0 && exactly == 0 && !testing.Short() {
			t.Errorf("%s: no reading stands exactly on a limit", src.Procedure.ID)
		}
	}
}

// A gauge in another unit makes no reading whose rounding reaches a limit.
func TestGaugeKeepsOffConvertedLimits(t *testing.T) {
	limit := content.Limit{Min: amount(t, "0.1 mm"), Max: amount(t, "0.25 mm")}
	g, ok := gaugeOf(limit, torque.Inch, big.NewRat(1, 1000))
	if !ok {
		t.Fatal("no gauge")
	}
	for i, z := range g.zones {
		for k := z.from; k <= z.to; k++ {
			if got := limitsOf(limit).side(t, g.text(k)); got != i-1 {
				t.Errorf("%s stands in zone %d, the oracle says %d", g.text(k), i, got)
			}
		}
	}
	// 0.1 mm is 0.00394 in, so 0.004 in is nobody's reading; 0.25 mm is 0.00984 in.
	want := [3]zone{{0, 3}, {5, 9}, {11, 15}}
	if !slices.Equal(g.zones[:], want[:]) {
		t.Errorf("zones %v, want %v", g.zones, want)
	}
}

// On a critical target it is dangerous to accept a reading outside, and to call one too
// low that is too high, as more torque goes on; to refuse a good one only loses the mark.
func TestDangerousReadings(t *testing.T) {
	src := fixture(t)
	lead, _ := src.Index.Fact("target/cap")
	keys := map[string]int{}
	for seed := range 200 {
		it, err := acceptTheReading.Write(src, lead, random(seed))
		if err != nil {
			t.Fatal(err)
		}
		right := rightOption(t, it)
		keys[right]++
		for i, o := range it.Interaction.Options {
			want := o.Text != right && (strings.HasPrefix(o.Text, "within") || o.Text == "too low" && right == "too high")
			if got := it.Key.Options[i].Dangerous; got != want {
				t.Errorf("%q where %q is right: dangerous %v, want %v", o.Text, right, got, want)
			}
		}
	}
	if len(keys) != 3 {
		t.Errorf("keys %v, want all three", keys)
	}
}
