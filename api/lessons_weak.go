package api

import (
	"soloright/content"
)

// mostWeak is how many weak facts a practice form is asked to bring up: the rest
// of it stays for what the person has not met.
const mostWeak = 8

// weakFacts are the facts of a procedure that a person more likely than not holds
// less of than is wanted, costliest first, by the last analysis of everybody that
// was worked out; none where there was none yet. It starts no analysis and waits
// for none. What it returns is kept with the form, so that the form can be set again.
func (a *App) weakFacts(person, procedure string) ([]content.FactID, error) {
	x := a.lessons.lastOf(procedure)
	if x == nil {
		return nil, nil
	}
	p, ok := x.whose[person]
	if !ok {
		return nil, nil
	}
	facts, err := x.practise(p, func(id string) bool { return id == procedure })
	if err != nil {
		return nil, err
	}
	var out []content.FactID
	for _, f := range facts {
		if f.Held.Below > 0.5 && len(out) < mostWeak {
			out = append(out, f.Fact)
		}
	}
	return out, nil
}

// lastOf is the newest result on everybody that takes in a procedure.
func (d *lessonDesk) lastOf(procedure string) *analysis {
	d.mu.Lock()
	defer d.mu.Unlock()
	var last *analysis
	for s, x := range d.done {
		if s.Crew == "" && (s.Procedure == "" || s.Procedure == procedure) && (last == nil || x.at.After(last.at)) {
			last = x
		}
	}
	return last
}
