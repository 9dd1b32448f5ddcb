package rebuild

import (
	"math/big"

	"soloright/content"
	"soloright/content/torque"
	"soloright/scoring/clearance"
)

// Good returns an entry that is as wanted at a place, tightened with a wrench that
// is set: for invented history and tests. It is empty at places that want none, and
// where no entry could be good.
func (p *Plan) Good(place, wrench string) Entry {
	t, ok := p.find(place)
	switch {
	case !ok:
	case t.hold != nil:
		return Entry{Outcome: clearance.Unaided}
	case t.joint != nil:
		return goodFastener(t.joint, wrench)
	case t.setting != nil:
		return goodSetting(t.setting)
	case t.test != nil:
		return goodTest(t.test)
	}
	return Entry{}
}

func goodFastener(j *content.Joint, wrench string) Entry {
	t := j.Tighten
	switch t.By {
	case content.ToStop:
		return Entry{As: AsStop, Reached: true}
	case content.ByTurns:
		return Entry{As: AsAngle, Value: t.Angle.String()}
	case content.ByGap:
		return Entry{As: AsGap, Value: t.Gap.String()}
	}
	e := Entry{As: AsSet, Value: t.Torque.String(), Reached: true, Wrench: wrench}
	switch {
	case t.By == content.ByTorqueAngle:
		e.Angle = t.Angle.String()
	case TakesAngle(j):
		e.Angle = torque.Of(new(big.Rat), j.Align.MaxAngle.Unit()).String()
	}
	return e
}

// goodSetting spreads the readings so that they come to the middle of the limits.
func goodSetting(s *content.Setting) Entry {
	unit := s.Near.Unit()
	want := middle(s.Limit, unit)
	r := make([]*big.Rat, len(s.Readings))
	for i := range r {
		r[i] = s.Near.Value()
		if s.WorkOut == content.Direct || s.WorkOut == content.Mean || s.WorkOut == content.Sum {
			r[i] = new(big.Rat).Set(want)
		}
	}
	last := r[len(r)-1]
	switch s.WorkOut {
	case content.HalfRange:
		last.Add(last, new(big.Rat).Add(want, want))
	case content.Range:
		last.Add(last, want)
	case content.Difference:
		last.Sub(last, want)
	case content.Sum:
		for _, v := range r[1:] {
			v.SetInt64(0)
		}
	}
	e := Entry{Readings: make([]string, len(r))}
	for i, v := range r {
		e.Readings[i] = torque.Of(v, unit).String()
	}
	return e
}

// middle is the middle of a limit, or its only end.
func middle(l content.Limit, unit torque.Unit) *big.Rat {
	in := func(q *torque.Quantity) *big.Rat {
		v, err := q.In(unit)
		if err != nil {
			return new(big.Rat)
		}
		return v
	}
	switch {
	case l.Min == nil:
		return in(l.Max)
	case l.Max == nil:
		return in(l.Min)
	}
	v := in(l.Min)
	return v.Mul(v.Add(v, in(l.Max)), big.NewRat(1, 2))
}

func goodTest(t *content.Test) Entry {
	e := Entry{Value: t.Pressure.String(), Held: t.Hold.String(), Readings: make([]string, len(t.Accept))}
	for i, c := range t.Accept {
		if c.Limit != nil {
			u := unitOf(c.Limit)
			e.Readings[i] = torque.Of(middle(*c.Limit, u), u).String()
		} else {
			e.Readings[i] = c.Pass[0]
		}
	}
	return e
}
