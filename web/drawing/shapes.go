package drawing

import "soloright/content"

// section is the upper half of a part's section, the axis lying at y = 0 and the
// part's centre at x = 0; x runs from −30 to 30, y upward from 0 to −46 as SVG
// has it. The feature of a shape looks to the right. The lower half is its
// mirror image. Whole shapes (a ball) are drawn as they are, without mirroring.
type section struct {
	cut   []string // outlines of cut faces; one that ends on the axis is left open there
	seen  []string // visible edges behind the cut
	hatch string   // pattern of the cut faces; "" for shafts, pins and bolts, which ISO 128 does not cut
	whole bool
	face  point // middle of the right-hand face: where marking paint goes
	plain block // the block of an asymmetric shape, for where its way round is not stated
}

// block is the outline that a section lies in, alike from both ends: half its
// length, and its inner and outer radius.
type block struct{ half, in, out float64 }

const (
	metal  = "metal"
	rubber = "rubber"
)

// sections holds one section for each shape of content.Shapes.
var sections = map[content.Shape]section{
	content.ShapeORing: {cut: []string{"M9-30A9 9 0 1 1-9-30A9 9 0 1 1 9-30Z"}, hatch: rubber, face: point{9, -30}},
	content.ShapeCupSeal: {cut: []string{"M-14-16V-40L-10-42L16-46V-40L-4-36V-22L16-18V-12L-10-15Z"},
		seen: []string{"M16-18V-40"}, hatch: rubber, face: point{16, -43}, plain: block{16, 12, 46}},
	content.ShapeLipSeal: {cut: []string{"M-14-44H12V-39H-8V-28L10-16L6-11L-14-24Z"},
		seen: []string{"M10-16V-39", "M8-21A3.5 3.5 0 1 1 1-21A3.5 3.5 0 1 1 8-21Z"}, hatch: rubber, face: point{12, -41}, plain: block{14, 11, 44}},
	content.ShapeBush: {cut: []string{"M-20-20L-18-22H18L20-20V-32L18-34H-18L-20-32Z"}, seen: []string{"M-20-20V0M20-20V0"}, hatch: metal, face: point{20, -27}},
	content.ShapeRetainingRing: {cut: []string{"M-9-10Q-10-30 8-45L13-44Q-3-30-3-10Z"},
		seen: []string{"M13-44V-40M-3-10V0M-9-10V0", "M4-41L9-38M-1-36L4-33"}, hatch: metal, face: point{2, -28}, plain: block{13, 10, 45}},
	content.ShapeGasket: {cut: []string{"M-4-14H4V-45H-4Z"}, seen: []string{"M-4-14V0M4-14V0"}, hatch: rubber, face: point{4, -30}},
	content.ShapePin:    {cut: []string{"M-28 0V-8L-26-10H12V-17H24V0"}, face: point{24, -14}, plain: block{28, 0, 17}},
	content.ShapeSpool: {cut: []string{"M-28 0V-26H-16V-12H0V-26H12V-10H27V0"},
		seen: []string{"M-16-12V0M0-12V0M12-10V0"}, face: point{12, -18}, plain: block{28, 0, 26}},
	content.ShapePlate:     {cut: []string{"M-6-8V-45H0Q9-45 9-37V-34Q3-34 3-28V-8Z"}, seen: []string{"M-6-8V0M3-8V0"}, hatch: metal, face: point{4, -20}, plain: block{9, 8, 45}},
	content.ShapeDiaphragm: {cut: []string{"M-7-6V-22Q13-29-7-36V-46H-2V-39Q23-29-2-19V-6Z"}, seen: []string{"M-7-6V0M-2-6V0"}, hatch: rubber, face: point{8, -28}, plain: block{13, 6, 46}},
	content.ShapeBall:      {seen: []string{"M26 0A26 26 0 1 1-26 0A26 26 0 1 1 26 0Z"}, whole: true, face: point{24, -8}},
	content.ShapeSeat:      {cut: []string{"M-11-26L-4-17H4L11-26V-42H-11Z"}, seen: []string{"M-11-26V0M11-26V0M-4-17V0M4-17V0"}, hatch: metal, face: point{11, -34}},
	content.ShapeCap:       {cut: []string{"M-20 0V-44H18V-36H-10V0"}, seen: []string{"M18-36V0"}, hatch: metal, face: point{18, -40}, plain: block{20, 0, 44}},
	content.ShapeHousing:   {cut: []string{"M-26-12H0V-26H26V-46H-26Z"}, seen: []string{"M-26-12V0M26-26V0M0-12V0"}, hatch: metal, face: point{26, -36}, plain: block{26, 12, 46}},
	content.ShapeRod:       {cut: []string{"M-30 0V-11H30V0"}, face: point{30, -5.5}},
	content.ShapeBolt:      {cut: []string{"M-28 0V-8L-26-10H8V-18H24V0"}, seen: []string{"M-24-7.500H4"}, face: point{24, -14}, plain: block{28, 0, 18}},
	content.ShapeNut:       {cut: []string{"M-11-9V-22H11V-9Z"}, seen: []string{"M-11-9V0M11-9V0"}, hatch: metal, face: point{11, -15.5}},
	content.ShapeWasher:    {cut: []string{"M-4-10V-28H4V-10Z"}, seen: []string{"M-4-10V0M4-10V0"}, hatch: metal, face: point{4, -19}},
	content.ShapeSpring: {cut: []string{"M-16-26A5 5 0 1 1-26-26A5 5 0 1 1-16-26Z", "M-2-26A5 5 0 1 1-12-26A5 5 0 1 1-2-26Z", "M12-26A5 5 0 1 1 2-26A5 5 0 1 1 12-26Z", "M26-26A5 5 0 1 1 16-26A5 5 0 1 1 26-26Z"},
		hatch: metal, face: point{26, -26}},
	content.ShapeSealFace: {cut: []string{"M-16-16V-42H4V-34H14V-24H4V-16Z"}, seen: []string{"M-16-16V0M14-24V0"}, hatch: metal, face: point{14, -29}, plain: block{16, 16, 42}},
	content.ShapeSleeve:   {cut: []string{"M-27-13V-20H27V-13Z"}, seen: []string{"M-27-13V0M27-13V0"}, hatch: metal, face: point{27, -16.5}},
	content.ShapeFlange:   {cut: []string{"M-28-12V-22L-8-24V-45H12V-32H17V-12Z"}, seen: []string{"M17-12V0M-28-12V0"}, hatch: metal, face: point{17, -22}, plain: block{28, 12, 45}},
	content.ShapeOther:    {cut: []string{"M-16-8V-36H16V-8Z"}, seen: []string{"M-16-8V0M16-8V0"}, hatch: metal, face: point{16, -22}},
}

