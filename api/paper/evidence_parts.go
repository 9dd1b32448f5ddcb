package paper

import (
	"fmt"
	"strings"

	"soloright/api"
	"soloright/scoring/clearance"
)

// PolicyWords says in one sentence what a policy asks for.
func PolicyWords(q clearance.Policy) string {
	sign := "technician and assessor sign"
	if q.Officer {
		sign += ", a safety officer approves"
	}
	apart := "without a wait between"
	if q.WaitDays > 0 {
		apart = count(q.WaitDays, "day", "days") + " apart"
	}
	return fmt.Sprintf("%d %% of the marks; %s, %s, before training is due; %s; %s; valid for %s, notice from %s before; %s of grace after a revision; nobody assesses within %s of training the technician",
		q.Cut, count(q.Tries, "try", "tries"), apart, count(q.Rebuilds, "observed rebuild", "observed rebuilds"), sign, count(q.Months, "month", "months"),
		count(q.NoticeDays, "day", "days"), count(q.GraceDays, "day", "days"), count(q.TrainingWindow, "day", "days"))
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprint(n, " ", more)
}

// SittingWords says what a sitting is and what became of it.
func SittingWords(s api.EvidenceSitting) (what, result string) {
	what = capital(string(s.Mode)) + " sitting"
	if s.Confirms != "" {
		what = "Confirming step"
	}
	if s.Build != "" {
		what += ", build " + s.Build
	}
	if s.TimeUp {
		what += ", time up"
	}
	switch {
	case s.Marking == 0:
		result = "not marked"
	case s.Final != "" && s.Final != s.Verdict:
		result = s.Verdict + ", then " + s.Final
	default:
		result = s.Verdict
	}
	if s.Void != nil {
		result += "; STRUCK OUT"
	}
	return what, result
}

// MarksWords says how many marks a sitting has.
func MarksWords(s api.EvidenceSitting) string {
	if s.Marking == 0 {
		return ""
	}
	text := fmt.Sprintf("%d %% (%s of %d)", s.Percent, s.Total, s.Items)
	if s.Cut > 0 {
		text += fmt.Sprintf(", cut %d %%", s.Cut)
	}
	if s.Critical > 0 {
		text += ", " + count(s.Critical, "critical fact", "critical facts") + " missed"
	}
	return text
}

func (p *evidencePrint) sittings() {
	p.heading("Sittings")
	if len(p.e.Sittings) == 0 {
		p.text(body, "None is on the record.")
	}
	for _, s := range p.e.Sittings {
		what, result := SittingWords(s)
		if s.Carries {
			what = "● " + what
		}
		p.room(36)
		head := bold
		if s.Void != nil {
			head = struck
		}
		p.text(head, what+", handed in "+p.when(s.HandedIn)+": "+result)
		if s.Remarked != "" {
			p.text(body, fmt.Sprintf("Marked again, the %d. time: %s", s.Marking, s.Remarked))
		}
		if s.Void != nil {
			p.text(body, "Struck out on "+p.when(s.Void.At)+" by "+s.Void.By.Name+": "+s.Void.Reason)
		}
		p.sheets.facts(fact{"Marks", MarksWords(s)}, fact{"Revision, rules", fmt.Sprintf("%s, marked %s by rules %d", s.Revision, p.when(s.Marked), s.Rules)}, fact{"Sitting", s.ID},
			fact{"SHA-256 of the form", s.Form}, fact{"… its blueprint", s.Blueprint}, fact{"… the answers", s.Answers}, fact{"… the outcome", s.Outcome})
		p.gap(2)
	}
	if len(p.e.Sittings) > 0 {
		p.text(small, "● The standing rests on it.")
	}
}

func (p *evidencePrint) facts() {
	p.heading("Facts missed and relearned")
	if len(p.e.Facts) == 0 {
		p.text(body, "None was missed.")
		return
	}
	var rows [][]string
	for _, f := range p.e.Facts {
		var missed []string
		for _, at := range f.Missed {
			missed = append(missed, p.day(at))
		}
		text, right := capital(f.Text), p.day(f.Right)
		if f.Critical {
			text = "CRITICAL. " + text
		}
		if right == "" {
			right = "not asked again"
		}
		rows = append(rows, []string{text, strings.Join(missed, "\n"), right})
	}
	p.table([]column{{"Fact", 0.66, body.at(8.5)}, {"Missed", 0.15, small}, {"Right again", 0.19, small}}, rows)
}

func (p *evidencePrint) read() {
	if len(p.e.Read) == 0 {
		return
	}
	p.heading("Facts read and signed for")
	for _, r := range p.e.Read {
		p.room(24)
		p.text(bold, p.when(r.At)+": "+ReadWords(r)+fmt.Sprintf(", entry %d", r.Entry))
		for i := range r.Facts {
			p.text(body, "– "+capital(or(r.Texts[i], string(r.Facts[i]))))
		}
		p.sheets.facts(fact{"SHA-256 of what was shown", r.Digest})
		p.gap(1.5)
		for _, s := range r.Signatures {
			p.signature(s)
		}
	}
}

// ReadWords says what was read.
func ReadWords(r api.EvidenceRead) string {
	if r.Removed {
		return "no longer stated by revision " + r.Revision
	}
	return "added or changed by revision " + r.Revision + ", asked by no question"
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (p *evidencePrint) acts() {
	p.heading("What else bears on it")
	if len(p.e.Acts) == 0 {
		p.text(body, "Nothing is on the record.")
		return
	}
	var rows [][]string
	for _, a := range p.e.Acts {
		what := a.What
		if s := a.Signature; s != nil {
			what += fmt.Sprintf("\nSIGNED: %s, %s, %s, %s, entry %d", s.Meaning, s.Name, s.Role, p.when(s.At), s.Entry)
		}
		rows = append(rows, []string{p.when(a.At), what, a.By.Name, fmt.Sprint(a.Entry)})
	}
	p.table([]column{{"When", 0.18, small}, {"What", 0.52, body.at(8.5)}, {"By", 0.2, small}, {"Entry", 0.1, small}}, rows)
}
