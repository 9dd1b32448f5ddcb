package itemmodel

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

// toldBy returns the facts that a text gives away, in the order of the facts:
// those of which all the telling words stand in it. Parts are the parts that the
// text is known to be about; of these the last word of the name will do. It
// rather finds too many: what is shown once too often only keeps two items off
// one form.
func toldBy(src *quiz.Source, text string, parts []string) []content.FactID {
	var out []content.FactID
	t := telltale{src, " " + strings.ToLower(text) + " ", parts}
	for _, f := range src.Index.Facts() {
		if t.tells(f) {
			out = append(out, f.ID)
		}
	}
	return out
}

type telltale struct {
	src   *quiz.Source
	text  string // in lower case
	parts []string
}

func (t telltale) says(words ...string) bool {
	for _, w := range words {
		if w == "" || !strings.Contains(t.text, strings.ToLower(w)) {
			return false
		}
	}
	return true
}

func (t telltale) saysOneOf(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return t.says(w) })
}

// names reports whether the text names the part.
func (t telltale) names(part string) bool {
	p := t.src.Index.Part(part)
	if p == nil {
		return false
	}
	if slices.Contains(t.parts, part) {
		return t.says(p.Name[strings.LastIndex(p.Name, " ")+1:])
	}
	return t.says(p.Name)
}

func (t telltale) tells(f content.Fact) bool {
	ix := t.src.Index
	switch f.Kind {
	case content.KindQuantity:
		n := ix.Part(f.Subject).Quantity
		return n > 1 && t.saysOneOf(" "+strconv.Itoa(n)+" ", " "+numberWord(n)+" ") && t.names(f.Subject)
	case content.KindDisposition:
		return t.saysOneOf("new ", "renew", "refit") && t.names(f.Subject)
	case content.KindSurface, content.KindNever, content.KindGrease:
		return t.tellsSurface(f)
	case content.KindFacing:
		w := ix.Part(f.Subject).Facing
		return (t.says(w.Feature, w.Toward) || t.saysOneOf("either way", "back to", "wrong way", "upside")) && t.names(f.Subject)
	case content.KindSplit:
		return t.says(splitOf(ix, f).Angle.Text())
	case content.KindTools:
		return f.Step != "" && t.saysOneOf(t.toolNames(f.Subject)...)
	case content.KindHold:
		return t.says("assessor") && t.says(ix.Step(f.Subject).Text)
	case content.KindProof:
		return t.says(ix.Energy(f.Subject).Prove)
	case content.KindReturn:
		return t.says(ix.Energy(f.Subject).Returns.Do)
	case content.KindOpening:
		return t.says(ix.Opening(f.Subject).Do)
	}
	return t.tellsNumber(f)
}

func (t telltale) tellsSurface(f content.Fact) bool {
	_, s := t.src.Index.Surface(f.Subject + "/" + f.Sub)
	if s == nil || !t.names(f.Subject) {
		return false
	}
	if f.Kind == content.KindGrease {
		return t.saysOneOf("greas", "lubric", "oil", s.Product)
	}
	return t.saysOneOf(s.Product, s.Words(), "dry")
}

func (t telltale) toolNames(step string) []string {
	s := t.src.Index.Step(step)
	names := make([]string, 0, len(s.Tools))
	for _, id := range s.Tools {
		if tool := t.src.Index.Tool(id); tool != nil {
			names = append(names, tool.Name)
		}
	}
	return names
}

// tellsNumber looks for the numbers of joints, settings, tests and inspections.
func (t telltale) tellsNumber(f content.Fact) bool {
	ix := t.src.Index
	switch f.Kind {
	case content.KindTarget:
		w := ix.Joint(f.Subject).Tighten
		return w.Torque != nil && t.says(w.Torque.Text()) || w.Gap != nil && t.says(w.Gap.Text()) || w.Angle != nil && t.says(w.Angle.Text())
	case content.KindSequence:
		if ix.Joint(f.Subject).Sequence.Rule.Kind == bolting.Circular {
			return t.says("round the circle")
		}
		return t.says("cross")
	case content.KindLoadSteps:
		return t.says(fmt.Sprint(ix.Joint(f.Subject).LoadSteps[0], " %"))
	case content.KindThread:
		return t.says(ix.Joint(f.Subject).Thread)
	case content.KindSetting:
		return t.saysLimit(&ix.Setting(f.Subject).Limit)
	case content.KindTest:
		w := ix.Test(f.Subject)
		return t.says(w.Pressure.Text()) || t.says(w.Hold.Text())
	case content.KindInspection:
		return t.saysLimit(ix.Inspection(f.Subject).Limit)
	}
	return false
}

func (t telltale) saysLimit(l *content.Limit) bool {
	return l != nil && (l.Min != nil && t.says(l.Min.Text()) || l.Max != nil && t.says(l.Max.Text()))
}

func numberWord(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

func splitOf(ix *content.Index, f content.Fact) *content.Split {
	for _, l := range ix.Stack(f.Subject).Layers {
		if l.ID == f.Sub {
			return l.Split
		}
	}
	return nil
}
