package web

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"net/http/httptest"
	"net/url"
	"regexp"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"soloright/api"
	"soloright/api/testenv"
)

// tab is a browser in front of the site.
type tab struct {
	t   *testing.T
	ctx context.Context
	url string
}

func (s *site) tab() tab {
	s.t.Helper()
	server := httptest.NewServer(s.engine)
	s.t.Cleanup(server.Close)
	return tab{s.t, testenv.Browser(s.t), server.URL}
}

func (b tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func (b tab) press(sel string) {
	b.t.Helper()
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(sel))); err != nil {
		b.t.Fatalf("press %s: %v", sel, err)
	}
}

func (b tab) signIn(name string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.url+"/sign-in"), chromedp.SendKeys(chromedp.CSS("[name=sign_in]"), name), chromedp.SendKeys(chromedp.CSS("[name=password]"), password))
	b.press("main form button")
}

func (b tab) number(js string) int {
	b.t.Helper()
	n, err := chromedp.Run(b.ctx, chromedp.Evaluate[int](js))
	if err != nil {
		b.t.Fatal(err)
	}
	return n
}

// wide is by how many pixels a page is wider than its window.
const wide = `Math.max(0, document.documentElement.scrollWidth - document.documentElement.clientWidth)`

// touchable counts what stands alone, is to be touched and is less than 44 px high.
const touchable = `[...document.querySelectorAll("button, .button, main td > a:only-child, select, textarea, summary, input:not([type=hidden])")].filter(e => { const r = e.getBoundingClientRect(); return r.width > 1 && r.height < 43.5; }).length`

// looks opens a page at each width; nothing may be wider than the window or too
// small for a glove.
func (b tab) looks(path, name string) {
	b.t.Helper()
	for _, width := range []int{testenv.Phone, testenv.Tablet, testenv.Desk} {
		b.do(testenv.Viewport(width), chromedp.Navigate(b.url+path))
		if over := b.number(wide); over > 0 {
			b.t.Errorf("%s is %d px too wide at %d", path, over, width)
		}
		if small := b.number(touchable); small > 0 {
			b.t.Errorf("%s has %d things too small to touch at %d", path, small, width)
		}
		b.picture(fmt.Sprintf("%s-%d", name, width))
	}
}

func (b tab) picture(name string) {
	if f := flag.Lookup("test.artifacts"); f != nil && f.Value.String() == "true" {
		testenv.Screenshot(b.ctx, b.t, name)
	}
}

// print prints the page on paper of a size in inches and returns the file.
func (b tab) print(width, height float64) []byte {
	b.t.Helper()
	var out []byte
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		r, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: width, PaperHeight: height})
		out = r.Data
		return err
	}))
	return out
}

var aPage = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// onPaper shows the page as it is printed on paper of a width in pixels.
func (b tab) onPaper(width int64, on bool) {
	b.t.Helper()
	media := map[bool]string{true: "print", false: ""}[on]
	b.do(chromedp.EmulateViewport(width, 1000), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media})
		return err
	}))
}

// The register in a browser: at every width, by night, and on paper.
func TestTheRegisterInABrowser(t *testing.T) {
	s := newSite(t)
	officer := s.token[api.SafetyOfficer]
	s.post("/register/people/"+s.person[api.Trainer].ID+"/flanged-joint/suspension", officer, url.Values{"reason": {"a gasket was used twice, and the flange was pulled up round the circle"}})
	s.post("/register/people/"+s.person[api.Trainer].ID+"/energy-isolation/suspension", officer, url.Values{"reason": {"a lock was found on the wrong valve"}})
	s.post("/register/people/"+s.person[api.Trainer].ID+"/energy-isolation/withdrawal", officer, url.Values{"reason": {"a lock was found on the wrong valve"}})
	var crew []string
	for i := range 55 {
		p, err := s.app.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: fmt.Sprintf("hand-%d", i), Name: fmt.Sprintf("Rowan Underwood-Fairweather %d", i), Role: api.Technician, Crew: "nights"})
		if err != nil {
			t.Fatal(err)
		}
		crew = append(crew, p.ID)
	}
	for _, id := range crew {
		s.cleared(id, s.person[api.Trainer].ID, "mechanical-seal")
	}
	s.cleared(s.person[api.Technician].ID, s.person[api.SafetyOfficer].ID, "energy-isolation")
	b := s.tab()
	b.signIn("the-safe")
	trail := "/register/people/" + s.person[api.Technician].ID + "/energy-isolation"
	for path, name := range map[string]string{"/register": "register", "/register/cover?days=400": "cover", "/register/signers?procedure=mechanical-seal": "signers", trail: "trail",
		"/register/people/" + s.person[api.Trainer].ID + "/energy-isolation": "trail-withdrawn"} {
		b.looks(path, name)
	}
	b.looks("/record", "record")
	b.looks("/record/entries/9", "entry")
	b.looks("/record/entries?find="+s.person[api.Trainer].ID, "entries")
	b.paper("/register")
	b.do(chromedp.Navigate(b.url + "/"))
	b.press(".strip form button")
	b.signIn("the-tech")
	b.looks("/", "bench")
}

// paper prints the register on A4 and on Letter: a head on each page, nothing
// beyond the edge, nothing of what only works on a screen.
func (b tab) paper(path string) {
	b.t.Helper()
	b.do(testenv.Viewport(testenv.Desk), chromedp.Navigate(b.url+path))
	for name, size := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
		file := b.print(size[0], size[1])
		pages := len(aPage.FindAll(file, -1))
		if !bytes.HasPrefix(file, []byte("%PDF-")) || pages < 2 || pages > 5 {
			b.t.Errorf("%s: %d bytes with %d pages of 50 lines", name, len(file), pages)
		}
		const margins = 2 * 12 / 25.4 // inches
		b.onPaper(int64((size[0]-margins)*96), true)
		if over := b.number(wide); over > 0 {
			b.t.Errorf("on %s the register is %d px too wide", name, over)
		}
		if left := b.number(`[...document.querySelectorAll("form, button, nav, .button")].filter(e => e.getBoundingClientRect().height > 0).length`); left > 0 {
			b.t.Errorf("on %s %d buttons and forms are printed", name, left)
		}
		if head := b.number(`getComputedStyle(document.querySelector("thead")).display === "table-header-group" ? 1 : 0`); head != 1 {
			b.t.Errorf("on %s the head of the table does not come again on each page", name)
		}
		b.picture("paper-" + name)
		b.onPaper(testenv.Desk, false)
	}
}
