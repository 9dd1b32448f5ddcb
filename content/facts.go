package content

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Facts yields every fact of the procedure, in the order of the file's sections,
// each with a stable id, its kind, criticality and the step that states it. A
// fact holds for the builds whose [ForBuild] copy states it. The cost is linear.
func Facts(p *Procedure) []Fact {
	w := &factWriter{p: p, elements: newElements(p)}
	w.isolationFacts()
	w.openingsFacts()
	w.partsFacts()
	w.stacksFacts()
	w.jointsFacts()
	w.settingsFacts()
	w.inspectionsFacts()
	w.testsFacts()
	w.diagnosisFacts()
	w.stepsFacts()
	return w.facts
}

type factWriter struct {
	elements
	p     *Procedure
	facts []Fact
}

// add appends a fact whose id is its kind and the given ids.
func (w *factWriter) add(f Fact) {
	id := string(f.Kind)
	for _, s := range []string{f.Subject, f.Sub, f.Other} {
		if s != "" {
			id += "/" + s
		}
	}
	f.ID = FactID(id)
	w.facts = append(w.facts, f)
}

func (w *factWriter) isolationFacts() {
	iso := w.p.Isolation
	if iso == nil {
		return
	}
	w.add(Fact{Kind: KindIsolation, Critical: true, Step: iso.Step, Subject: "shutdown", Value: ids(iso.Prepare) + ">" + iso.Shutdown.ID,
		Text: "prepare first, then " + lower(iso.Shutdown.Text) + ", and only then isolate"})
	for _, e := range w.p.Energies {
		w.add(Fact{Kind: KindIsolation, Critical: true, Step: e.Step, Subject: e.ID, Value: "isolate>lock>relieve>prove",
			Text: e.Source + ": isolate, lock, relieve and prove zero, in this order"})
		w.add(Fact{Kind: KindProof, Critical: true, Step: e.Step, Subject: e.ID, Value: e.ID,
			Text: e.Source + " is proved zero so: " + lower(e.Prove)})
		if e.Returns != nil {
			w.add(Fact{Kind: KindReturn, Critical: true, Step: e.Step, Subject: e.ID, Value: e.ID,
				Text: e.Source + " can build up again (" + lower(e.Returns.How) + "): " + lower(e.Returns.Do)})
		}
	}
	w.add(Fact{Kind: KindIsolation, Critical: true, Step: iso.Step, Subject: "opening", Value: "prove>" + iso.FirstOpening.ID,
		Text: "every energy is proved zero before the first opening: " + lower(iso.FirstOpening.Text)})
	restored := cmp.Or(iso.RestoreStep, iso.Step)
	for i, a := range iso.Restore[min(1, len(iso.Restore)):] {
		w.add(Fact{Kind: KindRestore, Critical: true, Step: restored, Subject: a.ID, Value: iso.Restore[i].ID + ">" + a.ID,
			Text: lower(a.Text) + " comes after: " + lower(iso.Restore[i].Text)})
	}
}

func (w *factWriter) openingsFacts() {
	for _, o := range w.p.Openings {
		w.add(Fact{Kind: KindOpening, Critical: true, Step: o.Step, Subject: o.ID, Value: o.ID, Text: o.Title + ": " + lower(o.Do)})
	}
}

func (w *factWriter) partsFacts() {
	for i := range w.p.Parts {
		e := &w.p.Parts[i]
		step := w.partStep(e)
		if e.Quantity > 0 {
			w.add(Fact{Kind: KindQuantity, Step: step, Subject: e.ID, Value: fmt.Sprint(e.Quantity), Text: fmt.Sprintf("%s: %d", e.Name, e.Quantity)})
		}
		if e.Disposition != NoDisposition {
			w.add(Fact{Kind: KindDisposition, Critical: e.Critical, Step: step, Subject: e.ID, Value: string(e.Disposition), Text: e.Name + ": " + e.Disposition.Words()})
		}
		for _, s := range e.Surfaces {
			w.surfaceFacts(e, s, step)
		}
		if e.Facing != nil {
			w.add(Fact{Kind: KindFacing, Critical: e.Facing.Critical, Step: step, Subject: e.ID, Value: e.Facing.value(), Text: e.Name + ": " + e.Facing.Words()})
		}
	}
}

