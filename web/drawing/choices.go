package drawing

import (
	"fmt"
	"html"
	"html/template"
)

// Taken is one answer of [Choices]: how many of each score group it was offered to
// and how many of them took it.
type Taken struct {
	Text    string
	Right   bool
	Offered [3]int
	Taken   [3]int
}

// choiceWide is the width of the scale of [Choices] in drawing units, from 0 to 100 %.
const choiceWide = 300

// Choices draws who took which answer: for each answer a bar for each score group,
// lower, middle and upper third, on one scale. The right answer's bars are cut
// through (hatched), the wrong ones' are outlines, and every bar says its numbers.
func Choices(label string, all []Taken) template.HTML {
	const left, bar, step = 62.0, 13.0, 20.0
	wide := int(left) + choiceWide + 70
	var s svg
	high := 26.0
	for _, t := range all {
		high += 18*float64(1+more(wide, keyed(t))) + 3*step + 12
	}
	s.open(wide, int(high), label)
	s.scale(left, high)
	y := 30.0
	for _, t := range all {
		s.text(2, y+10, "start", keyed(t), wide)
		y += 18 * float64(1+more(wide, keyed(t)))
		for g, name := range []string{"lower", "middle", "upper"} {
			s.bar(left, y, bar, t, g, name)
			y += step
		}
		y += 12
	}
	return s.close()
}

// keyed is the text of an answer, the right one named as the key.
func keyed(t Taken) string {
	if t.Right {
		return "Key: " + t.Text
	}
	return t.Text
}

// scale draws the scale with a line at each quarter.
func (s *svg) scale(left, high float64) {
	for i := range 5 {
		x := left + float64(i)*choiceWide/4
		s.line("thin", x, 20, x, high-6)
		s.text(x, 14, "middle", fmt.Sprintf("%d %%", 25*i), 60)
	}
}

func (s *svg) bar(left, y, high float64, t Taken, g int, name string) {
	share := 0.0
	if t.Offered[g] > 0 {
		share = float64(t.Taken[g]) / float64(t.Offered[g])
	}
	class := "barwrong"
	if t.Right {
		class = "barright"
	}
	s.raw(`<text class="barname" x="%s" y="%s" text-anchor="end">%s</text>`, num(left-6), num(y+high-2), html.EscapeString(name))
	s.raw(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, num(left), num(y), num(share*choiceWide), num(high))
	s.raw(`<text class="barname" x="%s" y="%s">%d of %d</text>`, num(left+share*choiceWide+6), num(y+high-2), t.Taken[g], t.Offered[g])
}

// Interval draws a share from 0 to 1 with its interval on a dimension line.
func Interval(label string, lo, value, hi float64) template.HTML {
	const wide, middle = 120.0, 9.0
	var s svg
	s.open(int(wide)+8, 18, label)
	at := func(x float64) float64 { return 4 + wide*x }
	s.line("thin", at(0), middle, at(1), middle)
	s.line("thin", at(0), middle-4, at(0), middle+4)
	s.line("thin", at(1), middle-4, at(1), middle+4)
	s.line("edge1", at(lo), middle, at(hi), middle)
	s.raw(`<circle class="point" cx="%s" cy="%s" r="4"/>`, num(at(value)), num(middle))
	return s.close()
}
