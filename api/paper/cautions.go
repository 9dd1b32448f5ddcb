package paper

import "codeberg.org/go-pdf/fpdf"

// cautions stand on every print about a procedure.
var cautions = []string{
	"Isolate, lock out and prove zero energy before any joint is opened.",
	"Bleed air and process pressure. Drain and flush. Treat the air side as contaminated until you know.",
	"Read the safety data sheet of what was pumped. Wear the protective equipment it asks for.",
	"Follow the maker’s manual, local codes and licensed practice where they say otherwise.",
	"This record says what was answered, observed and signed. It does not make work safe.",
}

// warning writes the cautions in a frame with the sign and the signal word of
// ISO 3864: a triangle with an exclamation mark.
func (s *sheets) warning() {
	high := 9 + float64(len(cautions))*body.high()
	s.room(high + 2)
	s.gap(3)
	x, y := s.left(), s.y
	s.SetLineWidth(0.5)
	s.Rect(x, y, s.width(), high, "D")
	s.SetFillColor(249, 168, 0) // ISO 3864-4: safety colour yellow, about RAL 1003
	s.Polygon([]fpdf.PointType{{X: x + 2, Y: y + 6.6}, {X: x + 8, Y: y + 6.6}, {X: x + 5, Y: y + 1.4}}, "FD")
	s.use(bold.at(8))
	s.Text(x+4.4, y+6, "!")
	s.use(bold.at(11))
	s.Text(x+10, y+5.6, "WARNING")
	s.y = y + 8
	for _, c := range cautions {
		s.use(body)
		s.Text(x+3, s.y+0.75*body.high(), s.fitting("– "+c, s.width()-5))
		s.y += body.high()
	}
	s.y = y + high + 2
}
