package storetest

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"soloright/api"
)

// underHostile plays a technician with a bad network, who tries again until
// acknowledged, on a store that makes trouble, and looks after every step
// whether the record is still right.
func underHostile(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	seen := map[Trouble]int{}
	for seed := range uint64(rounds(6)) {
		p := &patient{t: t, real: f, hostile: Hostile(f.s, seed), rnd: rand.New(rand.NewPCG(seed, 1)), seed: seed, who: fmt.Sprint("h", seed)}
		f.tx(func(tx api.Tx) error { return tx.AddPerson(background, person(p.who)) })
		for range 60 {
			p.step()
			p.check()
		}
		for trouble, n := range p.hostile.Seen {
			seen[trouble] += n
		}
	}
	for _, trouble := range []Trouble{NoTrouble, Unreached, LostBefore, LostAfter, RunAgain, RunTwice} {
		if seen[trouble] == 0 {
			t.Errorf("no trouble of the kind %s", trouble)
		}
	}
}

// A patient person's sittings as they must be.
type patient struct {
	t       testing.TB
	real    fixture
	hostile *HostileStore
	rnd     *rand.Rand
	seed    uint64
	who     string
	now     int
	current *course
	past    []*course
}

// A course is one sitting: what was sent, what was acknowledged, and the
// furthest state seen.
type course struct {
	id           string
	sent, acked  [4]int64 // by sheet
	state        api.State
	handed       []api.KeptAnswer
	handedBefore bool
}

// untilDone calls the store until it gives nil or one of the errors that end
// the matter.
func (p *patient) untilDone(do func(api.Tx) error, ends ...error) {
	p.t.Helper()
	for range 100 {
		err := p.hostile.InTx(background, do)
		if err == nil || slices.ContainsFunc(ends, func(end error) bool { return errors.Is(err, end) }) {
			return
		}
		if api.KindOf(err) != api.Unavailable {
			p.t.Fatalf("seed %d: %v", p.seed, err)
		}
		p.check()
	}
	p.t.Fatalf("seed %d: never done", p.seed)
}

func (p *patient) step() {
	p.now++
	if p.current == nil {
		id := fmt.Sprint(p.who, "-", p.now)
		p.current = &course{id: id}
		s := sitting(id, p.who, api.Qualifying, p.now)
		p.untilDone(func(tx api.Tx) error { return tx.AddSitting(background, s, form(id), items(id)) }, api.ErrExists)
		return
	}
	c := p.current
	switch n := p.rnd.IntN(10); {
	case n < 8:
		p.answer(c, 1+p.rnd.IntN(3))
	default:
		p.untilDone(func(tx api.Tx) error { return handInTx(tx, c.id, minutes(p.now)) }, api.ErrNone)
		for k := range 1 + n%2 {
			p.untilDone(func(tx api.Tx) error { return tx.AddMarks(background, marking(c.id, k+1, p.now), facts()) }, api.ErrExists)
			p.check()
		}
		if n == 9 {
			p.untilDone(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: c.id, At: minutes(p.now)}) }, api.ErrExists)
		}
		p.past, p.current = append(p.past, c), nil
	}
}

// answer sends one revision until it is acknowledged, or gives up on it.
func (p *patient) answer(c *course, sheet int) {
	c.sent[sheet]++
	a := answer(sheet, c.sent[sheet])
	for range 1 + p.rnd.IntN(4) {
		_, err := saveAnswer(p.hostile, c.id, a)
		if err == nil {
			c.acked[sheet] = a.Revision
			return
		}
		if api.KindOf(err) != api.Unavailable {
			p.t.Fatalf("seed %d: %v", p.seed, err)
		}
		p.check()
	}
}

// check reads the true store.
func (p *patient) check() {
	p.t.Helper()
	all := p.past
	if p.current != nil {
		all = append(slices.Clone(p.past), p.current)
	}
	p.real.read(func(r api.Reader) error {
		open, err := r.Sittings(background, api.SittingFilter{Person: p.who, State: api.StateOpen})
		if len(open) > 1 {
			p.t.Errorf("seed %d: %d open sittings", p.seed, len(open))
		}
		for _, c := range all[max(0, len(all)-3):] {
			err = errors.Join(err, p.checkOne(r, c))
		}
		return err
	})
}

// order is how far a sitting has come.
var order = []api.State{"", api.StateOpen, api.StateHandedIn, api.StateMarked, api.StateVoid}

func (p *patient) checkOne(r api.Reader, c *course) error {
	s, err := r.Sitting(background, c.id)
	if errors.Is(err, api.ErrNone) && c.state == "" {
		return nil // not opened yet
	}
	if err != nil {
		return err
	}
	if slices.Index(order, s.State) < slices.Index(order, c.state) {
		p.t.Errorf("seed %d: sitting %s went back from %s to %s", p.seed, c.id, c.state, s.State)
	}
	c.state = s.State
	kept, err := r.Answers(background, c.id)
	if err != nil {
		return err
	}
	if s.State == api.StateOpen {
		p.checkAnswers(c, kept)
		return nil
	}
	if len(kept) > 0 {
		p.t.Errorf("seed %d: %d working answers in a sitting %s", p.seed, len(kept), s.State)
	}
	record := p.real.handed(c.id)
	if c.handedBefore {
		same(p.t, "the record of a hand-in", record, c.handed)
	}
	c.handed, c.handedBefore = record, true
	p.checkAnswers(c, record)
	marks, err := r.Marks(background, c.id)
	for i, m := range marks {
		if m.N != i+1 {
			p.t.Errorf("seed %d: marking %d stands at place %d", p.seed, m.N, i+1)
		}
	}
	return err
}

// checkAnswers compares what is kept with what was sent and acknowledged.
func (p *patient) checkAnswers(c *course, kept []api.KeptAnswer) {
	p.t.Helper()
	var have [4]int64
	for _, a := range kept {
		have[a.Sheet] = a.Revision
		same(p.t, "an answer as it was sent", a, answer(a.Sheet, a.Revision))
	}
	for sheet := 1; sheet <= 3; sheet++ {
		if have[sheet] < c.acked[sheet] || have[sheet] > c.sent[sheet] {
			p.t.Errorf("seed %d: sheet %d of %s: acknowledged %d, sent %d, kept %d", p.seed, sheet, c.id, c.acked[sheet], c.sent[sheet], have[sheet])
		}
	}
}
