package web

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/clearance"
)

// bench is a site on which rebuilds were observed, as far as the crawl's.
func newBench(t *testing.T) *past {
	p := &past{site: newSite(t)}
	p.mine = p.token[api.Technician]
	sit := p.open(p.mine, "energy-isolation", api.Qualifying)
	p.answer(p.mine, sit, allRight)
	p.post("/sittings/"+sit+"/hand-in", p.mine, nil)
	p.observed()
	return p
}

// The pages of rebuilds in a browser, at every width, and a signature by keyboard
// and with scripts off.
func TestRebuildsInABrowser(t *testing.T) {
	p := newBench(t)
	list, err := p.app.Rebuilds(t.Context(), api.Bearer(p.token[api.Trainer]), true)
	p.must(err)
	open := "/rebuilds/" + list.Open[0].ID
	waiting := "/rebuilds/" + list.Finished[0].ID
	b := p.tab()
	b.signIn("the-trai")
	b.looks("/rebuilds", "rebuilds")
	b.looks(open, "sheet-list")
	v, err := p.app.Rebuild(t.Context(), api.Bearer(p.token[api.Trainer]), list.Open[0].ID)
	p.must(err)
	for i, st := range v.Plan.Stations {
		if i < 2 || len(st.Joints) > 0 {
			b.looks(open+"/steps/"+st.Step.ID, "step-"+st.Step.ID)
		}
	}
	b.looks(open+"/times", "times")
	b.looks(open+"/read-over", "read-over")
	for _, f := range list.Finished {
		if !f.Voided.IsZero() {
			b.looks("/rebuilds/"+f.ID, "struck-out")
		} else if !f.Observed.IsZero() {
			b.looks("/rebuilds/"+f.ID, "signed")
		}
	}
	b.looks("/wrenches", "wrenches")
	b.looks("/wrenches/TW-2", "wrench")

	b.signIn("fitter-3")
	b.looks("/rebuilds", "to-sign")
	b.looks(waiting+"/sign/performed", "sign")
	b.do(testenv.NoScripts(), chromedp.Navigate(b.url+waiting+"/sign/performed"), chromedp.SendKeys(chromedp.CSS("[name=password]"), "not-the-password"))
	b.press("form.signing button")
	b.do(chromedp.SendKeys(chromedp.CSS("[name=password]"), password+"\r"), chromedp.WaitVisible(chromedp.CSS(".stamps")))
	after, err := p.app.Rebuild(t.Context(), api.Bearer(p.token[api.Trainer]), list.Finished[0].ID)
	p.must(err)
	if len(after.Signatures) != 1 || after.Signatures[0].Meaning != clearance.Performed || !strings.HasSuffix(after.Signatures[0].Name, "fitter-3") {
		t.Errorf("signed: %+v", after.Signatures)
	}
	b.looks(waiting, "waits-for-assessor")
}
