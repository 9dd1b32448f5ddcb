package quiz

import (
	"soloright/content"
)

// mostLooked bounds how many items are written in search of one that lists a
// fact on which no model can lead.
const mostLooked = 48

// serve puts on the form what a want asks for.
func (a *assembler) serve(w want) error {
	switch {
	case w.soft:
		return a.again(w.fact)
	case w.fact != "":
		return a.serveFact(w.fact)
	}
	if err := a.alwaysOf(w.topic); err != nil {
		return err
	}
	for t := tierUnmet; t < tiers; {
		if a.topics[w.topic] >= a.bounds[w.topic].min {
			return nil
		}
		ok, err := a.drawFrom(w.topic, t)
		if err != nil {
			return err
		}
		if !ok {
			t++
		}
	}
	b := a.bounds[w.topic]
	return unmetTopic(content.Topics[w.topic], b.min, a.topics[w.topic], len(a.bank.byTopic[w.topic]))
}

// alwaysOf puts the facts of a topic that always appear on the form, where they
// are not there yet: they count to the topic's minimum.
func (a *assembler) alwaysOf(topic int) error {
	for _, w := range a.wants {
		at, leads := a.bank.byFact[w.fact]
		if w.soft || !leads || a.bank.leads[at].topic != topic {
			continue
		}
		if _, err := a.leadAlways(at); err != nil {
			return err
		}
	}
	return nil
}

// serveFact sees that a fact appears that always does.
func (a *assembler) serveFact(f content.FactID) error {
	if at, leads := a.bank.byFact[f]; leads {
		ok, err := a.leadAlways(at)
		if err != nil || ok {
			return err
		}
		return unmetAlways(f, "every item on it gives away, or is given away by, another that the form must hold")
	}
	ok, err := a.list(f)
	if err != nil || ok {
		return err
	}
	return unmetAlways(f, "no model can lead with it, and no item was found that tests it beside others")
}

// lead puts an item on the form that leads with the fact, one that the person
// has met only where there is no other. It is true where there is one already.
func (a *assembler) lead(at int) (bool, error) {
	if a.used[at] > 0 {
		return true, nil
	}
	for _, t := range [2]tier{tierUnmet, tierRepeat} {
		res, err := a.tryLead(at, t)
		if err != nil || res == placed {
			return res == placed, err
		}
	}
	return false, nil
}

// leadAlways is lead for a fact that always appears: answered on a drawing if it
// can be, which is nearest to the work itself.
func (a *assembler) leadAlways(at int) (bool, error) {
	a.onDrawing = true
	defer func() { a.onDrawing = false }()
	return a.lead(at)
}

// list sees that some item tests the fact: it looks among the items that lead
// with a fact about the same thing, then of the same topic.
func (a *assembler) list(f content.FactID) (bool, error) {
	if a.keyed[f] > 0 {
		return true, nil
	}
	fact, _ := a.bank.source.Index.Fact(f)
	looked := 0
	for _, pool := range [][]int{a.bank.bySubject[fact.Subject], a.topicLeads(fact.Kind.Topic())} {
		for deal := newShuffle(len(pool)); deal.left() > 0 && looked < mostLooked; {
			at := pool[deal.deal(a.rnd)]
			if a.used[at] > 0 || !a.room(a.bank.leads[at].topic) {
				continue
			}
			for _, fam := range a.inTurn(a.bank.leads[at].families) {
				looked++
				it, _, err := a.write(a.bank.leads[at].fact, fam)
				if err != nil {
					return false, err
				}
				if lists(it, f) && a.fits(it) {
					a.put(it, at)
					return true, nil
				}
			}
		}
	}
	return false, nil
}

func (a *assembler) topicLeads(t content.Topic) []int {
	for i, name := range content.Topics {
		if name == t {
			return a.bank.byTopic[i]
		}
	}
	return nil
}

// room reports whether one more item of the topic leaves room for the minima of
// the others.
func (a *assembler) room(topic int) bool {
	if a.topics[topic] >= a.bounds[topic].max {
		return false
	}
	free := a.size - len(a.items)
	if a.topics[topic] < a.bounds[topic].min {
		return free > 0
	}
	for t, b := range a.bounds {
		free -= max(0, b.min-a.topics[t])
	}
	return free > 0
}

// drawFrom puts the next item of a topic's tier on the form; false where none
// is left in it.
func (a *assembler) drawFrom(topic int, t tier) (bool, error) {
	q := a.queues[topic]
	for {
		at, ok := q.next(a, t)
		if !ok {
			return false, nil
		}
		if a.used[at] > 0 {
			continue
		}
		res, err := a.tryLead(at, t)
		if err != nil || res == placed {
			return res == placed, err
		}
		if res == stale {
			q.stale = append(q.stale, at)
		}
	}
}

// fill draws until the form is full. Room keeps places for the minima.
func (a *assembler) fill() error {
	for t := tierUnmet; t < tiers; {
		if len(a.items) >= a.size {
			return nil
		}
		topic, ok := a.drawTopic(t)
		if !ok {
			t++
			continue
		}
		if _, err := a.drawFrom(topic, t); err != nil {
			return err
		}
	}
	for t, b := range a.bounds {
		if a.topics[t] < b.min {
			return unmetTopic(content.Topics[t], b.min, a.topics[t], len(a.bank.byTopic[t]))
		}
	}
	return unmetItems(a.size, len(a.items), len(a.bank.leads))
}

// again sees that a fact missed on the last try comes again, where there is room.
func (a *assembler) again(f content.FactID) error {
	if a.keyed[f] > 0 {
		return nil
	}
	at, leads := a.bank.byFact[f]
	if leads && a.room(a.bank.leads[at].topic) {
		ok, err := a.lead(at)
		if err != nil || ok {
			return err
		}
	}
	_, err := a.list(f)
	return err
}

// drawTopic draws a topic with room, by how many leads its tier has left.
func (a *assembler) drawTopic(t tier) (int, bool) {
	left := make([]int, len(a.queues))
	sum := 0
	for i, q := range a.queues {
		if a.room(i) {
			left[i] = q.left(t)
			sum += left[i]
		}
	}
	if sum == 0 {
		return 0, false
	}
	n, topic := a.rnd.IntN(sum), 0
	for n >= left[topic] {
		n -= left[topic]
		topic++
	}
	return topic, true
}
