package web

import (
	"image"
	"image/color"
	_ "image/png" // as the browser takes its pictures
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	qrcode "github.com/piglig/go-qr"

	"soloright/api"
	"soloright/api/testenv"
)

// The evidence, a card and the page behind its code, at every width; what the
// browser draws of the code reads back as its address.
func TestTheEvidenceInABrowser(t *testing.T) {
	s := newSite(t)
	tech, token := s.person[api.Technician], s.token[api.Technician]
	failed := s.open(token, "energy-isolation", api.Qualifying)
	s.post("/sittings/"+failed+"/hand-in", token, nil)
	s.post("/sittings/"+failed+"/void", s.token[api.SafetyOfficer], url.Values{"reason": {"sat at the wrong bench, by mistake"}})
	s.walked(tech.ID, token, "energy-isolation")
	s.issued(token, tech.ID)
	b := s.tab()
	b.signIn("the-tech")
	at := "/evidence/" + tech.ID + "/energy-isolation"
	b.looks(at, "evidence")
	b.do(chromedp.Evaluate[chromedp.Void](`for (const d of document.querySelectorAll("details")) d.open = true`))
	b.picture("evidence-opened")
	if over := b.number(wide); over > 0 {
		t.Errorf("opened, the evidence is %d px too wide", over)
	}
	for _, width := range []int{testenv.Desk, testenv.Tablet, testenv.Phone} {
		b.do(testenv.Viewport(width), chromedp.Navigate(b.url+at))
		b.press(`form[action$="/cards"] button`)
		if over, small := b.number(wide), b.number(touchable); over+small > 0 {
			t.Errorf("the card at %d: %d px too wide, %d things too small", width, over, small)
		}
		b.picture("card-" + map[int]string{testenv.Desk: "1400", testenv.Tablet: "820", testenv.Phone: "390"}[width])
	}
	address, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.querySelector(".address").textContent`))
	if err != nil {
		t.Fatal(err)
	}
	live, ok := strings.CutPrefix(address, b.url)
	if !ok {
		t.Errorf("the card leads to %s, and the site is %s", address, b.url)
	}
	if got := b.scanned(); got != address {
		t.Errorf("the code reads %q, want %q", got, address)
	}
	b.do(chromedp.Navigate(b.url + "/"))
	b.press(".strip form button") // nobody is signed in
	b.looks(live, "live")
	b.looks("/c/nothing", "live-not-valid")
}

// scanned reads the code that the page shows, as the browser drew it.
func (b tab) scanned() string {
	b.t.Helper()
	shot, err := chromedp.Run(b.ctx, chromedp.Screenshot(chromedp.CSS(".qr")))
	if err != nil {
		b.t.Fatal(err)
	}
	img, _, err := image.Decode(strings.NewReader(string(shot)))
	if err != nil {
		b.t.Fatal(err)
	}
	// Only the code: ink or paper, nothing in between.
	flat := image.NewGray(img.Bounds())
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			if g := color.GrayModel.Convert(img.At(x, y)).(color.Gray); g.Y > 127 {
				flat.SetGray(x, y, color.Gray{Y: 255})
			}
		}
	}
	text, err := qrcode.Decode(flat)
	if err != nil {
		b.t.Fatalf("the code on the page does not read: %v", err)
	}
	return text
}
