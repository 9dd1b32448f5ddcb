package paper

import (
	"fmt"
	"io"
	"slices"
	"sync"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// Size is a size of paper.
type Size string

// The sizes.
const (
	A4     Size = "A4"
	Letter Size = "Letter"
)

// ParseSize reads a size as an address has it; "" is A4.
func ParseSize(text string) (Size, error) {
	switch text {
	case "", "a4":
		return A4, nil
	case "letter":
		return Letter, nil
	}
	return "", fmt.Errorf("%q is no size of paper; it is a4 or letter", text)
}

const (
	sans = "sans"
	mono = "mono"
)

// document begins a PDF whose bytes follow from what is drawn on it: its dates
// are those given, its catalogs are sorted, and its fonts are those of the
// program, of which only the characters in use go in.
func document(size Size, title string, at time.Time) *fpdf.Fpdf {
	d := fpdf.New(fpdf.OrientationPortrait, fpdf.UnitMillimeter, string(size), "")
	d.SetCatalogSort(true)
	d.SetCreationDate(at.UTC())
	d.SetModificationDate(at.UTC())
	d.SetTitle(printable(title), true)
	d.SetCreator("Soloright", true)
	d.SetLang("en")
	// The library writes into the bytes of a font while it takes characters out, so
	// each document has a copy: else the next one would get other widths.
	d.AddUTF8FontFromBytes(sans, "", slices.Clone(goregular.TTF))
	d.AddUTF8FontFromBytes(sans, "B", slices.Clone(gobold.TTF))
	d.AddUTF8FontFromBytes(mono, "", slices.Clone(gomono.TTF))
	d.SetAutoPageBreak(false, 0)
	d.SetMargins(0, 0, 0)
	d.SetCellMargin(0)
	return d
}

// finish writes the document out.
func finish(d *fpdf.Fpdf, w io.Writer) error {
	if err := d.Output(w); err != nil {
		return fmt.Errorf("make a PDF: %w", err)
	}
	return nil
}

var glyphs = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil // then nothing is taken for printable
	}
	return f
})

// printable replaces every character that the fonts cannot draw by a square: a
// PDF would leave it out, and nobody would see that something is missing. They
// draw Latin, Greek and Cyrillic.
func printable(s string) string {
	var b sfnt.Buffer
	out := make([]rune, 0, len(s))
	for _, r := range s {
		if r == '\n' || drawn(&b, r) {
			out = append(out, r)
		} else {
			out = append(out, '□')
		}
	}
	return string(out)
}

func drawn(b *sfnt.Buffer, r rune) bool {
	f := glyphs()
	if f == nil || r > 0xFFFF {
		return false
	}
	i, err := f.GlyphIndex(b, r)
	return err == nil && i != 0
}
