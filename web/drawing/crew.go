package drawing

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"
)

// Span is a share from 0 to 1 with its interval. One that is not known is not drawn.
type Span struct {
	Value, Lo, Hi float64
	Known         bool
}

// words are a span as text.
func (s Span) words() string {
	if !s.Known {
		return "not known"
	}
	return fmt.Sprintf("%.0f %%, from %.0f to %.0f %%", 100*s.Value, 100*s.Lo, 100*s.Hi)
}

// CrewCell is one person against one fact.
type CrewCell struct {
	Span
	Theirs bool // the fact is part of the person's work
	Asked  bool
	Short  bool // more likely than not below the level wanted
}

// CrewRow is one fact: its number on the list, what the crew holds, and each person.
type CrewRow struct {
	Number   int
	Crew     Span
	Wanted   float64
	Critical bool
	Cells    []CrewCell
}

// Measures of the crew's drawing, in drawing units.
const (
	crewHead  = 160 // for the names, of 18 letters 8 units wide
	crewGrid  = 150 // where the people begin
	crewPitch = 15
	crewRow   = 26
	crewHigh  = 22 // of a share of 1
)

// Crew draws the crew against the facts as a table of limits: a row for each
// fact, numbered as on its list, with the crew's share in front; a column for each
// person. A line is the 90 % interval, the mark on it the likely share, broken
// where the person was never asked; hatching stands behind a person who more
// likely than not holds less than is wanted. The chain line is the level wanted.
func Crew(rows []CrewRow, names []string) template.HTML {
	var d svg
	w, h := crewGrid+crewPitch*len(names)+8, crewHead+crewRow*len(rows)+4
	d.openWide(w, h, fmt.Sprintf("The crew against the facts: %d facts, %d people. The list below has the numbers in words.", len(rows), len(names)))
	d.raw(`<text x="84" y="%d" text-anchor="middle">crew</text><g transform="rotate(-90)">`, crewHead-8)
	for i, name := range names {
		d.raw(`<text x="%d" y="%d">%s</text>`, 6-crewHead, crewGrid+crewPitch*i+crewPitch/2+4, html.EscapeString(shortName(name)))
	}
	d.raw(`</g>`)
	d.crewFront(rows, w)
	d.crewMarks(rows, len(names))
	return d.close()
}

// openWide begins a figure that is as wide as it is drawn, not as its place.
func (s *svg) openWide(w, h int, label string) {
	s.raw(`<svg class="dw" width="%d" height="%d" viewBox="0 0 %d %d" role="img" aria-label="%s">`, w, h, w, h, html.EscapeString(label))
}

// shortName cuts a name to what stands over a column.
func shortName(name string) string {
	if r := []rune(name); len(r) > 18 {
		return string(r[:17]) + "…"
	}
	return name
}

// crewFront draws what stands in front of the people: the lines between the rows,
// the balloons and the crew's share lying down.
func (d *svg) crewFront(rows []CrewRow, w int) {
	var thin, thick, scale, level, marks track
	d.raw(`<g class="balloon">`)
	for i, r := range rows {
		y := crewHead + crewRow*i
		thin.to(2, y)
		thin.across(w - 6)
		mid := y + crewRow/2
		balloon := &thin
		if r.Critical {
			balloon = &thick
		}
		balloon.to(5, mid)
		balloon.b.WriteString("a11 11 0 1 0 22 0a11 11 0 1 0-22 0")
		d.raw(`<text x="16" y="%d">%d</text>`, mid, r.Number)
		scale.to(34, mid+7)
		scale.across(100)
		level.to(34+hundredth(r.Wanted), mid-8)
		level.down(16)
		if r.Crew.Known {
			marks.to(34+hundredth(r.Crew.Lo), mid)
			marks.across(hundredth(r.Crew.Hi) - hundredth(r.Crew.Lo))
			marks.to(34+hundredth(r.Crew.Value), mid-5)
			marks.down(10)
		}
	}
	d.raw(`</g>`)
	d.tracks(tracked{"thin", &thin}, tracked{"edge1", &thick}, tracked{"thin", &scale}, tracked{"axis", &level}, tracked{"edge1", &marks})
}

func hundredth(v float64) int { return int(math.Round(100 * min(max(v, 0), 1))) }

// lying draws a share along x, w units for a share of 1.
func (d *svg) lying(x, y, w float64, s Span, wanted float64) {
	d.raw(`<path class="thin" d="M%s %sh%s"/>`, num(x), num(y+7), num(w))
	d.raw(`<path class="axis" d="M%s %sv-16"/>`, num(x+w*wanted), num(y+8))
	if s.Known {
		d.raw(`<path class="edge1" d="M%s %sH%sM%s %sv10"/>`, num(x+w*s.Lo), num(y), num(x+w*s.Hi), num(x+w*s.Value), num(y-5))
	}
}

