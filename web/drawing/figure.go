package drawing

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"soloright/quiz"
)

// Figure draws what stands above the options: the bore of a stack, or the joint,
// with the answer so far. It is empty where the options carry the drawing.
func Figure(s quiz.Sheet, a quiz.Answer) template.HTML {
	switch f := s.Figure; {
	case f == nil:
		return ""
	case f.Stack != nil:
		return stack(f.Stack, s, a)
	case f.Joint != nil:
		return joint(f.Joint, s.Interaction, a)
	}
	return ""
}

// Option draws one option or row: in a facing figure the part in its
// surrounding, elsewhere the part's section alone; nothing where it is not drawn.
func Option(s quiz.Sheet, o quiz.Option) template.HTML {
	if o.Drawn == nil {
		return ""
	}
	if s.Figure != nil && s.Figure.Facing != nil {
		return facing(s.Figure, *o.Drawn)
	}
	var d svg
	d.open(72, 104, o.Text)
	d.raw(`<g transform="translate(36 52)">`)
	d.part(o.Drawn.Shape, o.Drawn.Toward, false, o.Drawn.Mark)
	d.axis(-34, 34, 0)
	d.raw(`</g>`)
	return d.close()
}

// looksLeft: in a facing figure a feature looks left or right; in a stack the far
// end is drawn on the left, so "in" is to the left.
func looksLeft(toward string) bool { return toward == "left" || toward == "in" }

// facing draws a part between the two labelled ends of its surrounding.
func facing(f *quiz.Figure, p quiz.Drawn) template.HTML {
	var d svg
	d.open(360, 176+16*more(168, f.Facing.Left, f.Facing.Right), quiz.DrawnWords(f, p))
	d.raw(`<path class="paper" d="M10 14H350V30H10Z"/><path class="edge1" fill="url(#body)" d="M10 14H350V30H10Z"/>`)
	d.raw(`<path class="paper" d="M10 130H350V146H10Z"/><path class="edge1" fill="url(#body)" d="M10 130H350V146H10Z"/>`)
	d.raw(`<g transform="translate(180 80)">`)
	d.raw(`<g transform="scale(1.080)">`)
	d.part(p.Shape, p.Toward, false, p.Mark)
	d.raw(`</g>`)
	d.axis(-172, 172, 0)
	d.raw(`</g>`)
	d.raw(`<path class="thin" d="M70 80H24M34 75L24 80L34 85M290 80H336M326 75L336 80L326 85"/>`)
	d.text(10, 166, "start", f.Facing.Left, 168)
	d.text(350, 166, "end", f.Facing.Right, 168)
	return d.close()
}

// pitch is the distance from layer to layer in a drawn stack.
const pitch = 62.0

// stack draws a bore or a rod with a slot for each layer; slot 1 is the first
// that goes in, at the far end. Scripts fill the slots.
func stack(f *quiz.StackFigure, s quiz.Sheet, a quiz.Answer) template.HTML {
	w := 80 + pitch*float64(f.Places)
	var d svg
	d.open(int(w), 160+16*more(int(w/2)-20, f.Far, f.From), fmt.Sprintf("A %s in section. Far end: %s. Layers go in from: %s.", f.In, f.Far, f.From))
	d.body(f, w)
	left, right := f.Far, f.From
	if f.Mirrored {
		left, right = right, left
	}
	d.raw(`<g data-bore>`)
	for i := range f.Places {
		d.slot(f, s, a, i, w)
	}
	d.raw(`</g>`)
	d.axis(4, w-4, 70)
	d.text(14, 150, "start", left, int(w/2)-20)
	d.text(w-14, 150, "end", right, int(w/2)-20)
	return d.close()
}

// body draws the bore or the rod, closed at the far end: on the left, or on the
// right where the figure is mirrored.
func (d *svg) body(f *quiz.StackFigure, w float64) {
	path := fmt.Sprintf("M14 24H28V62H%[1]sV78H28V116H14Z", num(w-14))
	if f.In == "bore" {
		path = fmt.Sprintf("M14 12H%[1]sV26H28V114H%[1]sV128H14Z", num(w-14))
	}
	turn := ""
	if f.Mirrored {
		turn = fmt.Sprintf(` transform="translate(%s 0) scale(-1 1)"`, num(w))
	}
	d.raw(`<g%s><path class="ground" d="%[2]s"/><path class="edge1" fill="url(#body)" d="%[2]s"/></g>`, turn, path)
}

