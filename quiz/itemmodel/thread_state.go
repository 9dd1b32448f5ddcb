package itemmodel

import (
	"regexp"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// threadState asks in which state the threads have to be for the stated torque. The
// wrong answers are other films on the thread: the torque is stated for one of them
// and so for none of the others. A thread whose words fit no film, or two, is not
// asked about.
var threadState = &model{name: "thread-state", version: 1, kinds: []content.FactKind{content.KindThread}, plan: named(planThread)}

// The films of which one does not rule out the other: a coated thread is also clean and
// dry, so neither is a wrong answer where the other is right.
const (
	dry    = 0
	coated = 1
)

// film is what is on a thread. Slip ranks how easily it turns: more slip stretches the
// fastener further at the same torque (T = K·D·F). Ranks: common practice, no source.
type film struct {
	words *regexp.Regexp // what names it in a procedure
	text  string         // how it is offered where no joint of the procedure has it
	slip  int
}

var films = []film{
	dry:    {regexp.MustCompile(`\bdry\b`), "clean and dry, with nothing on them", 0},
	coated: {regexp.MustCompile(`\bcoat(ed|ing)\b|\bplated\b`), "coated as supplied, with nothing added", 3},
	{regexp.MustCompile(`thread ?lock|locking compound`), "with threadlock", 1},
	{regexp.MustCompile(`\boil(ed)?\b`), "oiled", 2},
	{regexp.MustCompile(`\bwax(ed)?\b`), "waxed", 3},
	{regexp.MustCompile(`\bgreased?\b`), "greased", 3},
	{regexp.MustCompile(`anti-?seize|\bpaste\b|molybdenum`), "with anti-seize paste", 4},
}

// without are the words in which a thread is said not to have a film.
var without = regexp.MustCompile(`(free (of|from)|without|no|never|not|degreased)( (any|oil|grease|wax|dry|paste|threadlock|anti-seize|and|or|oiled|greased|waxed))*`)

// filmOf classifies the words of a thread; −1 where they name no film or several.
func filmOf(thread string) int {
	said := strings.NewReplacer("dry-film", "coated", "coated with", "with").Replace(without.ReplaceAllString(strings.ToLower(thread), " "))
	found := -1
	for i, f := range films {
		if f.words.MatchString(said) {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

func planThread(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	own := filmOf(j.Thread)
	if own < 0 {
		return none("the words of its thread name no single film, such as dry, oiled or anti-seize")
	}
	texts := filmTexts(src)
	var wrong []content.Wrong
	for i, text := range texts {
		if i != own && i+own != dry+coated {
			wrong = append(wrong, content.Wrong{Text: text, Because: filmMistake(j.Thread, films[i].slip-films[own].slip)})
		}
	}
	return newChoice(lead, j.Title+": for which state of the threads is the torque stated?", j.Thread, wrong)
}

// filmTexts are the words for each film: those of the procedure's first joint with it,
// else plain ones.
func filmTexts(src *quiz.Source) []string {
	texts := make([]string, len(films))
	for _, j := range src.Procedure.Joints {
		if i := filmOf(j.Thread); i >= 0 && texts[i] == "" {
			texts[i] = j.Thread
		}
	}
	for i := range texts {
		if texts[i] == "" {
			texts[i] = films[i].text
		}
	}
	return slices.Clip(texts)
}

// filmMistake says what a thread with so much more slip does at the stated torque.
func filmMistake(stated string, slip int) string {
	torque := "The torque is stated for threads that are " + stated + ". "
	switch {
	case slip > 0:
		return torque + "These turn more easily: the same torque stretches the fastener further."
	case slip < 0:
		return torque + "These drag more: the same torque clamps less."
	}
	return torque + "Another film clamps differently at the same torque."
}