// crewMarks draws all cells as five paths: a page of them has to stay light.
func (d *svg) crewMarks(rows []CrewRow, people int) {
	var band, asked, unasked, marks, level track
	for i, r := range rows {
		base := crewHead + crewRow*(i+1) - 2
		at := func(v float64) int { return base - int(math.Round(crewHigh*min(max(v, 0), 1))) }
		level.to(crewGrid, at(r.Wanted))
		level.across(crewPitch * people)
		for p, c := range r.Cells {
			x := crewGrid + crewPitch*p
			if !c.Theirs || !c.Known {
				continue
			}
			if c.Short {
				band.stretch(x, base-crewHigh/2, crewPitch)
			}
			line := &asked
			if !c.Asked {
				line = &unasked
			}
			line.to(x+crewPitch/2, at(c.Hi))
			line.down(at(c.Lo) - at(c.Hi))
			marks.to(x+crewPitch/2-3, at(c.Value))
			marks.across(6)
		}
	}
	band.stretched()
	d.tracks(tracked{"band", &band}, tracked{"axis", &level}, tracked{"limits", &asked}, tracked{"limits never", &unasked}, tracked{"edge1", &marks})
}

// tracked is a track with the class of its line.
type tracked struct {
	class string
	track *track
}

// tracks draws tracks, those with nothing on them left out.
func (d *svg) tracks(all ...tracked) {
	for _, t := range all {
		if t.track.b.Len() > 0 {
			d.raw(`<path class="%s" d="%s"/>`, t.class, t.track.b.String())
		}
	}
}

// track writes a path in the fewest characters: each move from where it stands.
type track struct {
	b    strings.Builder
	x, y int
	on   bool
	wide int // how far the stretch that is begun reaches; 0: none is
}

// stretch draws a line of some width, joined to the one before where it goes on
// from there.
func (t *track) stretch(x, y, w int) {
	if t.wide > 0 && y == t.y && x == t.x+t.wide {
		t.wide += w
		return
	}
	t.stretched()
	t.to(x, y)
	t.wide = w
}

// stretched ends a stretch.
func (t *track) stretched() {
	if t.wide > 0 {
		t.across(t.wide)
	}
	t.wide = 0
}

func (t *track) to(x, y int) {
	if t.on {
		t.pair('m', x-t.x, y-t.y)
	} else {
		t.pair('M', x, y)
	}
	t.x, t.y, t.on = x, y, true
}

func (t *track) pair(c byte, x, y int) {
	t.b.WriteByte(c)
	fmt.Fprint(&t.b, x)
	if y >= 0 {
		t.b.WriteByte(' ')
	}
	fmt.Fprint(&t.b, y)
}

func (t *track) down(by int) {
	fmt.Fprintf(&t.b, "v%d", by)
	t.y += by
}

func (t *track) across(by int) {
	fmt.Fprintf(&t.b, "h%d", by)
	t.x += by
}

// Limits draws one share lying down, with the level wanted.
func Limits(s Span, wanted float64, what string) template.HTML {
	var d svg
	d.openWide(124, 24, what+": "+s.words())
	d.lying(12, 12, 100, s, wanted)
	return d.close()
}

// GrowthPoint is one month.
type GrowthPoint struct {
	Label string // "2026-03"
	Held  Span
	First Span // of facts met for the first time
}

// Growth draws what is held from month to month: a line is the 90 % interval, a
// mark the likely share; a circle is the proportion right at first meetings. The
// chain line is the level wanted.
func Growth(points []GrowthPoint, wanted float64) template.HTML {
	const left, top, high, pitch = 56.0, 16.0, 160.0, 46.0
	var d svg
	w := left + pitch*float64(max(len(points), 4)) + 10
	d.openWide(int(w), int(top+high)+40, fmt.Sprintf("Growth over %d months; the table below has the numbers.", len(points)))
	at := func(v float64) float64 { return top + high*(1-v) }
	for _, v := range []float64{0, 0.25, 0.5, 0.75, 1} {
		d.line("thin", left-6, at(v), left, at(v))
		d.raw(`<text x="%s" y="%s" text-anchor="end">%.0f %%</text>`, num(left-10), num(at(v)+4), 100*v)
	}
	d.raw(`<path class="edge1" d="M%s %sV%sH%s"/>`, num(left), num(top-6), num(at(0)), num(w-6))
	d.line("axis", left, at(wanted), w-6, at(wanted))
	for i, p := range points {
		x := left + pitch*(float64(i)+0.5)
		d.raw(`<text x="%s" y="%s" text-anchor="middle">%s</text>`, num(x), num(at(0)+18), html.EscapeString(p.Label[min(5, len(p.Label)):]))
		if i == 0 || strings.HasSuffix(p.Label, "-01") {
			d.raw(`<text x="%s" y="%s" text-anchor="middle">%s</text>`, num(x), num(at(0)+34), html.EscapeString(p.Label[:min(4, len(p.Label))]))
		}
		if p.Held.Known {
			d.raw(`<path class="edge1" d="M%s %sV%sM%s %sh14"/>`, num(x), num(at(p.Held.Hi)), num(at(p.Held.Lo)), num(x-7), num(at(p.Held.Value)))
		}
		if p.First.Known {
			d.raw(`<circle class="thin" cx="%s" cy="%s" r="4"/>`, num(x+13), num(at(p.First.Value)))
		}
	}
	return d.close()
}
