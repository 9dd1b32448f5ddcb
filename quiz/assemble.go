package quiz

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
)

// attempts bounds how often assembly starts again, each time with what failed
// last at the head of the line.
const attempts = 12

// Assemble sets a form by a blueprint. The result depends on the arguments and
// [AssemblerVersion] only, to the byte; all choosing is done in integers.
//
//   - No two items share a lead fact, and none gives another's key away: no item
//     shows a fact that another one tests.
//   - Every fact that always appears leads an item where a model can write on it,
//     else some item lists it. Every fact missed on the last try comes again, led
//     by an item of its own or listed by one, as far as the blueprint has room; after
//     them every weak fact, in its order. The form keeps the weak facts it was set for.
//   - Minima and maxima of the topics hold, no more items test facts on isolation
//     or critical facts than the blueprint allows, and the items' time is within
//     the minutes. The rest is drawn at random, topics by how much is left in them,
//     facts not yet met first, then those met longest ago, and at last those that
//     an item of the form tests already beside its lead.
//   - An item that the person has met comes again only where its family has no
//     other and nothing else can take its place. A family of more than 64 items
//     is taken for used up after 2048 vain tries.
//
// Items stand by topic, in the order of [content.Topics], shuffled within one:
// who reads a drawing stays with it for a few sheets.
//
// Where the blueprint cannot be met the error is an [*Unmet]; any other error is
// a defect of an item model. Items are written only once their family is chosen,
// so the cost does not grow with the bank beyond a walk over the facts that the
// person has met.
func Assemble(bank *Bank, bp content.Blueprint, h History, seed Seed) (*Form, error) {
	return newAssembler(bank, h, seed).assemble(bp, h, seed)
}

func (a *assembler) assemble(bp content.Blueprint, h History, seed Seed) (*Form, error) {
	if err := a.plan(bp, h); err != nil {
		return nil, err
	}
	for range attempts {
		err := a.attempt()
		var u *Unmet
		if err == nil {
			form := a.form(seed, bp.Cut, bp.Minutes)
			form.Weak = h.Weak
			return form, nil
		}
		if !errors.As(err, &u) {
			return nil, err
		}
		a.failed(u)
	}
	if a.most != (risky{}) && strings.HasSuffix(a.worst.Why, "away") {
		a.worst.Why += " and keep to max_isolation and max_critical"
	}
	return nil, a.worst
}

// assembler holds the plan of a form and the form as far as it is set.
type assembler struct {
	bank     *Bank
	rnd      *rand.Rand
	word     string // what a want for a fact is called in an Unmet
	metItems map[string]bool
	metFacts map[content.FactID]int // when last met, as a place in the history

	size, minutes int
	most          risky     // 0 for no bound
	isolation     int       // at least so many leads on isolation
	bounds        []bounds  // by place of the topic
	wants         []want    // in the order in which they are served
	aim           *steering // nil: none
	worst         *Unmet

	items     []chosen
	used      map[int]int // leads on the form
	topics    []int
	models    map[string]int
	onDrawing bool                   // a fact that always appears is being served
	keyed     map[content.FactID]int // how many items test it
	shown     map[content.FactID]int // how many items show it
	seconds   int
	risky     risky
	queues    []*queue
}

type bounds struct{ min, max int }

// chosen is an item on the form with the place of its lead in the bank.
type chosen struct {
	Item
	at int
}

// want is something that is served before the rest is drawn: an item on a fact,
// or the minimum of a topic where fact is empty. A soft one gives way where there
// is no room.
type want struct {
	fact  content.FactID
	soft  bool
	topic int
}

func newAssembler(bank *Bank, h History, seed Seed) *assembler {
	a := &assembler{bank: bank, word: "always ", rnd: rand.New(rand.NewChaCha8(seed))}
	a.remember(h)
	return a
}

func (a *assembler) reset() {
	a.items, a.used, a.models, a.seconds, a.risky = make([]chosen, 0, a.size), map[int]int{}, map[string]int{}, 0, risky{}
	a.topics = make([]int, len(content.Topics))
	a.keyed, a.shown = make(map[content.FactID]int, 8*a.size), make(map[content.FactID]int, a.size)
	a.queues = make([]*queue, len(content.Topics))
	for t := range a.queues {
		a.queues[t] = newQueue(a.bank.byTopic[t])
	}
}

// attempt sets the form once, in the order of the wants.
func (a *assembler) attempt() error {
	a.reset()
	if err := a.serveIsolation(); err != nil {
		return err
	}
	for _, w := range a.wants {
		if err := a.serve(w); err != nil {
			return err
		}
	}
	if err := a.fill(); err != nil {
		return err
	}
	if err := a.fitTime(); err != nil {
		return err
	}
	return a.steer()
}

// failed puts what could not be served at the head of the line and keeps, for
// each constraint, the best that was reached.
func (a *assembler) failed(u *Unmet) {
	if a.worst == nil || a.worst.Constraint != u.Constraint || better(u, a.worst) {
		a.worst = u
	}
	for t, name := range content.Topics {
		if w := (want{topic: t}); u.Constraint == "topic "+string(name) && !slices.Contains(a.wants, w) {
			a.wants = append(a.wants, w)
		}
	}
	at := slices.IndexFunc(a.wants, func(w want) bool { return a.constraint(w) == u.Constraint })
	if at > 0 {
		w := a.wants[at]
		a.wants = slices.Insert(slices.Delete(a.wants, at, at+1), 0, w)
	}
}

// constraint names a want as its Unmet does.
func (a *assembler) constraint(w want) string {
	if w.fact != "" {
		return a.word + string(w.fact)
	}
	return "topic " + string(content.Topics[w.topic])
}

// better reports whether u came nearer to its constraint than v.
func better(u, v *Unmet) bool {
	if u.Constraint == "time" {
		return u.Need < v.Need
	}
	return u.Have > v.Have
}

// form puts the items in order: by topic, shuffled within one.
func (a *assembler) form(seed Seed, cut content.Cut, minutes int) *Form {
	order := a.rnd.Perm(len(a.items))
	slices.SortStableFunc(order, func(i, j int) int { return a.bank.leads[a.items[i].at].topic - a.bank.leads[a.items[j].at].topic })
	p := a.bank.source.Procedure
	f := &Form{Procedure: p.ID, Revision: p.Revision, Build: a.bank.source.Build, Assembler: AssemblerVersion, Seed: seed, Cut: cut, Minutes: minutes, Without: a.bank.without}
	if a.aim != nil {
		f.Aim = a.aim.aim
	}
	f.Items = make([]Item, len(order))
	for n, i := range order {
		f.Items[n] = a.items[i].Item
	}
	return f
}
