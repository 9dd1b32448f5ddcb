package paper

import (
	"bytes"
	"image"
	"image/color"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	qrcode "github.com/piglig/go-qr"
	"pgregory.net/rapid"

	"soloright/api"
)

const liveAddress = "https://soloright.works.example/c/abcdefghijklmnopqrstuvwx23"

func sampleCard() api.IssuedCard {
	return api.IssuedCard{Card: api.Card{ID: "cardcardcard", Person: "robin", Procedure: "aodd-air-side", Revision: "C", Until: day("2027-03-15"), Issued: recorded},
		Code: "abcdefghijklmnopqrstuvwx23", Name: "Robin Hæle-Ştefănescu", Title: "Air side of a diaphragm pump"}
}

func printCard(t *testing.T, c api.IssuedCard, address string, size Size) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Card(&b, c, address, size, time.UTC); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheCardSaysWhoWhatAndUntilWhen(t *testing.T) {
	for _, size := range []Size{A4, Letter} {
		pdf := printCard(t, sampleCard(), liveAddress, size)
		keep(t, "card-"+string(size)+".pdf", pdf)
		if n := len(pages(t, pdf)); n != 1 {
			t.Errorf("%s: %d sheets", size, n)
		}
		text := allText(t, pdf)
		for _, want := range []string{"Robin Hæle-Ştefănescu", "Air side of a diaphragm pump", "2027-03-15", "2026-03-20", "WARNING", "Scan for the standing now", liveAddress} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the card lacks %q", size, want)
			}
		}
		if !bytes.Equal(pdf, printCard(t, sampleCard(), liveAddress, size)) {
			t.Errorf("%s: the same card gave other bytes", size)
		}
	}
	long := sampleCard()
	long.Name, long.Title = strings.Repeat("Wilhelmina ", 12), strings.Repeat("Unausprechlich", 20)
	if text := allText(t, printCard(t, long, liveAddress, A4)); !strings.Contains(text, "…") || !strings.Contains(text, "Wilhelmina") {
		t.Errorf("a long name: %s", text)
	}
}

var drawnBox = regexp.MustCompile(`(?m)^([\d.-]+) ([\d.-]+) ([\d.-]+) ([\d.-]+) re ([fS])$`)

// boxes are the rectangles of a page in millimetres from the top left: x, y,
// width, height. Filled ones or outlined ones.
func boxes(t *testing.T, pdf []byte, filled bool) [][4]float64 {
	t.Helper()
	_, h := box(t, pdf)
	var out [][4]float64
	for _, m := range drawnBox.FindAllStringSubmatch(pages(t, pdf)[0], -1) {
		if (m[5] == "f") != filled {
			continue
		}
		n := numbers(t, m[1:5]...)
		const mm = 25.4 / 72
		out = append(out, [4]float64{n[0] * mm, (h - n[1]) * mm, n[2] * mm, -n[3] * mm})
	}
	return out
}

// The outline is two ID-1 cards side by side: 85.60 by 53.98 mm each (ISO/IEC
// 7810, 5.1).
func TestTheCardHasTheSizeOfACard(t *testing.T) {
	for _, size := range []Size{A4, Letter} {
		found := false
		for _, b := range boxes(t, printCard(t, sampleCard(), liveAddress, size), false) {
			found = found || math.Abs(b[2]-2*85.60) < 0.01 && math.Abs(b[3]-53.98) < 0.01
		}
		if !found {
			t.Errorf("%s: nothing on the sheet has the size of two cards", size)
		}
	}
}

