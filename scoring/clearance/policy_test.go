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
		"cut, in percent: 49":      func(p *clearance.Policy) { p.Cut = 49 },
		"tries: 0":                 func(p *clearance.Policy) { p.Tries = 0 },
		"waiting time":             func(p *clearance.Policy) { p.WaitDays = -1 },
		"observed rebuilds: 0":     func(p *clearance.Policy) { p.Rebuilds = 0 },
		"months of validity: 0":    func(p *clearance.Policy) { p.Months = 0 },
		"notice, in days: 366":     func(p *clearance.Policy) { p.NoticeDays = 366 },
		"grace, in days: -1":       func(p *clearance.Policy) { p.GraceDays = -1 },
		"training window, in days": func(p *clearance.Policy) { p.TrainingWindow = -1 },
		"no topic \"paint\"":       func(p *clearance.Policy) { p.ObserveAgain = []clearance.ObserveTopic{"paint"} },
		"isolation stands twice":   func(p *clearance.Policy) { p.ObserveAgain = append(p.ObserveAgain, clearance.ObserveIsolation) },
		"level wanted, in percent: 100; it must be from 50 to 99": func(p *clearance.Policy) { p.Wanted = 100 },
		"level wanted, in percent: -90":                           func(p *clearance.Policy) { p.Wanted = -90 },
		"times a year: 3651":                                      func(p *clearance.Policy) { p.TimesAYear = 3651 },
		"observed rebuilds: 21; it":                               func(p *clearance.Policy) { p.Rebuilds = 21 },
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

// A policy that was set before there was a level for lessons is whole, is encoded
// as it was, and means the default.
func TestPolicyWithoutLessons(t *testing.T) {
	p := clearance.DefaultPolicy()
	if p.WantedShare() != 0.90 || p.TimesAMonth() != 1 {
		t.Errorf("the default wants %v, %v times a month", p.WantedShare(), p.TimesAMonth())
	}
	p.Wanted, p.TimesAYear = 0, 0
	_, data, err := clearance.Encode(clearance.PolicySet{Policy: p})
	if err != nil || strings.Contains(string(data), "wanted") || strings.Contains(string(data), "times_a_year") {
		t.Errorf("encoded as %s (%v)", data, err)
	}
	act, err := clearance.Decode(clearance.PolicySet{}.Kind(), data)
	if err != nil {
		t.Fatal(err)
	}
	old := act.(clearance.PolicySet).Policy
	if err := old.Check(); err != nil || old.WantedShare() != 0.90 || old.TimesAMonth() != 1 {
		t.Errorf("read back it wants %v, %v times a month (%v)", old.WantedShare(), old.TimesAMonth(), err)
	}
	p.Wanted, p.TimesAYear = 75, 3
	if p.WantedShare() != 0.75 || p.TimesAMonth() != 0.25 {
		t.Errorf("75 %% and three times a year are %v and %v", p.WantedShare(), p.TimesAMonth())
	}
}
