package paper

import (
	"fmt"
	"strings"

	qrcode "github.com/piglig/go-qr"
)

// quiet is the width of the light margin that a reader needs, in modules
// (ISO/IEC 18004, 5.3.8: four times the module on each side).
const quiet = 4

// QR is a QR code symbol of ISO/IEC 18004, as a square of modules.
type QR struct{ code *qrcode.QrCode }

// NewQR encodes a text with error correction level M, which restores about 15 %
// of the symbol; up to some 2 300 characters.
func NewQR(text string) (QR, error) {
	code, err := qrcode.EncodeText(text, qrcode.Medium)
	if err != nil {
		return QR{}, fmt.Errorf("make a QR code: %w", err)
	}
	return QR{code}, nil
}

// Size is the number of modules on a side, without the light margin.
func (q QR) Size() int { return q.code.Size() }

// Dark reports whether the module is dark; x to the right and y down, from 0.
func (q QR) Dark(x, y int) bool { return q.code.Module(x, y) }

// Run is a row of dark modules beside each other.
type Run struct{ X, Y, Width int }

// Runs are the dark modules, row by row: every dark module is in one of them.
func (q QR) Runs() []Run {
	var out []Run
	for y := range q.Size() {
		for x := 0; x < q.Size(); x++ {
			if !q.Dark(x, y) {
				continue
			}
			r := Run{X: x, Y: y}
			for ; x < q.Size() && q.Dark(x, y); x++ {
				r.Width++
			}
			out = append(out, r)
		}
	}
	return out
}

// SVG is the symbol with its light margin as an SVG element that is titled for
// who cannot see it. It has no style; dark and light are of the classes qr-dark
// and qr-light.
func (q QR) SVG(title string) string {
	var b strings.Builder
	side := q.Size() + 2*quiet
	fmt.Fprintf(&b, `<svg class="qr" viewBox="0 0 %d %d" role="img" aria-label="%s" shape-rendering="crispEdges"><rect class="qr-light" width="%d" height="%d"/><path class="qr-dark" d="`,
		side, side, attribute.Replace(title), side, side)
	for _, r := range q.Runs() {
		fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", r.X+quiet, r.Y+quiet, r.Width, r.Width)
	}
	b.WriteString(`"/></svg>`)
	return b.String()
}

var attribute = strings.NewReplacer("&", "&amp;", `"`, "&quot;", "<", "&lt;", ">", "&gt;")
