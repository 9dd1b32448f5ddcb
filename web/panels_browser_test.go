package web

import (
	"testing"

	"net/url"

	"soloright/api"
)

// A panel in a browser, as its judge and its chair see it, at every width.
func TestAPanelInABrowser(t *testing.T) {
	s := newSite(t)
	second, two := s.add("second-judge", api.Trainer)
	chair := s.token[api.Trainer]
	at := s.post("/panels", chair, url.Values{"subject": {"mechanical-seal"}, "judge": {s.person[api.Trainer].ID, second.ID}})
	s.rate(at, two, 1, 90)
	b := s.tab()
	b.signIn("the-trai")
	b.looks(at, "panel-to-rate")
	b.looks(at+"/sheets/1", "panel-sheet")
	s.rate(at, chair, 1, 55)
	b.looks(at, "panel-rated")
	s.post(at+"/end", chair, url.Values{"round": {"1"}, "close": {"yes"}})
	b.looks(at, "panel-closed")
	b.looks("/panels", "panels")
}
