package content

import "fmt"

func (w *factWriter) jointsFacts() {
	for i := range w.p.Joints {
		j := &w.p.Joints[i]
		step := j.Step
		if step == "" {
			step = w.stepWhere(func(s *Step) bool { return s.Joint == j.ID })
		}
		w.jointTarget(j, step)
		w.jointOrder(j, step)
		for _, l := range j.Lengths {
			w.add(Fact{Kind: KindLength, Step: step, Subject: j.ID, Sub: l.ID, Value: fmt.Sprint(exact(l.Length), " at ", l.At),
				Text: fmt.Sprintf("%s: %s fasteners at places %s", j.Title, l.Length.Text(), places(l.At))})
		}
	}
}

func (w *factWriter) jointTarget(j *Joint, step string) {
	w.add(Fact{Kind: KindTarget, Critical: j.Tighten.Critical, Step: step, Subject: j.ID, Value: j.Tighten.value(), Text: j.Title + ": " + j.Tighten.Words()})
	if j.Thread != "" {
		w.add(Fact{Kind: KindThread, Step: step, Subject: j.ID, Value: j.Thread, Text: j.Title + ": the torque holds for threads that are " + j.Thread})
	}
	if len(j.LoadSteps) > 0 {
		w.add(Fact{Kind: KindLoadSteps, Step: step, Subject: j.ID, Value: fmt.Sprint(j.LoadSteps), Text: j.Title + ": tighten in steps of " + percents(j.LoadSteps)})
	}
}

func (w *factWriter) jointOrder(j *Joint, step string) {
	if s := j.Sequence; s != nil {
		w.add(Fact{Kind: KindSequence, Critical: s.Critical, Step: step, Subject: j.ID, Value: fmt.Sprint(j.Pattern.Shape, j.Pattern.Count, s.Rule.Kind, s.Rule.Means, s.Rule.Pinned),
			Text: j.Title + ": " + sequenceWords(j)})
	}
	if c := j.CheckPass; c != nil {
		w.add(Fact{Kind: KindCheckPass, Step: step, Subject: j.ID, Value: j.ID, Text: j.Title + ": " + lower(c.Do)})
	}
	if a := j.Align; a != nil {
		w.add(Fact{Kind: KindAlign, Critical: a.Critical, Step: step, Subject: j.ID, Value: a.value(), Text: j.Title + ": " + a.Words()})
	}
	if a := j.Again; a != nil {
		w.add(Fact{Kind: KindAgain, Step: step, Subject: j.ID, Value: a.When, Text: j.Title + ": tighten again: " + a.When})
	}
}

func (w *factWriter) settingsFacts() {
	for _, s := range w.p.Settings {
		w.add(Fact{Kind: KindSetting, Critical: s.Critical, Step: s.Step, Subject: s.ID, Value: s.Limit.value(), Text: s.Title + ": " + s.Limit.Words()})
		if s.WorkOut != Direct {
			w.add(Fact{Kind: KindWorkOut, Step: s.Step, Subject: s.ID, Value: string(s.WorkOut), Text: s.Title + " is " + s.WorkOut.Words()})
		}
	}
}

func (w *factWriter) inspectionsFacts() {
	for _, n := range w.p.Inspections {
		name := n.Part
		if p := w.parts[n.Part]; p != nil {
			name = p.Name
		}
		what := name + ", " + n.Feature
		if n.Limit != nil {
			w.add(Fact{Kind: KindInspection, Critical: n.Critical, Step: n.Step, Subject: n.ID, Value: n.Limit.value() + " else " + string(n.Outside),
				Text: what + ": " + n.Limit.Words() + ", else " + n.Outside.Words()})
		}
		for _, c := range n.Cases {
			w.add(Fact{Kind: KindInspection, Critical: n.Critical, Step: n.Step, Subject: n.ID, Sub: c.ID, Value: string(c.Verdict),
				Text: what + ": " + lower(c.Seen) + " – " + c.Verdict.Words()})
		}
		if n.Clean != nil {
			w.add(Fact{Kind: KindClean, Step: n.Step, Subject: n.ID, Value: fmt.Sprint(n.Clean.With, wrongs(n.Clean.Not)),
				Text: what + ": clean with " + andList(n.Clean.With) + "; never " + orList(n.Clean.Not)})
		}
	}
}

func (w *factWriter) testsFacts() {
	for _, t := range w.p.Tests {
		w.add(Fact{Kind: KindTest, Critical: t.Critical, Step: t.Step, Subject: t.ID, Value: t.Medium + " " + exact(t.Pressure) + " " + exact(t.Hold),
			Text: fmt.Sprintf("%s: %s at %s for %s", t.Title, t.Medium, t.Pressure.Text(), t.Hold.Text())})
		for _, c := range t.Accept {
			w.add(Fact{Kind: KindCriterion, Critical: t.Critical, Step: t.Step, Subject: t.ID, Sub: c.ID, Value: c.value(), Text: t.Title + ": " + c.Words()})
		}
	}
}

func (w *factWriter) diagnosisFacts() {
	for _, o := range w.p.Observations {
		w.add(Fact{Kind: KindObservation, Critical: o.Critical, Step: o.Step, Subject: o.ID, Value: fmt.Sprint("normal=", o.Normal), Text: o.Words()})
	}
	for _, f := range w.p.Faults {
		for _, c := range f.Causes {
			w.add(Fact{Kind: KindCause, Step: f.Step, Subject: f.ID, Sub: c.ID, Value: c.ID, Text: f.Symptom + ": look for " + lower(c.Text)})
		}
	}
	for _, h := range w.p.Hazards {
		w.add(Fact{Kind: KindHazard, Critical: h.Critical, Step: h.Step, Subject: h.ID, Value: causeIDs(h.Controls), Text: h.Hazard + ": " + lower(causeTexts(h.Controls))})
	}
}

func (w *factWriter) stepsFacts() {
	for _, s := range w.p.Steps {
		for _, a := range s.After {
			before := a
			if e := w.steps[a]; e != nil {
				before = e.Text
			}
			w.add(Fact{Kind: KindPrecede, Critical: s.Critical, Step: s.ID, Subject: s.ID, Other: a, Value: "after", Text: "“" + s.Text + "” comes after “" + before + "”"})
		}
		if len(s.Tools) > 0 && len(s.ToolsNot) > 0 {
			w.add(Fact{Kind: KindTools, Step: s.ID, Subject: s.ID, Value: fmt.Sprint(s.Tools, s.ToolsToo, noTools(s.ToolsNot)), Text: "“" + s.Text + "”: use " + w.toolNames(s.Tools)})
		}
		if s.Hold != nil {
			w.add(Fact{Kind: KindHold, Critical: s.Hold.Critical, Step: s.ID, Subject: s.ID, Value: "hold", Text: "hold point at “" + s.Text + "”: the assessor looks at " + lower(s.Hold.Look)})
		}
	}
}

func (w *factWriter) toolNames(ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = id
		if t := w.tools[id]; t != nil {
			names[i] = t.Name
		}
	}
	return andList(names)
}
