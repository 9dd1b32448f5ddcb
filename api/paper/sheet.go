package paper

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// titleBlock holds the fields of the title block that stands on each sheet, after
// ISO 7200. Approval is left free: whoever checks the print signs there.
type titleBlock struct {
	Type     string // of document
	Title    string
	ID       string
	Revision string
	Issued   string
	Owner    string // of the record: the name of its ledger
}

// Measures in millimetres. The frame leaves 20 at the left to file the sheet by
// and 10 on the other sides (ISO 5457, 4.2).
const (
	fileEdge  = 20.0
	edge      = 10.0
	inside    = 4.0 // between frame and text
	blockHigh = 17.0
)

// sheets lays text out on framed sheets, one after the other.
type sheets struct {
	*fpdf.Fpdf
	block titleBlock
	of    int // sheets in all; 0 while they are counted
	y     float64
}

// layOut draws the same twice: first to count the sheets, then with their number
// in every title block.
func layOut(w io.Writer, size Size, b titleBlock, at time.Time, draw func(*sheets)) error {
	of := 0
	for range 2 {
		s := &sheets{Fpdf: document(size, b.Type+": "+b.Title, at), block: b, of: of}
		s.next()
		draw(s)
		if of > 0 {
			return finish(s.Fpdf, w)
		}
		of = s.PageNo()
	}
	return nil
}

func (s *sheets) left() float64   { return fileEdge + inside }
func (s *sheets) width() float64  { w, _ := s.GetPageSize(); return w - edge - inside - s.left() }
func (s *sheets) bottom() float64 { _, h := s.GetPageSize(); return h - edge - blockHigh - inside }

// next begins a sheet: frame, zones, title block.
func (s *sheets) next() {
	s.AddPage()
	w, h := s.GetPageSize()
	s.SetDrawColor(0, 0, 0)
	s.SetTextColor(0, 0, 0)
	s.SetLineWidth(0.7)
	s.Rect(fileEdge, edge, w-fileEdge-edge, h-2*edge, "D")
	s.zones(w, h)
	s.titleBlock(w, h)
	s.y = edge + inside
}

// zones are the reference letters and numbers outside the frame (ISO 5457): a
// number for each fourth of the width, a letter for each sixth of the height.
func (s *sheets) zones(w, h float64) {
	s.use(style{sans, "", 6})
	s.SetLineWidth(0.25)
	across, down := (w-fileEdge-edge)/4, (h-2*edge)/6
	for i := range 4 {
		x := fileEdge + float64(i)*across
		if i > 0 {
			s.Line(x, edge-3, x, edge)
			s.Line(x, h-edge, x, h-edge+3)
		}
		s.Text(x+across/2, edge-1, fmt.Sprint(i+1))
		s.Text(x+across/2, h-edge+3, fmt.Sprint(i+1))
	}
	for i, letter := range []string{"A", "B", "C", "D", "E", "F"} {
		y := edge + float64(i)*down
		if i > 0 {
			s.Line(fileEdge-3, y, fileEdge, y)
			s.Line(w-edge, y, w-edge+3, y)
		}
		s.Text(fileEdge-3, y+down/2, letter)
		s.Text(w-edge+1, y+down/2, letter)
	}
}

// titleBlock draws two rows of fields at the foot of the sheet.
func (s *sheets) titleBlock(w, h float64) {
	x, y, width := fileEdge, h-edge-blockHigh, w-fileEdge-edge
	s.SetLineWidth(0.5)
	s.Line(x, y, x+width, y)
	n := fmt.Sprintf("%d/%d", s.PageNo(), s.of)
	s.blockRow(x, y, width, []field{{"Document type", s.block.Type, 0.2}, {"Title", s.block.Title, 0.65}, {"Sheet", n, 0.15}})
	s.blockRow(x, y+blockHigh/2, width, []field{{"Identification", s.block.ID, 0.3}, {"Revision", s.block.Revision, 0.1}, {"As of", s.block.Issued, 0.15},
		{"Owner of the record", s.block.Owner, 0.25}, {"Checked by", "", 0.2}})
}

// field is one of a title block; share is its part of the width.
type field struct {
	label, value string
	share        float64
}

func (s *sheets) blockRow(x, y, width float64, fields []field) {
	s.SetLineWidth(0.25)
	for i, f := range fields {
		w := f.share * width
		if i > 0 {
			s.Line(x, y, x, y+blockHigh/2)
		}
		s.use(style{sans, "", 5.5})
		s.Text(x+1, y+2.4, f.label)
		value := bold.at(8)
		for s.use(value); value.points > 5.5 && s.GetStringWidth(printable(f.value)) > w-2; s.use(value) {
			value.points -= 0.5
		}
		s.Text(x+1, y+6.8, s.fitting(f.value, w-2))
		x += w
	}
	s.Line(fileEdge, y, fileEdge+width, y)
}
