package api

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"soloright/content"
	"soloright/scoring/clearance"
)

// lessonFacts takes in what the procedures in force state.
func (a *App) lessonFacts(ctx context.Context, r Reader, n names, x *analysis) error {
	revisions, policies := map[string]string{}, map[string]clearance.Policy{}
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		x.wanted = f.reg.PolicyAt(x.scope.Procedure, a.now()).WantedShare()
		for id, revision := range f.inForce {
			if x.scope.Procedure == "" || x.scope.Procedure == id {
				revisions[id], policies[id] = revision, f.reg.PolicyAt(id, a.now())
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, id := range slices.Sorted(maps.Keys(revisions)) {
		p, err := a.content.whole(ctx, r, id, revisions[id])
		if err != nil {
			return err
		}
		builds, err := a.factBuilds(ctx, r, p)
		if err != nil {
			return err
		}
		x.builds[id] = map[string]bool{}
		for _, of := range builds {
			maps.Copy(x.builds[id], of)
		}
		for _, f := range content.Facts(p) {
			key := factOf{id, f.ID}
			if _, twice := x.place[key]; twice {
				continue
			}
			x.place[key] = len(x.facts)
			x.facts = append(x.facts, lessonFact{Fact: f, procedure: id, title: n.title(id), wanted: policies[id].WantedShare(),
				timesAMonth: policies[id].TimesAMonth(), builds: builds[f.ID]})
		}
	}
	return nil
}

// factBuilds says for which builds of a procedure each fact holds; the build of a
// procedure without builds is "".
func (a *App) factBuilds(ctx context.Context, r Reader, p *content.Procedure) (map[content.FactID]map[string]bool, error) {
	out := map[content.FactID]map[string]bool{}
	for _, build := range p.BuildIDs() {
		e, err := a.content.edition(ctx, r, p.ID, p.Revision, build)
		if err != nil {
			return nil, fmt.Errorf("read build %q of %s: %w", build, p.ID, err)
		}
		for _, f := range content.Facts(e.Source.Procedure) {
			if out[f.ID] == nil {
				out[f.ID] = map[string]bool{}
			}
			out[f.ID][build] = true
		}
	}
	return out, nil
}

// factsAsNow says of each revision that was sat which facts it states as they are
// stated now: an answer on another value says nothing of the fact as it is.
type factsAsNow map[[2]string]map[content.FactID]bool

func (a *App) readFactsAsNow(ctx context.Context, r Reader, x *analysis, sittings []heardSitting) (factsAsNow, error) {
	out := factsAsNow{}
	for _, s := range sittings {
		key := [2]string{s.procedure, s.revision}
		if out[key] != nil || x.scope.Procedure != "" && x.scope.Procedure != s.procedure {
			continue
		}
		p, err := a.content.whole(ctx, r, s.procedure, s.revision)
		if err != nil {
			return nil, err
		}
		out[key] = map[content.FactID]bool{}
		for _, f := range content.Facts(p) {
			if i, ok := x.place[factOf{s.procedure, f.ID}]; ok && x.facts[i].Value == f.Value {
				out[key][f.ID] = true
			}
		}
	}
	return out, nil
}

// takePeople takes in who is with us, of the crew asked about, and has sat
// anything within the scope, by name.
func (x *analysis) takePeople(n names, sittings []heardSitting) {
	builds := map[string]map[string]map[string]bool{}
	for _, s := range sittings {
		p, ok := n.people[s.person]
		if !ok || !p.Left.IsZero() || x.scope.Crew != "" && p.Crew != x.scope.Crew || x.scope.Procedure != "" && x.scope.Procedure != s.procedure {
			continue
		}
		if builds[p.ID] == nil {
			builds[p.ID] = map[string]map[string]bool{}
		}
		if builds[p.ID][s.procedure] == nil {
			builds[p.ID][s.procedure] = map[string]bool{}
		}
		builds[p.ID][s.procedure][s.build] = true
	}
	for _, id := range n.order {
		if builds[id] != nil {
			x.whose[id] = len(x.people)
			x.people = append(x.people, lessonPerson{id: id, name: n.people[id].Name, crew: n.people[id].Crew, builds: builds[id]})
		}
	}
}
