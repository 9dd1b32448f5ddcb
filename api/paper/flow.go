package paper

import "strings"

// style is how text looks.
type style struct {
	family, weight string
	points         float64
}

// The styles. What somebody compares character by character is plain.
var (
	body   = style{sans, "", 9}
	bold   = style{sans, "B", 9}
	struck = style{sans, "BS", 9}
	small  = style{sans, "", 7.5}
	plain  = style{mono, "", 7}
)

func (t style) at(points float64) style { t.points = points; return t }

// high is the height of a line, in millimetres.
func (t style) high() float64 { return t.points * 0.46 }

func (s *sheets) use(t style) { s.SetFont(t.family, t.weight, t.points) }

// fitting cuts a text off where it is too wide, and shows that it did.
func (s *sheets) fitting(text string, width float64) string {
	text = printable(text)
	if s.GetStringWidth(text) <= width {
		return text
	}
	r := []rune(text)
	for len(r) > 0 && s.GetStringWidth(string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// room goes on to the next sheet where less than so much is left on this one; it
// reports whether it did.
func (s *sheets) room(high float64) bool {
	if s.y+high <= s.bottom() {
		return false
	}
	s.next()
	return true
}

// heading is a heading with a line under it, never the last thing on a sheet.
func (s *sheets) heading(text string) {
	if !s.room(34) && s.y > edge+inside {
		s.y += 4
	}
	s.use(bold.at(11))
	s.Text(s.left(), s.y+4, printable(text))
	s.SetLineWidth(0.35)
	s.Line(s.left(), s.y+5.6, s.left()+s.width(), s.y+5.6)
	s.y += 8
}

// lines breaks a text into lines of a width.
func (s *sheets) lines(t style, text string, width float64) []string {
	s.use(t)
	var out []string
	for part := range strings.SplitSeq(printable(strings.TrimRight(text, "\n")), "\n") {
		if split := s.SplitText(part, width); len(split) > 0 {
			out = append(out, split...)
		} else {
			out = append(out, "")
		}
	}
	return out
}

// text writes a paragraph, over the edge of the sheet where it has to.
func (s *sheets) text(t style, text string) {
	for _, l := range s.lines(t, text, s.width()) {
		s.room(t.high())
		s.use(t)
		s.Text(s.left(), s.y+0.75*t.high(), l)
		s.y += t.high()
	}
}

// gap leaves room, but for the top of a sheet.
func (s *sheets) gap(high float64) {
	if s.y > edge+inside {
		s.y += high
	}
}

// fact is a line with its name before it.
type fact struct{ name, value string }

// facts writes lines with their names in a column; one without a value is left out.
func (s *sheets) facts(all ...fact) {
	const names = 38.0
	for _, f := range all {
		if f.value == "" {
			continue
		}
		t := body
		if isDigest(f.value) {
			t = plain.at(7.5)
		}
		for i, l := range s.lines(t, f.value, s.width()-names) {
			s.room(body.high())
			if i == 0 {
				s.use(small)
				s.Text(s.left(), s.y+0.75*body.high(), printable(f.name))
			}
			s.use(t)
			s.Text(s.left()+names, s.y+0.75*body.high(), l)
			s.y += body.high()
		}
	}
}

// isDigest reports whether the text is a SHA-256 in hex.
func isDigest(text string) bool {
	return len(text) == 64 && strings.Trim(text, "0123456789abcdef") == ""
}

// column is a column of a table; share is its part of the width.
type column struct {
	head  string
	share float64
	style style
}

// table writes rows under a head that stands again on each sheet. A row is not
// torn apart unless it is higher than a sheet.
func (s *sheets) table(columns []column, rows [][]string) {
	head := make([]string, len(columns))
	strong := make([]column, len(columns))
	for i, c := range columns {
		head[i], strong[i] = c.head, column{share: c.share, style: bold.at(7.5)}
	}
	s.room(20)
	s.row(strong, head)
	for _, row := range rows {
		if s.room(s.rowHigh(columns, row)) {
			s.row(strong, head)
		}
		s.row(columns, row)
	}
}

func (s *sheets) rowHigh(columns []column, row []string) float64 {
	most := 0.0
	for i, c := range columns {
		most = max(most, float64(len(s.lines(c.style, row[i], c.share*s.width()-2)))*c.style.high())
	}
	return most + 1.6
}

// row writes one row with a thin line under it.
func (s *sheets) row(columns []column, row []string) {
	x, high := s.left(), s.rowHigh(columns, row)
	for i, c := range columns {
		y := s.y + 0.6
		for _, l := range s.lines(c.style, row[i], c.share*s.width()-2) {
			s.Text(x, y+0.75*c.style.high(), l)
			y += c.style.high()
		}
		x += c.share * s.width()
	}
	s.y += high
	s.SetLineWidth(0.13)
	s.Line(s.left(), s.y, s.left()+s.width(), s.y)
}
