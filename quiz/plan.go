package quiz

import (
	"fmt"
	"slices"

	"soloright/content"
)

// plan reads the blueprint into wants and bounds, and answers at once what no
// choice of items could meet.
func (a *assembler) plan(bp content.Blueprint, h History) error {
	a.size, a.minutes = bp.Items, bp.Minutes
	a.most = risky{isolation: bp.MaxIsolation, critical: bp.MaxCritical}
	a.isolation = bp.MinIsolation
	if bp.Items < 1 {
		return &Unmet{Constraint: "items", Need: 1, Have: bp.Items, Why: "a form has at least one"}
	}
	if err := a.planTopics(bp.Topics); err != nil {
		return err
	}
	if err := a.planAlways(bp.Always); err != nil {
		return err
	}
	if err := a.planRisky(bp.Always); err != nil {
		return err
	}
	for _, f := range slices.Concat(h.Missed, h.Weak) {
		if _, here := a.bank.source.Index.Fact(f); here && !a.wanted(f) {
			a.wants = append(a.wants, want{fact: f, soft: true})
		}
	}
	for t := range a.bounds {
		if a.most != (risky{}) && a.bank.plain[t] < a.bounds[t].min {
			a.wants = append(a.wants, want{topic: t}) // needs critical items, before others use them up
		}
	}
	return a.checkSums()
}

func (a *assembler) wanted(f content.FactID) bool {
	return slices.ContainsFunc(a.wants, func(w want) bool { return w.fact == f })
}

// planTopics takes the bounds; where a topic has several, all hold.
func (a *assembler) planTopics(rules []content.TopicRule) error {
	a.bounds = make([]bounds, len(content.Topics))
	for t := range a.bounds {
		a.bounds[t].max = MaxCount // no bound
	}
	for _, r := range rules {
		t := slices.Index(content.Topics, r.Topic)
		if t < 0 {
			return &Unmet{Constraint: "topic " + string(r.Topic), Need: r.Min, Why: "there is no such topic"}
		}
		b := &a.bounds[t]
		b.min = max(b.min, r.Min)
		if r.Max > 0 {
			b.max = min(b.max, r.Max)
		}
		if leads := len(a.bank.byTopic[t]); leads < b.min {
			return unmetTopic(r.Topic, b.min, leads, leads)
		}
		if b.max < b.min {
			return &Unmet{Constraint: "topic " + string(r.Topic), Need: b.min, Have: b.max, Why: fmt.Sprintf("at least %d wanted and at most %d allowed", b.min, b.max)}
		}
	}
	return nil
}

// planAlways wants the facts that always appear, and makes their topics' minima
// at least their number.
func (a *assembler) planAlways(always []content.FactID) error {
	need := make([]int, len(content.Topics))
	for _, f := range always {
		if _, here := a.bank.source.Index.Fact(f); !here {
			return unmetAlways(f, "the procedure does not state it for this build")
		}
		if a.wanted(f) {
			continue
		}
		a.wants = append(a.wants, want{fact: f})
		at, leads := a.bank.byFact[f]
		if !leads {
			continue
		}
		t := a.bank.leads[at].topic
		if need[t]++; need[t] > a.bounds[t].max {
			name := content.Topics[t]
			return &Unmet{Constraint: "topic " + string(name), Need: need[t], Have: a.bounds[t].max, Why: fmt.Sprintf("at most %d allowed, and more of its facts always appear", a.bounds[t].max)}
		}
		a.bounds[t].min = max(a.bounds[t].min, need[t])
	}
	return nil
}

// checkSums compares the minima, the maxima and the bank with the total.
func (a *assembler) checkSums() error {
	least, most := 0, 0
	for t, b := range a.bounds {
		least += b.min
		most += min(b.max, len(a.bank.byTopic[t]))
	}
	if least > a.size {
		return &Unmet{Constraint: "items", Need: least, Have: a.size, Why: fmt.Sprintf("%d are set, and the topics' minima with the facts that always appear ask for %d", a.size, least)}
	}
	if leads := len(a.bank.leads); leads < a.size {
		return unmetItems(a.size, leads, leads)
	}
	if most < a.size {
		return &Unmet{Constraint: "items", Need: a.size, Have: most, Why: fmt.Sprintf("%d wanted, the topics' maxima and the bank allow %d", a.size, most)}
	}
	return nil
}
