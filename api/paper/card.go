package paper

import (
	"fmt"
	"io"
	"time"

	"soloright/api"
)

// The size of an ID-1 card, in millimetres (ISO/IEC 7810, 5.1), and how much of it
// stays free at its edges, for the knife.
const (
	cardWide = 85.60
	cardHigh = 53.98
	cardEdge = 4.0
)

// Card writes a wallet card on a sheet to be cut and folded: its front and its
// back side by side, each the size of an ID-1 card, with the fold between them, so
// that both stand upright when it is turned over. The QR code leads to the address.
// The same card gives the same bytes.
func Card(w io.Writer, c api.IssuedCard, address string, size Size, zone *time.Location) error {
	qr, err := NewQR(address)
	if err != nil {
		return err
	}
	block := titleBlock{Type: "Wallet card", Title: c.Name + " – " + c.Title, ID: short(c.Card.ID), Revision: c.Card.Revision, Issued: c.Card.Issued.In(zone).Format(time.DateOnly)}
	return layOut(w, size, block, c.Card.Issued, func(s *sheets) {
		s.use(bold.at(15))
		s.Text(s.left(), s.y+6, "Wallet card")
		s.y += 9
		s.text(body, "Cut along the full line, fold along the broken one, glue. A new card makes this one void; so does revoking it. The card proves nothing: the page behind its code does.")
		s.gap(6)
		wide, _ := s.GetPageSize()
		p := &cardPrint{sheets: s, c: c, zone: zone, x: fileEdge + (wide-fileEdge-edge-2*cardWide)/2}
		p.outline()
		p.front()
		p.back(qr, address)
		s.y += cardHigh + 8
		s.warning()
	})
}

// cardPrint is one card on its way to paper; x is its left edge.
type cardPrint struct {
	*sheets
	c    api.IssuedCard
	zone *time.Location
	x    float64
}

// outline is where to cut and where to fold.
func (p *cardPrint) outline() {
	p.SetLineWidth(0.2)
	p.Rect(p.x, p.y, 2*cardWide, cardHigh, "D")
	p.SetDashPattern([]float64{1.5, 1}, 0)
	p.Line(p.x+cardWide, p.y-3, p.x+cardWide, p.y+cardHigh+3)
	p.SetDashPattern(nil, 0)
}

// front says who, what and until when.
func (p *cardPrint) front() {
	x, y, wide := p.x+cardEdge, p.y+cardEdge, cardWide-2*cardEdge
	p.use(bold.at(7))
	p.Text(x, y+2, "MAY WORK ALONE, WHILE THE LIVE PAGE SAYS SO")
	p.SetLineWidth(0.35)
	p.Line(x, y+3.4, x+wide, y+3.4)
	y += 5
	y = p.block(x, y, wide, bold, 14, p.c.Name)
	p.block(x, y+2, wide, body, 11, p.c.Title)
	foot := p.y + cardHigh - cardEdge
	p.SetLineWidth(0.2)
	p.Line(x, foot-9, x+wide, foot-9)
	for i, f := range []fact{{"Revision", p.c.Card.Revision}, {"Until, that day included", p.c.Card.Until.String()}, {"Issued", p.c.Card.Issued.In(p.zone).Format(time.DateOnly)}} {
		at := x + []float64{0, 0.26, 0.7}[i]*wide
		p.use(small.at(5.5))
		p.Text(at, foot-6.4, f.name)
		p.use(bold.at(10))
		p.Text(at, foot-1.6, p.fitting(f.value, []float64{0.24, 0.42, 0.3}[i]*wide))
	}
}

// block writes a text in at most two lines, smaller where it has to be, and
// returns where it ends.
func (p *cardPrint) block(x, y, wide float64, t style, points float64, text string) float64 {
	t = t.at(points)
	lines := p.lines(t, text, wide)
	for ; len(lines) > 2 && t.points > 6; lines = p.lines(t, text, wide) {
		t.points--
	}
	for i, l := range lines[:min(2, len(lines))] {
		if i == 1 && len(lines) > 2 {
			l += " …"
		}
		p.use(t)
		p.Text(x, y+0.75*t.high(), p.fitting(l, wide))
		y += t.high()
	}
	return y
}

// back has the code, drawn module by module with its light margin.
func (p *cardPrint) back(qr QR, address string) {
	const side = 42.0
	module := side / float64(qr.Size()+2*quiet)
	x, y := p.x+cardWide+2, p.y+(cardHigh-side)/2
	p.SetFillColor(0, 0, 0)
	for _, r := range qr.Runs() {
		p.Rect(x+float64(r.X+quiet)*module, y+float64(r.Y+quiet)*module, float64(r.Width)*module, module, "F")
	}
	at, wide := x+side+1, cardWide-side-2-cardEdge-1
	p.use(bold.at(8))
	end := p.block(at, p.y+8, wide, bold, 8, "Scan for the standing now")
	for _, l := range p.lines(small.at(6.5), fmt.Sprintf("The page says whether the holder may do this alone today. If it does not open, or says that the card is not valid, the holder does not work alone.\n\nCard %s", short(p.c.Card.ID)), wide) {
		end += small.at(6.5).high()
		p.Text(at, end, l)
	}
	p.use(plain.at(4.5))
	p.Text(p.x+cardWide+cardEdge, p.y+cardHigh-2, p.fitting(address, cardWide-2*cardEdge))
}
