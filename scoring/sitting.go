package scoring

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// Verdict is the outcome of a sitting.
type Verdict string

// The outcomes.
const (
	Passed    Verdict = "passed"
	Failed    Verdict = "failed"
	ToConfirm Verdict = "to confirm" // at or above the cut, at most two critical facts missed, none on isolation
)

// MostToConfirm is how many critical facts may be missed, none on isolation, for
// a sitting to be confirmed and not failed.
const MostToConfirm = 2

// Outcome is a sitting marked.
type Outcome struct {
	Rules    int           `json:"rules"` // RulesVersion
	Items    []Marked      `json:"items"`
	Total    quiz.Fraction `json:"total"`
	Of       int           `json:"of"` // how many sheets count
	Cut      content.Cut   `json:"cut"`
	Percent  int           `json:"percent"` // shown, rounded down; never used to decide
	Verdict  Verdict       `json:"verdict"`
	Critical []Miss        `json:"critical,omitempty"` // critical facts missed
	Again    []Miss        `json:"again,omitempty"`    // every fact missed, with the step to learn again
}

// Miss is a fact missed, with the step that states it.
type Miss struct {
	Fact      content.FactID `json:"fact"`
	Text      string         `json:"text"`
	Step      string         `json:"step"`
	Isolation bool           `json:"isolation,omitempty"`
	Blank     bool           `json:"blank,omitempty"`
}

// Sitting marks a whole sitting. Answers are by the number of their sheet, 1 to
// the number of items; a missing one is blank. Every item weighs 1 and the total
// is exact. The sitting passes when total/n ≥ cut, before any rounding, and no
// critical fact is missed; at or above the cut with at most [MostToConfirm]
// critical facts missed and none on isolation it is to confirm; else it fails.
// Each fact missed is listed once, in the order of the sheets, as blank where it
// was never answered.
//
// Sheets that are left out, because their items were withdrawn, are marked and shown
// and count for nothing: not in the total, not in n, no miss on them is a
// miss. The outcome is that of the form without them. That is no other version
// of the rules: the same form, answers and sheets left out give the same outcome,
// and an outcome says which were ([Outcome.LeftOut]).
//
// The error is that of [Mark] with the number of the sheet, or names an answer
// to a sheet that the form does not have, or such a sheet to leave out; a form of
// which nothing is left has no outcome.
func Sitting(form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error) {
	n := len(form.Items)
	for sheet := range answers {
		if sheet < 1 || sheet > n {
			return Outcome{}, fmt.Errorf("mark sitting: an answer to sheet %d of %d", sheet, n)
		}
	}
	if n == 0 {
		return Outcome{}, fmt.Errorf("mark sitting: the form has no items")
	}
	of, err := remaining(n, left)
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{Rules: RulesVersion, Items: make([]Marked, n), Of: of, Cut: form.Cut}
	for i := range form.Items {
		m, err := mark(&form.Items[i], answers[i+1])
		if err != nil {
			return Outcome{}, fmt.Errorf("sheet %d: %w", i+1, err)
		}
		m.Left = slices.Contains(left, i+1)
		out.Items[i] = m
	}
	total := sum(out.Items)
	out.Total = quiz.Fraction{Rat: total}
	out.Percent = percent(total, of)
	out.Again, out.Critical = misses(form, out.Items)
	out.Verdict = verdict(total, of, form.Cut, out.Critical)
	return out, nil
}

// remaining is how many of n sheets count when some are left out.
func remaining(n int, left []int) (int, error) {
	out := map[int]bool{}
	for _, sheet := range left {
		if sheet < 1 || sheet > n {
			return 0, fmt.Errorf("mark sitting: sheet %d of %d is to be left out", sheet, n)
		}
		out[sheet] = true
	}
	if len(out) == n {
		return 0, fmt.Errorf("mark sitting: %w", ErrNothingLeft)
	}
	return n - len(out), nil
}

// ErrNothingLeft reports that every sheet of a sitting is left out.
var ErrNothingLeft = errors.New("every sheet is left out, and nothing is left to mark")

// LeftOut lists the sheets that were left out, by number.
func (o Outcome) LeftOut() []int {
	var left []int
	for i, m := range o.Items {
		if m.Left {
			left = append(left, i+1)
		}
	}
	return left
}

// sum adds the marks exactly: the whole ones as a number, the others as fractions.
func sum(items []Marked) *big.Rat {
	whole, total := int64(0), new(big.Rat)
	for i := range items {
		switch r := items[i].Mark.Rat; {
		case items[i].Left:
		case r.IsInt():
			whole += r.Num().Int64()
		default:
			total.Add(total, r)
		}
	}
	return total.Add(total, new(big.Rat).SetInt64(whole))
}

// percent is 100·total/n rounded down.
func percent(total *big.Rat, n int) int {
	num := new(big.Int).Mul(total.Num(), big.NewInt(100))
	den := new(big.Int).Mul(total.Denom(), big.NewInt(int64(n)))
	return int(num.Div(num, den).Int64())
}

// reaches reports whether total/n ≥ cut/100, exactly.
func reaches(total *big.Rat, n int, cut content.Cut) bool {
	need := big.NewRat(int64(cut)*int64(n), 100)
	return total.Cmp(need) >= 0
}

func verdict(total *big.Rat, n int, cut content.Cut, critical []Miss) Verdict {
	if !reaches(total, n, cut) {
		return Failed
	}
	if len(critical) == 0 {
		return Passed
	}
	for _, m := range critical {
		if m.Isolation {
			return Failed
		}
	}
	if len(critical) > MostToConfirm {
		return Failed
	}
	return ToConfirm
}

// misses lists the facts missed, and the critical facts missed, each once.
func misses(form *quiz.Form, items []Marked) (all, critical []Miss) {
	at, crit := map[content.FactID]int{}, map[content.FactID]int{}
	for i := range items {
		m, it := &items[i], &form.Items[i]
		if m.Left {
			continue
		}
		for j, f := range m.Facts {
			if f.State != Right {
				all = addMiss(all, at, it.Facts[j], f.State)
			}
		}
		for _, id := range m.Critical {
			for j, f := range m.Facts {
				if f.Fact == id {
					critical = addMiss(critical, crit, it.Facts[j], f.State)
				}
			}
		}
	}
	return all, critical
}

func addMiss(list []Miss, at map[content.FactID]int, t quiz.Tested, s State) []Miss {
	if i, ok := at[t.Fact]; ok {
		list[i].Blank = list[i].Blank && s == Blank
		return list
	}
	at[t.Fact] = len(list)
	return append(list, Miss{Fact: t.Fact, Text: t.Text, Step: t.Step, Isolation: t.Isolation, Blank: s == Blank})
}
