package quiz

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"soloright/content"
)

// fakeProcedure states n facts on each topic: enough of a procedure to assemble
// forms from with fake models. Every tenth fact of a kind that can be is critical.
func fakeProcedure(n int) *content.Procedure {
	p := &content.Procedure{ID: "fake", Title: "Fake", Revision: "A"}
	for i := range n {
		id, crit := fmt.Sprintf("e%d", i), i%10 == 0
		p.Hazards = append(p.Hazards, content.Hazard{ID: id, Hazard: id, Critical: crit})
		p.Parts = append(p.Parts, content.Part{ID: id, Name: id, Quantity: 2},
			content.Part{ID: "f" + id, Name: id, Facing: &content.Facing{Kind: content.Reversible, Critical: crit}})
		p.Joints = append(p.Joints, content.Joint{ID: id, Title: id, Tighten: content.Tighten{By: content.ToStop, Critical: crit}})
		p.Inspections = append(p.Inspections, content.Inspection{ID: id, Part: id, Cases: []content.Case{{ID: "c"}}, Critical: crit})
		p.Settings = append(p.Settings, content.Setting{ID: id, Title: id, WorkOut: content.Direct, Critical: crit})
		p.Observations = append(p.Observations, content.Observation{ID: id, Seen: id, Critical: crit})
		p.Steps = append(p.Steps, content.Step{ID: id, Text: id, Hold: &content.Hold{Critical: crit}})
	}
	return p
}

// fakeModel writes choices with count variants on every fact that it takes.
type fakeModel struct {
	name    string
	count   int
	seconds int
	takes   func(content.Fact) bool
	shows   func(content.Fact, int) []content.FactID // what variant v gives away
	tests   func(content.Fact) []content.FactID      // further facts that it lists
}

func (m fakeModel) Name() string { return m.name }
func (m fakeModel) Version() int { return 1 }

func (m fakeModel) Count(_ *Source, f content.Fact) (int, string) {
	if m.takes != nil && !m.takes(f) {
		return 0, m.name + " does not take it"
	}
	return m.count, ""
}

func (m fakeModel) Write(src *Source, f content.Fact, rnd *rand.Rand) (Item, error) {
	v, key := rnd.IntN(m.count), rnd.IntN(4)
	it := Item{
		ID: fmt.Sprintf("%s|%s|%d", m.name, f.ID, v), Model: m.name, Version: 1, Lead: f.ID, Topic: f.Kind.Topic(),
		Signature: fmt.Sprint(v), Stem: string(f.ID), Seconds: m.seconds, Interaction: Interaction{Kind: Choice},
		Facts: []Tested{tested(f)}, Chance: Chance{Mean: Frac(1, 4), Full: Frac(1, 4)},
	}
	if m.tests != nil {
		for _, id := range m.tests(f) {
			if g, ok := src.Index.Fact(id); ok {
				it.Facts = append(it.Facts, tested(g))
			}
		}
	}
	if m.shows != nil {
		it.Shows = m.shows(f, v)
	}
	for i := range 4 {
		id := string(rune('a' + i))
		it.Interaction.Options = append(it.Interaction.Options, Option{ID: id, Text: id})
		it.Key.Options = append(it.Key.Options, KeyOption{ID: id, Right: i == key, Fact: f.ID, Dangerous: i != key})
	}
	return it, nil
}

func tested(f content.Fact) Tested {
	return Tested{Fact: f.ID, Critical: f.Critical, Isolation: f.Isolation(), Text: f.Text, Step: f.Step}
}

// fakeModels are two models on everything and one on critical facts only.
func fakeModels() []Model {
	return []Model{
		fakeModel{name: "alpha", count: 6, seconds: 60},
		fakeModel{name: "beta", count: 40, seconds: 40},
		fakeModel{name: "gamma", count: 3, seconds: 90, takes: func(f content.Fact) bool { return f.Critical }},
	}
}

func fakeBank(n int, models ...Model) *Bank {
	if len(models) == 0 {
		models = fakeModels()
	}
	return NewBank(NewSource(fakeProcedure(n), ""), models)
}

// neighbours shows the next fact of the same kind in the odd variants, so that
// half of the items of a fact are enemies of those on the next one.
func neighbours(b *Source) func(content.Fact, int) []content.FactID {
	return func(f content.Fact, v int) []content.FactID {
		same := b.Index.Of(f.Kind)
		i := slices.IndexFunc(same, func(g content.Fact) bool { return g.ID == f.ID })
		if v%2 == 0 || i+1 >= len(same) {
			return nil
		}
		return []content.FactID{same[i+1].ID}
	}
}
