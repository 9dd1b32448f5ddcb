package quiz

import (
	"slices"

	"soloright/content"
)

// Family is a lead fact and an item model that can write on it: the unit of
// choice and of statistics.
type Family struct {
	Lead  content.FactID
	Model Model
	Count int // how many distinct items it can write, at most MaxCount
}

// Unwritten is a fact that no model can write on, with the reasons that the
// models for its kind give.
type Unwritten struct {
	Fact content.Fact
	Why  []string // each once; empty where no model is for facts of its kind
}

// Bank is the set of families of one procedure for one build. It is built once
// and only read; safe for concurrent use.
type Bank struct {
	source    *Source
	leads     []lead
	byFact    map[content.FactID]int
	byTopic   [][]int          // leads by place of their topic in content.Topics
	plain     []int            // how many of them are not critical
	bySubject map[string][]int // leads by the element that they are about
	isolation []int            // leads on isolation and the return to service
	unwritten []Unwritten
	without   []Withdrawn     // what nothing is written of, see Without
	barred    map[string]bool // items among it, by id
}

// lead is a fact that items can lead with, and its families.
type lead struct {
	fact     content.Fact
	topic    int // place in content.Topics
	families []Family
}

// NewBank asks every model how much it can write on every fact. The cost is one
// Count for each pair; no item is written.
func NewBank(src *Source, models []Model) *Bank {
	b := emptyBank(src)
	for _, f := range src.Index.Facts() {
		b.add(f, models)
	}
	return b
}

func emptyBank(src *Source) *Bank {
	return &Bank{
		source:    src,
		byFact:    map[content.FactID]int{},
		byTopic:   make([][]int, len(content.Topics)),
		plain:     make([]int, len(content.Topics)),
		bySubject: map[string][]int{},
	}
}

func (b *Bank) add(f content.Fact, models []Model) {
	l := lead{fact: f, topic: slices.Index(content.Topics, f.Kind.Topic())}
	var reasons []string
	for _, m := range models {
		n, why := m.Count(b.source, f)
		switch {
		case n > 0:
			l.families = append(l.families, Family{Lead: f.ID, Model: m, Count: n})
		case why != "" && !slices.Contains(reasons, why):
			reasons = append(reasons, why)
		}
	}
	b.put(l, reasons)
}

// put takes a lead in; one without families is a fact that nothing is written on.
func (b *Bank) put(l lead, reasons []string) {
	f := l.fact
	if len(l.families) == 0 {
		b.unwritten = append(b.unwritten, Unwritten{Fact: f, Why: reasons})
		return
	}
	at := len(b.leads)
	b.leads = append(b.leads, l)
	b.byFact[f.ID] = at
	b.byTopic[l.topic] = append(b.byTopic[l.topic], at)
	if f.Isolation() || f.Kind == content.KindRestore {
		b.isolation = append(b.isolation, at)
	}
	if !f.Critical {
		b.plain[l.topic]++
	}
	b.bySubject[f.Subject] = append(b.bySubject[f.Subject], at)
}

// Source returns what the bank was made from.
func (b *Bank) Source() *Source { return b.source }

// Families returns every family, by fact in the order of the procedure and by
// model in the order given.
func (b *Bank) Families() []Family {
	var all []Family
	for _, l := range b.leads {
		all = append(all, l.families...)
	}
	return all
}

// FamiliesOf returns the families that lead with a fact, none where no model can
// write on it. It must not be changed.
func (b *Bank) FamiliesOf(f content.FactID) []Family {
	at, ok := b.byFact[f]
	if !ok {
		return nil
	}
	return b.leads[at].families
}

// Unwritten returns the facts that no model can write on. Some of them may still
// be tested by items that lead with another fact. It must not be changed.
func (b *Bank) Unwritten() []Unwritten { return b.unwritten }

// Unconfirmable returns the critical facts, not on isolation, with fewer than three
// distinct items that lead with them: one on a form and two fresh ones to confirm
// a miss. Who misses one may not be able to confirm it.
func (b *Bank) Unconfirmable() []content.Fact {
	var out []content.Fact
	for _, l := range b.leads {
		if l.fact.Critical && !l.fact.Isolation() && l.distinct() < 3 {
			out = append(out, l.fact)
		}
	}
	return out
}

// Leads counts the facts of a topic that items can lead with.
func (b *Bank) Leads(t content.Topic) int {
	at := slices.Index(content.Topics, t)
	if at < 0 {
		return 0
	}
	return len(b.byTopic[at])
}

// distinct is how many distinct items can lead with the fact, at most MaxCount.
func (l lead) distinct() int {
	n := 0
	for _, f := range l.families {
		n = min(MaxCount, n+f.Count)
	}
	return n
}
