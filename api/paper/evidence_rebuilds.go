package paper

import (
	"fmt"
	"time"

	"soloright/api"
	"soloright/scoring/clearance"
)

// rebuildHead is the room, in millimetres, that the head of a rebuild stands in: a
// sheet does not end within it.
const rebuildHead = 30

func (p *evidencePrint) rebuilds() {
	if len(p.e.Rebuilds) > 0 {
		p.room(12 + rebuildHead) // with the head of the first one under it
	}
	p.heading("Observed rebuilds")
	if len(p.e.Rebuilds) == 0 {
		p.text(body, "None is on the record.")
	}
	for _, r := range p.e.Rebuilds {
		p.rebuild(r)
		p.gap(3)
	}
}

func (p *evidencePrint) rebuild(r api.EvidenceRebuild) {
	head := fmt.Sprintf("Rebuild of %s to %s, observed by %s", p.when(r.Started), p.when(r.Ended), r.Assessor.Name)
	if r.Carries {
		head = "● " + head
	}
	p.room(rebuildHead)
	if r.Void != nil {
		p.text(struck, head)
		p.text(body, "Struck out on "+p.when(r.Void.At)+" by "+r.Void.By.Name+": "+r.Void.Reason)
	} else {
		p.text(bold, head)
	}
	p.sheets.facts(fact{"Counts", RebuildWords(r)}, fact{"Revision", r.Revision}, fact{"Build", r.Build}, fact{"Put on the record", p.when(r.Recorded)}, fact{"Rebuild", r.ID},
		fact{"SHA-256 of the sheet", r.Digest})
	p.gap(1.5)
	p.found(r)
	p.gap(2)
	for _, s := range r.Signatures {
		p.signature(s)
	}
	if len(r.Signatures) == 0 {
		p.text(body, "Nobody has signed it.")
	}
}

// found is what stands on the sheet: hold points, readings, wrenches, remarks.
func (p *evidencePrint) found(r api.EvidenceRebuild) {
	var holds, readings, wrenches [][]string
	for _, h := range r.Holds {
		text := capital(or(h.Text, h.Step))
		if h.Critical {
			text = "CRITICAL. " + text
		}
		holds = append(holds, []string{text, HoldWords(h), p.kept(h.Kept)})
	}
	p.table([]column{{"Hold point", 0.56, body.at(8.5)}, {"Observed", 0.27, body.at(8.5)}, {"Kept", 0.17, small}}, holds)
	for _, l := range r.Readings {
		readings = append(readings, []string{fmt.Sprint(l.Step), l.What, l.Wanted, ReadingWords(l), l.Wrench})
	}
	if len(readings) > 0 {
		p.gap(2)
		p.table([]column{{"Step", 0.06, small}, {"Reading", 0.29, small}, {"Wanted", 0.23, small}, {"Found", 0.3, small}, {"Wrench", 0.12, small}}, readings)
	}
	for _, w := range r.Wrenches {
		wrenches = append(wrenches, []string{w.ID, w.Done.String(), w.Due.String(), w.Certificate, or(w.Fault, "held on the day")})
	}
	if len(wrenches) > 0 {
		p.gap(2)
		p.table([]column{{"Wrench", 0.2, small}, {"Calibrated", 0.15, small}, {"Due", 0.15, small}, {"Certificate", 0.25, small}, {"Calibration", 0.25, small}}, wrenches)
	}
	if r.Remarks != "" {
		p.gap(1)
		p.text(body, "Remarks: "+r.Remarks)
	}
}

// kept prints when the server kept something, as the sheet has it.
func (p *evidencePrint) kept(text string) string {
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return text
	}
	return p.when(at)
}

// ReadingWords says what was found at a reading, and what is wrong with it.
func ReadingWords(l api.EvidenceReading) string {
	text := or(l.Found, "–")
	if l.Fault != "" {
		text += "; FAULT: " + l.Fault
	}
	if l.Note != "" {
		text += "; " + l.Note
	}
	return text
}

// RebuildWords says whether a rebuild counts, and why it does not.
func RebuildWords(r api.EvidenceRebuild) string {
	text := "yes"
	if r.Void != nil {
		text = "no: it was struck out"
	} else if !r.Counts {
		text = "no: " + or(r.Reason, "it is not complete")
	} else if r.Reason != "" {
		text = "its sheet does, but " + r.Reason
	}
	if r.Partial {
		text += "; only hold points to be observed again after a revision"
	}
	return text
}

// HoldWords says what was observed at a hold point.
func HoldWords(h api.EvidenceHold) string {
	text := string(h.Outcome)
	if h.Outcome == clearance.NotApplicable && h.Condition != "" {
		text += ": " + h.Condition
	}
	if h.Note != "" {
		text += "; " + h.Note
	}
	return text
}

// signature is a stamp: printed name and role, meaning, date and time, and what it
// stands under (21 CFR 11.50).
func (p *evidencePrint) signature(s api.EvidenceSignature) {
	const high = 13.5
	p.room(high + 1.5)
	x, y := p.left(), p.y
	p.SetLineWidth(0.4)
	p.Rect(x, y, p.width(), high, "D")
	p.use(bold.at(9))
	p.Text(x+2, y+4.4, p.fitting("SIGNED: "+string(s.Meaning), p.width()-4))
	p.use(body)
	p.Text(x+2, y+8.4, p.fitting(fmt.Sprintf("%s, %s, %s, entry %d", s.Name, s.Role, p.when(s.At), s.Entry), p.width()-4))
	p.use(plain)
	p.Text(x+2, y+11.9, p.fitting("under "+s.Digest, p.width()-4))
	p.y = y + high + 1.5
}
