package rebuild

import (
	"math/big"
	"slices"
	"strings"

	"soloright/content"
	"soloright/content/torque"
)

// FaultKind says what is wrong at a place.
type FaultKind string

// The kinds of faults.
const (
	FaultHold        FaultKind = "hold point"  // not unaided
	FaultMissing     FaultKind = "missing"     // nothing, or not all, is written
	FaultTolerance   FaultKind = "tolerance"   // out of its limits
	FaultCalibration FaultKind = "calibration" // by a wrench that did not hold on the day
)

// verdict is what a place is found to be; kind "" for good.
type verdict struct {
	kind FaultKind
	text string
}

func fault(k FaultKind, text string) verdict { return verdict{k, text} }

var blank = fault(FaultMissing, "nothing is written")

// bench is what a sheet is judged with.
type bench struct {
	wrenches map[string]Wrench
	days     []content.Date // of the stated start and end
}

// Band returns the lowest and the highest torque of a joint that is tightened by
// torque, inclusive. Where its holes are brought round up to a maximum torque, an
// indicated peak may go up to that.
func Band(j *content.Joint, as As) (low, high torque.Quantity, err error) {
	low, high, err = j.Tighten.Tolerance.Band(*j.Tighten.Torque)
	if err == nil && as == AsIndicated && j.Align != nil && j.Align.MaxTorque != nil {
		if c, err := j.Align.MaxTorque.Cmp(high); err == nil && c > 0 {
			high = *j.Align.MaxTorque
		}
	}
	return low, high, err
}

// fastener judges one fastener of a joint.
func (b bench) fastener(j *content.Joint, e Entry) verdict {
	t := j.Tighten
	switch t.By {
	case content.ToStop:
		if !e.Reached {
			return fault(FaultMissing, "the stop is not noted as reached")
		}
		return verdict{}
	case content.ByTurns:
		return exactly(e.Value, t.Angle)
	case content.ByGap:
		low, high, err := t.Tolerance.Band(*t.Gap)
		if err != nil {
			return fault(FaultTolerance, "the procedure’s limits do not read")
		}
		return between(e.Value, low, high)
	}
	return b.torqued(j, e)
}

func (b bench) torqued(j *content.Joint, e Entry) verdict {
	switch {
	case e.Value == "" && e.As == "" && e.Wrench == "":
		return blank
	case e.As == "":
		return fault(FaultMissing, "it is not said whether the value was set, indicated or checked")
	}
	low, high, err := Band(j, e.As)
	if err != nil {
		return fault(FaultTolerance, "the procedure’s limits do not read")
	}
	if v := between(e.Value, low, high); v.kind != "" {
		return v
	}
	if e.As == AsSet && !e.Reached {
		return fault(FaultMissing, "the wrench is not noted as having signalled")
	}
	if v := angle(j, e); v.kind != "" {
		return v
	}
	return b.wrench(e)
}

// angle judges the angle beside the torque.
func angle(j *content.Joint, e Entry) verdict {
	switch {
	case !TakesAngle(j):
		return verdict{}
	case j.Tighten.By == content.ByTorqueAngle:
		return exactly(e.Angle, j.Tighten.Angle)
	}
	return between(e.Angle, torque.Of(new(big.Rat), j.Align.MaxAngle.Unit()), *j.Align.MaxAngle)
}

// wrench judges by what a torque was applied or read: it must be on the register,
// able to show what is written, within its scale, and hold on every stated day.
func (b bench) wrench(e Entry) verdict {
	if e.Wrench == "" {
		return fault(FaultCalibration, "no wrench is named")
	}
	w, known := b.wrenches[e.Wrench]
	switch {
	case !known:
		return fault(FaultCalibration, "wrench "+e.Wrench+" is not on the register of wrenches")
	case e.As == AsSet && w.Indicating:
		return fault(FaultCalibration, "wrench "+w.ID+" indicates; it cannot be set")
	case e.As != AsSet && !w.Indicating:
		return fault(FaultCalibration, "wrench "+w.ID+" is set and signals; it indicates nothing")
	case !w.Min.IsZero() && between(e.Value, w.Min, w.Max).kind != "":
		return fault(FaultCalibration, "the value lies outside the scale of wrench "+w.ID+", "+w.Min.String()+" to "+w.Max.String())
	}
	for _, day := range b.days {
		if _, why := w.Holds(day); why != "" {
			return fault(FaultCalibration, "wrench "+w.ID+" "+why)
		}
	}
	return verdict{}
}