// scan paints the filled boxes of a card as an image, as a camera would see them,
// and reads it. A library decodes; what it decodes is what stands on the paper.
func scan(t *testing.T, pdf []byte) (text string, module float64) {
	t.Helper()
	const perMM = 20
	all := boxes(t, pdf, true)
	if len(all) == 0 {
		t.Fatal("the card has no code")
	}
	lowX, lowY, highX, highY := math.Inf(1), math.Inf(1), 0.0, 0.0
	for _, b := range all {
		lowX, lowY, highX, highY = min(lowX, b[0]), min(lowY, b[1]), max(highX, b[0]+b[2]), max(highY, b[1]+b[3])
	}
	module = all[0][3]
	margin := quiet * module
	img := image.NewGray(image.Rect(0, 0, int((highX-lowX+2*margin)*perMM), int((highY-lowY+2*margin)*perMM)))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, b := range all {
		for y := math.Round((b[1] - lowY + margin) * perMM); y < math.Round((b[1]+b[3]-lowY+margin)*perMM); y++ {
			for x := math.Round((b[0] - lowX + margin) * perMM); x < math.Round((b[0]+b[2]-lowX+margin)*perMM); x++ {
				img.SetGray(int(x), int(y), color.Gray{})
			}
		}
	}
	text, err := qrcode.Decode(img)
	if err != nil {
		t.Fatalf("the code on the card does not read: %v", err)
	}
	return text, module
}

// The code that is drawn reads back as the address. Its modules are wide enough
// for a telephone at arm's length: 0.33 mm or more (common practice, no source).
func TestTheCodeOnTheCardReadsBack(t *testing.T) {
	for _, address := range []string{liveAddress, "http://127.0.0.1:8080/c/" + strings.Repeat("q", 26), "https://" + strings.Repeat("long.", 40) + "example/c/" + strings.Repeat("7", 26)} {
		text, module := scan(t, printCard(t, sampleCard(), address, A4))
		if text != address {
			t.Errorf("the code reads %q, want %q", text, address)
		}
		if module < 0.33 {
			t.Errorf("a module of %q is %.2f mm wide", address, module)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		address := "https://" + rapid.StringMatching(`[a-z]{1,20}(\.[a-z]{1,10}){0,3}(:[0-9]{2,5})?`).Draw(r, "host") + "/c/" + rapid.StringMatching(`[a-z2-7]{26}`).Draw(r, "code")
		if text, _ := scan(t, printCard(t, sampleCard(), address, Letter)); text != address {
			r.Fatalf("the code reads %q, want %q", text, address)
		}
	})
}

// The symbol has the fixed patterns of ISO/IEC 18004, 6.3: three position
// detection patterns with their separators, and the timing patterns between them.
func TestTheSymbolIsThatOfTheStandard(t *testing.T) {
	q, err := NewQR(liveAddress)
	if err != nil {
		t.Fatal(err)
	}
	n := q.Size()
	if (n-17)%4 != 0 {
		t.Errorf("%d modules on a side", n)
	}
	for _, at := range [][2]int{{0, 0}, {n - 7, 0}, {0, n - 7}} {
		for y := -1; y <= 7; y++ {
			for x := -1; x <= 7; x++ {
				if at[0]+x < 0 || at[1]+y < 0 || at[0]+x >= n || at[1]+y >= n {
					continue
				}
				ring := max(abs(x-3), abs(y-3)) // 4 is the separator, 2 the light ring
				if got, want := q.Dark(at[0]+x, at[1]+y), ring != 4 && ring != 2; got != want {
					t.Errorf("module %d,%d of the pattern at %v is dark: %v", x, y, at, got)
				}
			}
		}
	}
	for i := 8; i < n-8; i++ {
		if q.Dark(i, 6) != (i%2 == 0) || q.Dark(6, i) != (i%2 == 0) {
			t.Errorf("the timing patterns are broken at %d", i)
		}
	}
	svg := q.SVG(`Code of "A" & <B>`)
	if !strings.Contains(svg, `aria-label="Code of &quot;A&quot; &amp; &lt;B&gt;"`) || strings.Count(svg, "M") != len(q.Runs()) {
		t.Errorf("the drawing: %.200s", svg)
	}
}

func abs(n int) int { return max(n, -n) }
