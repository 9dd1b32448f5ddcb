package api

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

func percentWords(share float64) string { return strconv.Itoa(int(math.Round(100*share))) + " %" }

// crews lists the crews that anybody who is with us belongs to.
func (n names) crews() []string {
	var out []string
	for _, p := range n.people {
		if p.Crew != "" && p.Left.IsZero() && !slices.Contains(out, p.Crew) {
			out = append(out, p.Crew)
		}
	}
	slices.Sort(out)
	return out
}

// rangeWords is a share with its interval.
func rangeWords(f itemstat.Figure) string {
	return fmt.Sprintf("%s (%d to %s)", percentWords(f.Value), int(math.Round(100*f.Lo)), percentWords(f.Hi))
}

// why says in sentences why a line stands where it stands.
func (l LessonLine) why() string {
	var s []string
	s = append(s, fmt.Sprintf("Of %s whose work it is, about %d may hold less than %s of it.", peopleWords(l.People), int(math.Round(l.Short)), percentWords(l.Wanted)))
	if l.Missed == 0 {
		s = append(s, fmt.Sprintf("Nobody missed it in %s.", answersWords(l.Answers)))
	} else {
		s = append(s, fmt.Sprintf("It was missed in %d of %s%s.", l.Missed, answersWords(l.Answers), l.underWords()))
	}
	s = append(s, "The crew holds "+rangeWords(l.Held.Share)+" of it.")
	if l.Critical {
		s = append(s, "It is critical, so it counts "+strconv.Itoa(held.CriticalWeight)+" times.")
	}
	if l.TimesAMonth != 1 {
		s = append(s, "The work comes up "+timesWords(l.TimesAMonth)+".")
	}
	if l.Advice == held.TeachOrItem {
		s = append(s, "Look at the item, too: no other kind of question finds it missed.")
	}
	return strings.Join(s, " ")
}

// underWords says under how many kinds of question a fact was missed.
func (l LessonLine) underWords() string {
	var missed []string
	for _, m := range l.Models {
		if m.Missed > 0 {
			missed = append(missed, ModelWords(m.Model))
		}
	}
	if len(missed) == 1 {
		return ", all under one kind of question (" + missed[0] + ")"
	}
	return fmt.Sprintf(", under %d kinds of question", len(missed))
}

func peopleWords(n int) string {
	if n == 1 {
		return "the one person"
	}
	return strconv.Itoa(n) + " people"
}

func answersWords(n int) string {
	if n == 1 {
		return "1 answer"
	}
	return strconv.Itoa(n) + " answers"
}

// timesWords says how often work comes up, by the month or by the year.
func timesWords(aMonth float64) string {
	if aMonth == math.Trunc(aMonth) {
		return strconv.FormatFloat(aMonth, 'f', -1, 64) + " times a month"
	}
	if year := math.Round(aMonth * 12); year == 1 {
		return "once a year"
	} else {
		return strconv.FormatFloat(year, 'f', -1, 64) + " times a year"
	}
}
