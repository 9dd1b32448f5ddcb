package drawing

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"
)

// Every bar says its numbers, the key is named in words, and what people wrote is
// escaped: it reads as XML.
func TestChoices(t *testing.T) {
	svg := string(Choices("who took what", []Taken{
		{Text: "towards the <centre> & back", Right: true, Offered: [3]int{10, 11, 12}, Taken: [3]int{2, 5, 11}},
		{Text: strings.Repeat("a very long answer ", 12), Offered: [3]int{10, 11, 12}, Taken: [3]int{0, 0, 0}},
		{Text: "nobody was offered this", Taken: [3]int{}},
	}))
	for _, want := range []string{"Key: towards", "2 of 10", "11 of 12", "0 of 0", "lower", "upper", `aria-label="who took what"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("the drawing lacks %q", want)
		}
	}
	wellFormed(t, svg)
	wellFormed(t, string(Interval("74 %", 0.6, 0.74, 0.85)))
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
	}
}