// setting judges a measurement by what its readings come to.
func setting(s *content.Setting, e Entry) (came string, v verdict) {
	readings := make([]*big.Rat, len(s.Readings))
	unit := s.Near.Unit()
	for i := range readings {
		if i >= len(e.Readings) || e.Readings[i] == "" {
			if e.Empty() {
				return "", blank
			}
			return "", fault(FaultMissing, "the reading “"+s.Readings[i]+"” is missing")
		}
		q, err := torque.Parse(e.Readings[i])
		if err == nil {
			readings[i], err = q.In(unit)
		}
		if err != nil {
			return "", fault(FaultMissing, "a reading does not read")
		}
	}
	q := torque.Of(workedOut(s.WorkOut, readings), unit)
	return q.String(), within(q, s.Limit)
}

// workedOut is what readings come to, exactly.
func workedOut(how content.WorkOut, r []*big.Rat) *big.Rat {
	least, most, sum := r[0], r[0], new(big.Rat)
	for _, v := range r {
		if v.Cmp(least) < 0 {
			least = v
		}
		if v.Cmp(most) > 0 {
			most = v
		}
		sum.Add(sum, v)
	}
	out := new(big.Rat)
	switch how {
	case content.HalfRange:
		return out.Mul(out.Sub(most, least), big.NewRat(1, 2))
	case content.Range:
		return out.Sub(most, least)
	case content.Difference:
		return out.Sub(r[0], r[len(r)-1])
	case content.Sum:
		return sum
	case content.Mean:
		return out.Quo(sum, big.NewRat(int64(len(r)), 1))
	}
	return r[0]
}

// test judges a test: at its pressure at least, for its time at least, and every
// criterion met.
func test(t *content.Test, e Entry) verdict {
	if e.Empty() {
		return blank
	}
	for _, c := range []struct {
		what, text string
		want       torque.Quantity
	}{{"pressure", e.Value, t.Pressure}, {"time it was held", e.Held, t.Hold}} {
		if c.text == "" {
			return fault(FaultMissing, "the "+c.what+" is missing")
		}
		if q, err := torque.Parse(c.text); err != nil || !reaches(q, c.want) {
			return fault(FaultTolerance, "the "+c.what+", "+c.text+", does not reach "+c.want.String())
		}
	}
	for i := range t.Accept {
		c := &t.Accept[i]
		if i >= len(e.Readings) || e.Readings[i] == "" {
			return fault(FaultMissing, "“"+c.What+"” is missing")
		}
		if v := criterion(c, e.Readings[i]); v.kind != "" {
			return v
		}
	}
	return verdict{}
}

// reaches reports whether a value is at least another, away from zero: a vacuum is
// a pressure too.
func reaches(q, want torque.Quantity) bool {
	v, err := q.In(want.Unit())
	if err != nil || v.Sign()*want.Value().Sign() < 0 {
		return false
	}
	return v.Abs(v).Cmp(new(big.Rat).Abs(want.Value())) >= 0
}

func criterion(c *content.Criterion, text string) verdict {
	if c.Limit == nil {
		if slices.Contains(c.Pass, text) {
			return verdict{}
		}
		return fault(FaultTolerance, c.What+": "+lower(text))
	}
	q, err := torque.Parse(text)
	if err != nil {
		return fault(FaultMissing, "“"+c.What+"” does not read")
	}
	if v := within(q, *c.Limit); v.kind != "" {
		return fault(v.kind, c.What+": "+v.text)
	}
	return verdict{}
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// between judges a value by inclusive limits.
func between(text string, low, high torque.Quantity) verdict {
	if text == "" {
		return fault(FaultMissing, "the value is missing")
	}
	q, err := torque.Parse(text)
	if err != nil {
		return fault(FaultMissing, "the value does not read")
	}
	return within(q, content.Limit{Min: &low, Max: &high})
}

func within(q torque.Quantity, l content.Limit) verdict {
	if l.Min != nil {
		if c, err := q.Cmp(*l.Min); err != nil || c < 0 {
			return fault(FaultTolerance, q.String()+" lies below "+l.Min.String())
		}
	}
	if l.Max != nil {
		if c, err := q.Cmp(*l.Max); err != nil || c > 0 {
			return fault(FaultTolerance, q.String()+" lies above "+l.Max.String())
		}
	}
	return verdict{}
}

// exactly judges an angle: the procedure gives no tolerance for it, so the stated
// one and no other is right.
func exactly(text string, want *torque.Quantity) verdict {
	if text == "" {
		return fault(FaultMissing, "the angle is missing")
	}
	q, err := torque.Parse(text)
	if err != nil {
		return fault(FaultMissing, "the angle does not read")
	}
	if !q.Equal(*want) {
		return fault(FaultTolerance, q.String()+" is not "+want.String())
	}
	return verdict{}
}