// slot draws place i of a stack: what lies there already, what the answer puts
// there, or nothing yet.
func (d *svg) slot(f *quiz.StackFigure, s quiz.Sheet, a quiz.Answer, i int, w float64) {
	x := 28 + pitch*(float64(i)+.5)
	if f.Mirrored {
		x = w - x
	}
	d.raw(`<g data-slot="%d" transform="translate(%s 70)">`, i+1, num(x))
	switch {
	case i < len(f.Placed):
		if p := f.Placed[i].Drawn; p != nil {
			d.part(p.Shape, p.Toward, f.Mirrored, p.Mark)
		}
	case s.Interaction.Kind == quiz.Order && i < len(a.Options):
		for _, o := range s.Interaction.Options {
			if o.ID == a.Options[i] && o.Drawn != nil {
				d.part(o.Drawn.Shape, o.Drawn.Toward, f.Mirrored, o.Drawn.Mark)
			}
		}
	}
	d.raw(`</g>`)
}

// reach is how far from the centre the furthest fastener is drawn.
const reach = 156.0

// joint draws a joint from the side of its fasteners. Each fastener carries its
// letter, and room for its number in the order of tightening.
func joint(f *quiz.JointFigure, in quiz.Interaction, a quiz.Answer) template.HTML {
	const size, centre = 440, 220.0
	pts, apart := spread(f, reach)
	r := math.Min(24, apart*.47)
	var d svg
	d.openLive(size, size, f.Title+", seen from the side of the fasteners")
	d.raw(`<g transform="translate(%s %s)">`, num(centre), num(centre))
	d.outline(f, pts, r)
	d.line("axis", -206, 0, 206, 0)
	d.line("axis", 0, -206, 0, 206)
	for i, p := range pts {
		o := fastenerOf(f, in, i)
		place, done := "", ""
		if n := orderOf(f, o, i, a); n > 0 {
			place, done = fmt.Sprint(n), " done"
		}
		d.fastener(o, p, r, place, done, f.Start != "" && f.Start == o.ID, apart/2)
	}
	d.raw(`</g>`)
	return d.close()
}

// fastenerOf is the option at a place, counted from 0, or where the fasteners are
// not the options their label alone.
func fastenerOf(f *quiz.JointFigure, in quiz.Interaction, place int) quiz.Option {
	if len(f.Labels) > place {
		return quiz.Option{Text: f.Labels[place]}
	}
	return in.Options[place]
}

// orderOf is when a fastener is tightened: by the figure, or by the answer so far; 0
// where it is not.
func orderOf(f *quiz.JointFigure, o quiz.Option, place int, a quiz.Answer) int {
	if n := slices.Index(f.Tight, place+1); n >= 0 {
		return n + 1
	}
	if len(f.Labels) > 0 {
		return 0
	}
	return slices.Index(a.Options, o.ID) + 1
}

// fastener draws one fastener as a hexagon head with its letter beside it. It may
// be tapped as far as half the way to the next one.
func (d *svg) fastener(o quiz.Option, p point, r float64, place, done string, start bool, half float64) {
	away := math.Hypot(p.x, p.y)
	ux, uy := 0.0, -1.0
	if away > 1 {
		ux, uy = p.x/away, p.y/away
	}
	if o.ID == "" {
		d.raw(`<g class="fastener%s">`, done)
	} else {
		d.raw(`<g data-option="%s" class="fastener%s"><circle class="hit" cx="%s" cy="%s" r="%s"/>`, o.ID, done, num(p.x), num(p.y), num(math.Min(34, half)))
	}
	d.raw(`<circle class="paper edge1" cx="%s" cy="%s" r="%s"/>`, num(p.x), num(p.y), num(r))
	d.raw(`<path class="thin" d="%s"/>`, hexagon(p, r*.8))
	if start {
		d.raw(`<circle class="thin" cx="%s" cy="%s" r="%s"/>`, num(p.x), num(p.y), num(r+4))
	}
	d.raw(`<text class="place" x="%s" y="%s">%s</text></g>`, num(p.x), num(p.y), place)
	d.raw(`<text class="place letter" x="%s" y="%s">%s</text>`, num(p.x+ux*(r+15)), num(p.y+uy*(r+15)), template.HTMLEscapeString(o.Text))
}