func (w *factWriter) surfaceFacts(e *Part, s Surface, step string) {
	at := step
	greased := w.greasedAt(e.ID + "/" + s.ID)
	if greased != nil {
		at = greased.ID
	}
	w.add(Fact{Kind: KindSurface, Critical: s.Critical, Step: at, Subject: e.ID, Sub: s.ID, Value: string(s.Treatment) + ":" + s.Product,
		Text: e.Name + ", " + s.Name + ": " + s.Words()})
	if len(s.Never) > 0 {
		w.add(Fact{Kind: KindNever, Critical: s.Critical, Step: at, Subject: e.ID, Sub: s.ID, Value: wrongs(s.Never),
			Text: e.Name + ", " + s.Name + ": never " + orList(s.Never)})
	}
	if greased != nil {
		w.add(Fact{Kind: KindGrease, Step: at, Subject: e.ID, Sub: s.ID, Value: at, Text: e.Name + ", " + s.Name + ": gets its lubricant at the step “" + greased.Text + "”"})
	}
}

// partStep is the step that states a part: the named one, else the first
// assembly step that lists it, else the first step that does.
func (w *factWriter) partStep(e *Part) string {
	if e.Step != "" {
		return e.Step
	}
	return w.stepWhere(func(s *Step) bool { return slices.Contains(s.Parts, e.ID) })
}

func (w *factWriter) stepWhere(has func(*Step) bool) string {
	first := ""
	for i := range w.p.Steps {
		s := &w.p.Steps[i]
		if !has(s) {
			continue
		}
		if s.Phase == PhaseAssemble {
			return s.ID
		}
		if first == "" {
			first = s.ID
		}
	}
	return first
}

func (w *factWriter) greasedAt(ref string) *Step {
	for i := range w.p.Steps {
		if slices.Contains(w.p.Steps[i].Greases, ref) {
			return &w.p.Steps[i]
		}
	}
	return nil
}

func (w *factWriter) stacksFacts() {
	for _, st := range w.p.Stacks {
		step := st.Step
		if step == "" {
			step = w.stepWhere(func(s *Step) bool { return s.Stack == st.ID })
		}
		names := w.layerNames(st)
		for _, l := range st.Layers {
			for _, on := range l.On {
				w.add(Fact{Kind: KindLayer, Critical: l.Critical, Step: step, Subject: st.ID, Sub: l.ID, Other: on, Value: "after",
					Text: st.Title + ": the " + names[l.ID] + " goes in after the " + names[on]})
			}
			if l.Split != nil {
				w.add(Fact{Kind: KindSplit, Critical: l.Critical, Step: step, Subject: st.ID, Sub: l.ID, Value: exact(l.Split.Angle) + " from " + l.Split.From,
					Text: st.Title + ": the split of the " + names[l.ID] + " stands at " + l.Split.Angle.Text() + " from the " + l.Split.From})
			}
		}
	}
}

// layerNames names each layer by its part, with its place where a part comes twice.
func (w *factWriter) layerNames(st Stack) map[string]string {
	count, names := map[string]int{}, map[string]string{}
	for _, l := range st.Layers {
		count[l.Part]++
	}
	nth := map[string]int{}
	for _, l := range st.Layers {
		name := l.Part
		if p := w.parts[l.Part]; p != nil {
			name = p.Name
		}
		if nth[l.Part]++; count[l.Part] > 1 {
			name = ordinal(nth[l.Part]) + " " + name
		}
		names[l.ID] = name
	}
	return names
}

func ids(as []Action) string {
	out := make([]string, len(as))
	for i, a := range as {
		out[i] = a.ID
	}
	return strings.Join(out, ">")
}