// part draws a part's section with its centre at the origin: flipped where its
// feature looks left, with a dab of paint on that face where it is marked. Where
// it is not said which way round the part goes ("") an asymmetric shape is drawn
// as a block with a cross, as simplified drawings of seals have it (ISO 9222-1),
// so that no way round is shown that nobody states.
func (s *svg) part(shape content.Shape, toward string, mirrored, mark bool) {
	sec, ok := sections[shape]
	if !ok {
		sec = sections[content.ShapeOther]
	}
	turn := ""
	if looksLeft(toward) != mirrored {
		turn = ` transform="scale(-1 1)"`
	}
	s.raw(`<g data-part%s>`, turn)
	if toward == "" && sec.plain.half > 0 {
		s.block(sec.plain)
	} else {
		s.whole(sec)
	}
	if mark {
		s.raw(`<path class="solid" d="M%s %sh5v10h-5z"/>`, num(sec.face.x), num(sec.face.y-5))
	}
	s.raw(`</g>`)
}

// whole draws both halves of a section.
func (s *svg) whole(sec section) {
	s.half(sec)
	if sec.whole {
		return
	}
	s.raw(`<g transform="scale(1 -1)">`)
	s.half(sec)
	s.raw(`</g>`)
}

// block draws the outline of a section, each half with a cross that does not
// touch its edges.
func (s *svg) block(b block) {
	for _, side := range []float64{-1, 1} {
		in, out := side*b.in, side*b.out
		s.raw(`<path class="ground" d="M%[1]s %[2]sH%[3]sV%[4]sH%[1]sZ"/><path class="cut" fill="none" d="M%[1]s %[2]sH%[3]sV%[4]sH%[1]sZ"/>`, num(-b.half), num(in), num(b.half), num(out))
		x, y1, y2 := b.half*.7, in+(out-in)*.15, in+(out-in)*.85
		s.raw(`<path class="thin" d="M%s %sL%s %sM%s %sL%s %s"/>`, num(-x), num(y1), num(x), num(y2), num(-x), num(y2), num(x), num(y1))
	}
}

func (s *svg) half(sec section) {
	for _, d := range sec.seen {
		s.raw(`<path class="edge1" d="%s"/>`, d)
	}
	fill := "none"
	if sec.hatch != "" {
		fill = "url(#" + sec.hatch + ")"
	}
	for _, d := range sec.cut {
		s.raw(`<path class="ground" d="%[1]s"/><path class="cut" fill="%[2]s" d="%[1]s"/>`, d, fill)
	}
}

// axis draws the chain line of an axis.
func (s *svg) axis(x1, x2, y float64) { s.line("axis", x1, y, x2, y) }
