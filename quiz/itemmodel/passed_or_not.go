package itemmodel

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// passTheTest asks whether a test counts and whether it was passed. On a test's
// medium, pressure and hold time: a record in which the pressure may be wrong or the
// hold too short. On a criterion with a limit: readings. On a described criterion:
// what may be seen on a test that passed, or what fails it. (Its file cannot bear the
// model's name: Go would take pass_the_test.go for a test.)
var passTheTest = &model{name: "pass-the-test", version: 1, kinds: []content.FactKind{content.KindTest, content.KindCriterion}, plan: planTest}

func planTest(src *quiz.Source, lead content.Fact) plan {
	t := src.Index.Test(lead.Subject)
	if t == nil {
		return none("there is no such test")
	}
	if lead.Kind == content.KindTest {
		return planRecord(lead, t)
	}
	for i := range t.Accept {
		if c := &t.Accept[i]; c.ID == lead.Sub && c.Limit == nil {
			return planDescribed(src, lead, t, c)
		} else if c.ID == lead.Sub {
			return planCriterion(lead, t, c)
		}
	}
	return none("there is no such criterion")
}

// asRun begins the stem of a criterion.
func asRun(t *content.Test, c *content.Criterion) string {
	return t.Title + ", run as the procedure says. " + sentence(c.What)
}

// planCriterion is a criterion with a limit.
func planCriterion(lead content.Fact, t *content.Test, c *content.Criterion) plan {
	unit, resolution, ok := gaugeFor(c.Limit, c.Resolution)
	if !ok {
		return none("it states no limit")
	}
	r := &reading{lead: lead, limit: *c.Limit, head: asRun(t, c), shown: " It comes to ", many: " After three rebuilds it comes to ", ask: "Which passed?"}
	r.addGauges(unit, resolution, nil)
	return r.plan()
}

// planDescribed is a criterion without a number. To call a pass a fail only loses the mark.
func planDescribed(src *quiz.Source, lead content.Fact, t *content.Test, c *content.Criterion) plan {
	head := asRun(t, c)
	fails := make([]string, len(c.Fail))
	for i, f := range c.Fail {
		fails[i] = f.Text
	}
	passed := newChoiceAny(lead, head+" Which of these is a pass?", c.Pass, c.Fail)
	failed := newChoiceAny(lead, head+" Which of these is a fail?", fails, stated(c.Pass, func(i int) string { return "That is a pass: " + inside(c.Pass[i]) + "." }))
	return eitherOf(variant{"pass", telling(src, passed), true}, variant{"fail", telling(src, failed), false})
}

// testRecord is what may stand on the record of a test.
type testRecord struct {
	lead      content.Fact
	test      *content.Test
	low, high []string // wrong pressures
	short     []string // holds too short
	holds     []string // the hold time, in words that mean the same
}

func (r *testRecord) count() (int, string) {
	return len(r.holds)*(1+len(r.low)+len(r.high)) + len(r.short), ""
}

func (r *testRecord) write(rnd *rand.Rand) (quiz.Item, error) {
	return r.draw(rnd).inOrder(r.lead), nil
}

// shares of the pressure and of the hold time that nobody takes for the whole.
var (
	lowShares   = []*big.Rat{big.NewRat(1, 2), big.NewRat(3, 5), big.NewRat(3, 4), big.NewRat(4, 5)}
	highShares  = []*big.Rat{big.NewRat(5, 4), big.NewRat(3, 2), big.NewRat(2, 1)}
	shortShares = []*big.Rat{big.NewRat(1, 5), big.NewRat(1, 3), big.NewRat(1, 2), big.NewRat(2, 3), big.NewRat(4, 5)}
)

func planRecord(lead content.Fact, t *content.Test) plan {
	r := &testRecord{lead: lead, test: t}
	if t.Pressure.IsZero() || t.Hold.IsZero() || t.Pressure.Value().Sign() <= 0 || t.Hold.Value().Sign() <= 0 {
		return none("it has no pressure or no hold time")
	}
	r.low = shareTexts(t.Pressure, lowShares)
	r.high = shareTexts(t.Pressure, highShares)
	r.short = shareTexts(t.Hold, shortShares)
	r.holds = []string{t.Hold.Text()}
	if s, err := t.Hold.In(torque.Second); err == nil && s.IsInt() && t.Hold.Unit() != torque.Second && s.Cmp(big.NewRat(900, 1)) <= 0 {
		seconds := torque.Of(s, torque.Second)
		r.holds = append(r.holds, seconds.Text())
		r.short = append(r.short, shareTexts(seconds, shortShares)...)
	}
	return r
}

// shareTexts writes shares of a quantity that come to at most one decimal more than it
// has, with as many decimals as its text; of a time only whole numbers.
func shareTexts(q torque.Quantity, shares []*big.Rat) []string {
	number, _, _ := strings.Cut(q.Text(), " ")
	_, decimals, _ := strings.Cut(number, ".")
	digits, _ := q.Value().FloatPrec()
	most := digits + 1
	if q.Unit().Dimension() == torque.Time {
		most = 0
	}
	var out []string
	for _, s := range shares {
		share := mul(q.Value(), s)
		if n, exact := share.FloatPrec(); exact && n <= most {
			out = append(out, torque.Decimal(share, max(n, len(decimals)))+" "+q.Unit().String())
		}
	}
	return out
}

// draw makes up a record: one in four counts, the others fail on one thing.
func (r *testRecord) draw(rnd *rand.Rand) decision {
	t := r.test
	pressure, hold := t.Pressure.Text(), r.holds[rnd.IntN(len(r.holds))]
	kinds := []int{0}
	for i, texts := range [][]string{r.low, r.high, r.short} {
		if len(texts) > 0 {
			kinds = append(kinds, i+1)
		}
	}
	right := kinds[rnd.IntN(len(kinds))]
	switch right {
	case 1:
		pressure = r.low[rnd.IntN(len(r.low))]
	case 2:
		pressure = r.high[rnd.IntN(len(r.high))]
	case 3:
		hold = r.short[rnd.IntN(len(r.short))]
	}
	asked := fmt.Sprintf("The procedure asks for %s at %s, held for %s.", t.Medium, t.Pressure.Text(), t.Hold.Text())
	d := decision{explain: asked, right: right, seconds: 60, signature: pressure + "|" + hold}
	d.stem = fmt.Sprintf("%s. The record reads: %s, %s, held for %s, nothing amiss seen. Does the test count?", t.Title, t.Medium, pressure, hold)
	for i, text := range []string{"yes, it counts", "no, the pressure was too low", "no, the pressure was too high", "no, it was not held long enough"} {
		d.verdicts = append(d.verdicts, verdict{text: text, because: asked, dangerous: i == 0})
	}
	return d
}
