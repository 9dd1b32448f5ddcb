package quiz

import (
	"errors"
	"slices"

	"soloright/content"
)

// What a default blueprint aims at.
const (
	defaultItems  = 30
	fewestItems   = 24 // of a form that is as long as it should be
	defaultCut    = content.Cut(80)
	defaultAlways = 4 // facts that always appear

	defaultIsolation = 1
	defaultCritical  = 8    // .95 · Σ C(7,k) .95^(7−k) .05^k .95^(2k), k to 2, is .915
	mostSampled      = 4096 // items written to learn what items take and show
	trialForms       = 8
)

// DefaultBlueprint makes a sound blueprint for a procedure that has none beside
// it: 30 items where the bank allows, cut 80, every topic in proportion to its
// facts (at least two thirds of its share and one item, at most one and a half
// times its share and one more), up to four critical facts that always appear
// (one for each seven items), of different topics and with three distinct items,
// so that they can be confirmed with two fresh ones, and none of which keeps
// another fact from ever standing on a form; and a quarter more time than the
// items are given.
//
// A miss on isolation has no mercy, and each further critical item is a risk too.
// So one item tests a fact on isolation, another one each time, and eight test a
// critical fact: then who holds .95 passes nine times of ten.
//
// The blueprint is tried with a few fixed seeds and eased until they all give a
// form, so [Assemble] meets it. It depends on the arguments only. The cost is
// that of those forms and of two items for each family sampled.
func DefaultBlueprint(p *content.Procedure, bank *Bank) content.Blueprint {
	bp := content.Blueprint{Procedure: p.ID, Items: min(defaultItems, len(bank.leads)), Cut: defaultCut, MaxIsolation: defaultIsolation, MaxCritical: defaultCritical}
	if len(bank.isolation) > 0 {
		bp.MinIsolation = defaultIsolation
	}
	sm := takeSample(bank)
	bp.Always = alwaysOf(bank, sm, min(defaultAlways, bp.Items/7))
	bp.Topics = shares(bank, bp.Items, bp.Always)
	bp.Minutes = sm.minutes(bp.Items)
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
	all := len(bank.leads)
	for t, name := range content.Topics {
		n := len(bank.byTopic[t])
		if n == 0 {
			continue
		}
		least := min(n, max(1, 2*items*n/(3*all)))
		most := min(n, (3*items*n+2*all-1)/(2*all)+1)
		out = append(out, content.TopicRule{Topic: name, Min: least, Max: max(most, least, alwaysIn(bank, t, always))})
	}
	for i := len(out) - 1; i >= 0 && minima(out) > items; i-- {
		out[i].Min = 0
	}
	return out
}

func alwaysIn(bank *Bank, topic int, always []content.FactID) int {
	n := 0
	for _, f := range always {
		if at, ok := bank.byFact[f]; ok && bank.leads[at].topic == topic {
			n++
		}
	}
	return n
}

func minima(rules []content.TopicRule) int {
	sum := 0
	for _, r := range rules {
		sum += r.Min
	}
	return sum
}

// alwaysOf picks critical facts that always appear, with three distinct items or
// more that lead with them, and that shut no other fact out: of each topic but
// isolation in turn.
func alwaysOf(bank *Bank, sm sample, most int) []content.FactID {
	var out []content.FactID
	for turn, before := 0, -1; len(out) != before; turn++ {
		before = len(out)
		for t, name := range content.Topics {
			at, ok := nthCritical(bank, sm, t, turn)
			if ok && name != content.TopicIsolation && len(out) < most {
				out = append(out, bank.leads[at].fact.ID)
			}
		}
	}
	return out
}

func nthCritical(bank *Bank, sm sample, topic, n int) (at int, ok bool) {
	for _, at := range bank.byTopic[topic] {
		if l := bank.leads[at]; !l.fact.Critical || l.distinct() < 3 || sm.shuts[l.fact.ID] {
			continue
		}
		if n == 0 {
			return at, true
		}
		n--
	}
	return 0, false
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

// ease gives way where the bank does not allow what is asked: time, facts that
// always appear and minima where they are what fails; else first the bounds of
// risky items, then items down to 24, the topics' maxima, and items again.
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
	switch {
	case bp.MaxCritical > 0:
		looser(bp)
	case bp.Items <= fewestItems && bounded(bp.Topics):
		for i := range bp.Topics {
			bp.Topics[i].Max = 0
		}
	default:
		fewer(bank, bp)
	}
}

// fewer takes one item off, and off the minima where they ask for it.
func fewer(bank *Bank, bp *content.Blueprint) {
	free := !bounded(bp.Topics)
	bp.Items--
	bp.Topics = shares(bank, bp.Items, bp.Always)
	for i := range bp.Topics {
		if free {
			bp.Topics[i].Max = 0
		}
	}
}

func bounded(rules []content.TopicRule) bool {
	return slices.ContainsFunc(rules, func(r content.TopicRule) bool { return r.Max > 0 })
}

// looser allows more risky items, and any number where that is of no use. Where
// even those on isolation do not find room, none need be there.
func looser(bp *content.Blueprint) {
	if bp.MaxIsolation == 0 {
		bp.MinIsolation = 0
	}
	bp.MaxIsolation++
	bp.MaxCritical += 2
	if bp.MaxCritical > bp.Items {
		bp.MaxIsolation, bp.MaxCritical = 0, 0
	}
}
