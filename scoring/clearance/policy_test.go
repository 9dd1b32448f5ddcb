package clearance_test

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/scoring/clearance"
)

func TestPolicyCheck(t *testing.T) {
	if err := clearance.DefaultPolicy().Check(); err != nil {
		t.Errorf("the default: %v", err)
	}
	for want, change := range map[string]func(*clearance.Policy){
		"cut, in percent: 49":       func(p *clearance.Policy) { p.Cut = 49 },
		"tries: 0":                  func(p *clearance.Policy) { p.Tries = 0 },
		"waiting time":              func(p *clearance.Policy) { p.WaitDays = -1 },
		"observed rebuilds: 0":      func(p *clearance.Policy) { p.Rebuilds = 0 },
		"months of validity: 0":     func(p *clearance.Policy) { p.Months = 0 },
		"notice, in days: 366":      func(p *clearance.Policy) { p.NoticeDays = 366 },
		"grace, in days: -1":        func(p *clearance.Policy) { p.GraceDays = -1 },
		"training window, in days":  func(p *clearance.Policy) { p.TrainingWindow = -1 },
		"no topic \"paint\"":        func(p *clearance.Policy) { p.ObserveAgain = []clearance.ObserveTopic{"paint"} },
		"isolation stands twice":    func(p *clearance.Policy) { p.ObserveAgain = append(p.ObserveAgain, clearance.ObserveIsolation) },
		"observed rebuilds: 21; it": func(p *clearance.Policy) { p.Rebuilds = 21 },
	} {
		p := clearance.DefaultPolicy()
		change(&p)
		if err := p.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func TestObservesAgain(t *testing.T) {
	for _, c := range []struct {
		kind  content.FactKind
		topic clearance.ObserveTopic
	}{
		{content.KindFacing, clearance.ObserveFacing},
		{content.KindLayer, clearance.ObserveStack}, {content.KindSplit, clearance.ObserveStack},
		{content.KindTarget, clearance.ObserveJoint}, {content.KindSequence, clearance.ObserveJoint}, {content.KindAlign, clearance.ObserveJoint},
		{content.KindIsolation, clearance.ObserveIsolation}, {content.KindProof, clearance.ObserveIsolation},
		{content.KindOpening, clearance.ObserveIsolation}, {content.KindReturn, clearance.ObserveIsolation}, {content.KindRestore, clearance.ObserveIsolation},
		{content.KindDisposition, ""}, {content.KindCause, ""}, {content.KindTest, ""},
	} {
		for _, topic := range []clearance.ObserveTopic{clearance.ObserveFacing, clearance.ObserveStack, clearance.ObserveJoint, clearance.ObserveIsolation} {
			p := clearance.Policy{ObserveAgain: []clearance.ObserveTopic{topic}}
			if got := p.ObservesAgain(content.Fact{Kind: c.kind}); got != (topic == c.topic) {
				t.Errorf("%s under %s: %v", c.kind, topic, got)
			}
		}
	}
}
