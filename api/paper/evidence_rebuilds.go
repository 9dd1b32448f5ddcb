package paper

import (
	"fmt"

	"soloright/api"
	"soloright/scoring/clearance"
)

func (p *evidencePrint) rebuilds() {
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
	p.room(30)
	p.text(bold, head)
	p.sheets.facts(fact{"Counts", RebuildWords(r)}, fact{"Revision", r.Revision}, fact{"Build", r.Build}, fact{"Put on the record", p.when(r.Recorded)}, fact{"Rebuild", r.ID},
		fact{"SHA-256 of the sheet", r.Digest})
	p.gap(1.5)
	var rows [][]string
	for _, h := range r.Holds {
		text := capital(or(h.Text, h.Step))
		if h.Critical {
			text = "CRITICAL. " + text
		}
		rows = append(rows, []string{text, HoldWords(h)})
	}
	p.table([]column{{"Hold point", 0.7, body.at(8.5)}, {"Observed", 0.3, body.at(8.5)}}, rows)
	if r.Sheet != "" {
		p.gap(2)
		p.text(bold.at(8), "The sheet as it was shown for signing: readings, wrenches, notes")
		p.text(plain, r.Sheet)
	}
	p.gap(2)
	for _, s := range r.Signatures {
		p.signature(s)
	}
	if len(r.Signatures) == 0 {
		p.text(body, "Nobody has signed it.")
	}
}

// RebuildWords says whether a rebuild counts, and why it does not.
func RebuildWords(r api.EvidenceRebuild) string {
	text := "yes"
	if !r.Counts {
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
	if h.Outcome == clearance.NotApplicable && h.Condition != "" {
		return string(h.Outcome) + ": " + h.Condition
	}
	return string(h.Outcome)
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
