package content

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"soloright/content/bolting"
	"soloright/content/torque"
)

// Words returns the disposition as it is printed.
func (d Disposition) Words() string {
	switch d {
	case AlwaysRenew:
		return "always renew"
	case InspectRefit:
		return "inspect, refit if within limits"
	case RefitAsItIs:
		return "refit as it is"
	}
	return "not stated"
}

// Words returns the treatment of the surface as it is printed.
func (s Surface) Words() string {
	switch s.Treatment {
	case DryClean:
		return "dry and clean"
	case AsSupplied:
		return "as supplied, add nothing"
	}
	if s.Product != "" {
		return s.Product
	}
	return string(s.Treatment)
}

// Words returns the facing as one clause.
func (f Facing) Words() string {
	switch f.Kind {
	case Reversible:
		return "either way round"
	case AsPipework:
		return "as the pipework requires"
	}
	return f.Feature + " faces the " + f.Toward
}

func (f Facing) value() string {
	if f.Kind == Directional {
		return f.Feature + ">" + f.Toward
	}
	return string(f.Kind)
}

// Words returns the target as one clause.
func (t Tighten) Words() string {
	tol := ""
	if t.Tolerance != nil {
		tol = " " + t.Tolerance.Text()
	}
	switch t.By {
	case ByTorque:
		return "tighten to " + text(t.Torque) + tol
	case ByTorqueAngle:
		return "tighten to " + text(t.Torque) + tol + ", then " + text(t.Angle) + " more"
	case ByTurns:
		return "tighten snug, then " + text(t.Angle) + " more"
	case ByGap:
		return "tighten evenly to a gap of " + text(t.Gap) + tol
	}
	return "tighten to the stop, metal to metal, no more"
}

func (t Tighten) value() string {
	tol := ""
	if t.Tolerance != nil {
		tol = t.Tolerance.Text()
	}
	return fmt.Sprint(t.By, "|", exactOf(t.Torque), "|", exactOf(t.Angle), "|", exactOf(t.Gap), "|", tol)
}

// Words returns the rule of alignment as one clause.
func (a Align) Words() string {
	most := text(a.MaxTorque)
	if a.MaxTorque == nil {
		most = text(a.MaxAngle) + " beyond target"
	}
	return "turn on to the next aligned hole, never past " + most + " and never back; if it would pass that, slacken fully and start again"
}

func (a Align) value() string {
	return fmt.Sprint(exact(a.Every), "|", a.Hand, "|", exactOf(a.MaxTorque), "|", exactOf(a.MaxAngle))
}

// Words returns the limit as one clause; limits are inclusive.
func (l Limit) Words() string {
	switch {
	case l.Min != nil && l.Max != nil:
		return l.Min.Text() + " to " + l.Max.Text()
	case l.Min != nil:
		return "at least " + l.Min.Text()
	case l.Max != nil:
		return "at most " + l.Max.Text()
	}
	return "no limit"
}

func (l Limit) value() string { return exactOf(l.Min) + ".." + exactOf(l.Max) }

// Words returns how the measurement is worked out.
func (w WorkOut) Words() string {
	switch w {
	case HalfRange:
		return "half of the largest reading less the smallest"
	case Range:
		return "the largest reading less the smallest"
	case Difference:
		return "the first reading less the second"
	case Sum:
		return "the sum of the readings"
	case Mean:
		return "the mean of the readings"
	}
	return "the reading itself"
}

// Words returns the verdict as it is printed.
func (v Verdict) Words() string {
	switch v {
	case VerdictRefit:
		return "refit"
	case VerdictDress:
		return "dress, then refit"
	}
	return "renew"
}

// Words returns the criterion as one clause.
func (c Criterion) Words() string {
	if c.Limit != nil {
		return c.What + ": " + c.Limit.Words()
	}
	return c.What + ": " + strings.Join(c.Pass, "; ")
}

func (c Criterion) value() string {
	if c.Limit != nil {
		return c.Limit.value()
	}
	return fmt.Sprint(c.Pass, wrongs(c.Fail))
}

// Words returns the observation with its verdict.
func (o Observation) Words() string {
	if o.Normal {
		return o.Seen + ": normal, " + lower(o.Means)
	}
	return o.Seen + ": a fault, " + lower(o.Means)
}

func sequenceWords(j *Joint) string {
	switch j.Sequence.Rule.Kind {
	case bolting.Circular:
		return "tighten round the circle"
	case bolting.Pinned:
		return "tighten in the order the procedure gives"
	}
	return "tighten in a crossing pattern"
}

// lower puts the first letter in lower case unless the word is an abbreviation.
func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); unicode.IsUpper(next) || !unicode.IsUpper(r) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

func text(q *torque.Quantity) string {
	if q == nil {
		return "–"
	}
	return q.Text()
}

// exact writes the value in the unit as a fraction: "13.6 N·m" and "13.60 N·m" are the same.
func exact(q torque.Quantity) string {
	v := q.Value()
	if v == nil {
		v = new(big.Rat)
	}
	return v.RatString() + " " + q.Unit().String()
}

func exactOf(q *torque.Quantity) string {
	if q == nil {
		return ""
	}
	return exact(*q)
}

func ordinal(n int) string {
	names := []string{"first", "second", "third", "fourth", "fifth", "sixth"}
	if n >= 1 && n <= len(names) {
		return names[n-1]
	}
	return fmt.Sprintf("%d.", n)
}

func places(at []int) string {
	s := make([]string, len(at))
	for i, n := range at {
		s[i] = fmt.Sprint(n)
	}
	return andList(s)
}

func percents(ps []int) string {
	s := make([]string, len(ps))
	for i, p := range ps {
		s[i] = fmt.Sprintf("%d %%", p)
	}
	return andList(s)
}

func andList(s []string) string { return list(s, "and") }

func orList(ws []Wrong) string {
	s := make([]string, len(ws))
	for i, w := range ws {
		s[i] = lower(w.Text)
	}
	return list(s, "or")
}

func list(s []string, word string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " " + word + " " + s[len(s)-1]
}

func wrongs(ws []Wrong) string {
	s := make([]string, len(ws))
	for i, w := range ws {
		s[i] = w.Text
	}
	slices.Sort(s)
	return strings.Join(s, "|")
}

func noTools(ts []NoTool) string {
	s := make([]string, len(ts))
	for i, t := range ts {
		s[i] = t.Tool
	}
	slices.Sort(s)
	return strings.Join(s, "|")
}

func causeIDs(cs []Cause) string {
	s := make([]string, len(cs))
	for i, c := range cs {
		s[i] = c.ID
	}
	slices.Sort(s)
	return strings.Join(s, "|")
}

func causeTexts(cs []Cause) string {
	s := make([]string, len(cs))
	for i, c := range cs {
		s[i] = c.Text
	}
	return strings.Join(s, "; ")
}

// OrderWords says in which order the fasteners of one pass are tightened; "" where
// the procedure leaves it open.
func (j *Joint) OrderWords() string {
	if j.Sequence == nil {
		return ""
	}
	return sequenceWords(j)
}
