package quiz

import (
	"errors"
	"math/rand/v2"
	"slices"

	"soloright/content"
)

// What a default blueprint aims at.
const (
	defaultItems  = 30
	defaultCut    = content.Cut(80)
	defaultAlways = 4 // critical facts that always appear
	sampledLeads  = 32
	trialForms    = 8
)

// DefaultBlueprint makes a sound blueprint for a procedure that has none beside
// it: 30 items where the bank allows, cut 80, every topic in proportion to its
// facts (at least two thirds of its share and one item, at most one and a half
// times its share and one more), up to four critical facts that always appear
// (one for each seven items), each of another topic as long as there is one and
// with three distinct items, so that it can be confirmed with two fresh ones,
// and a quarter more time than the items are given. It is tried with a few fixed
// seeds and eased until they all give a form, so [Assemble] meets it. It depends
// on the arguments only. The cost is that of those forms and of one item for
// each family sampled.
func DefaultBlueprint(p *content.Procedure, bank *Bank) content.Blueprint {
	bp := content.Blueprint{Procedure: p.ID, Items: min(defaultItems, len(bank.leads)), Cut: defaultCut}
	bp.Always = criticalsOf(bank, min(defaultAlways, bp.Items/7))
	bp.Topics = shares(bank, bp.Items, bp.Always)
	bp.Minutes = minutesFor(bank, bp.Items)
	for bp.Items > 0 {
		u := tryOut(bank, bp)
		if u == nil {
			break
		}
		ease(bank, &bp, u)
	}
	return bp
}

// shares bounds the topics in proportion to the facts that can lead; a maximum
// leaves room for the facts that always appear.
func shares(bank *Bank, items int, always []content.FactID) []content.TopicRule {
	var out []content.TopicRule
	for t, name := range content.Topics {
		n, all := len(bank.byTopic[t]), len(bank.leads)
		if n == 0 {
			continue
		}
		least := max(1, 2*items*n/(3*all))
		most := min(n, (3*items*n+2*all-1)/(2*all)+1)
		for _, f := range always {
			if at, ok := bank.byFact[f]; ok && bank.leads[at].topic == t {
				most = max(most, len(always))
			}
		}
		out = append(out, content.TopicRule{Topic: name, Min: min(least, n), Max: max(most, least)})
	}
	for i := len(out) - 1; i >= 0 && minima(out) > items; i-- {
		out[i].Min = 0
	}
	return out
}

func minima(rules []content.TopicRule) int {
	sum := 0
	for _, r := range rules {
		sum += r.Min
	}
	return sum
}

// criticalsOf picks critical facts that always appear: topic by topic in turn,
// those with three distinct items or more that lead with them.
func criticalsOf(bank *Bank, most int) []content.FactID {
	var out []content.FactID
	for turn := 0; len(out) < most; turn++ {
		before := len(out)
		for t := range content.Topics {
			if at, ok := nthCritical(bank, t, turn); ok && len(out) < most {
				out = append(out, bank.leads[at].fact.ID)
			}
		}
		if len(out) == before {
			break
		}
	}
	return out
}

func nthCritical(bank *Bank, topic, n int) (int, bool) {
	for _, at := range bank.byTopic[topic] {
		if l := bank.leads[at]; !l.fact.Critical || l.distinct() < 3 {
			continue
		}
		if n == 0 {
			return at, true
		}
		n--
	}
	return 0, false
}

// minutesFor is a quarter more than the time of that many items of each topic in
// proportion, sampled with a fixed seed, rounded up to five minutes.
func minutesFor(bank *Bank, items int) int {
	rnd := rand.New(rand.NewChaCha8(Seed{}))
	seconds, n := 0, 0
	deal := newShuffle(len(bank.leads))
	for deal.left() > 0 && n < sampledLeads*len(content.Topics) {
		l := bank.leads[deal.deal(rnd)]
		for _, f := range l.families {
			it, err := f.Model.Write(bank.source, l.fact, rnd)
			if err != nil {
				continue // the model's own tests report it; assembly does too
			}
			seconds += it.Seconds
			n++
		}
	}
	if n == 0 {
		return 5
	}
	most := 5 * 60 * n * 4 // five minutes, in the same measure
	return max(5, 5*((5*items*seconds+most-1)/most))
}

// tryOut assembles a few forms and returns what could not be met; defects of
// models are left to Assemble.
func tryOut(bank *Bank, bp content.Blueprint) *Unmet {
	for i := range trialForms {
		_, err := Assemble(bank, bp, History{}, Seed{byte(i)})
		var u *Unmet
		if errors.As(err, &u) {
			return u
		}
	}
	return nil
}

// ease gives way where the bank does not allow what is asked.
func ease(bank *Bank, bp *content.Blueprint, u *Unmet) {
	if u.Constraint == "time" {
		bp.Minutes += 5
		return
	}
	for i, f := range bp.Always {
		if u.Constraint == "always "+string(f) {
			bp.Always = slices.Delete(bp.Always, i, i+1)
			return
		}
	}
	for i := range bp.Topics {
		r := &bp.Topics[i]
		if u.Constraint == "topic "+string(r.Topic) && r.Min > 0 {
			r.Min--
			return
		}
	}
	bp.Items--
	bp.Topics = shares(bank, bp.Items, bp.Always)
}
