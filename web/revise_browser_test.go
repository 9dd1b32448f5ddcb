package web

import (
	"net/url"
	"testing"

	"soloright/api"
	"soloright/quiz"
)

// The pages about revisions, policies and assessing as they are seen, at three
// widths: nothing wider than its window, nothing too small for a glove.
func TestHowThePagesOfARevisionLook(t *testing.T) {
	s := newSite(t)
	p := &past{site: s, mine: s.token[api.Technician]}
	p.revised()
	pass := s.open(p.mine, seal, api.Qualifying)
	s.answer(p.mine, pass, func(int, quiz.Item) bool { return true })
	s.post("/sittings/"+pass+"/hand-in", p.mine, nil)
	s.post("/procedures/"+seal+"/withdrawal", s.token[api.SafetyOfficer], url.Values{"reason": {"the maker recalls the seal faces of this batch"}})
	s.post("/procedures/"+seal+"/revisions/N1/adoption", s.token[api.SafetyOfficer], nil)
	b := s.tab()
	b.signIn("the-trai")
	b.looks("/procedures/"+seal+"/catch-up", "catch-up")
	b.press("form[action='/sign-out'] button")
	b.signIn("the-safe")
	for path, name := range map[string]string{"/procedures/" + seal + "/revisions": "revisions", "/procedures/" + seal + "/revisions/N2/adoption": "adoption", "/policy?procedure=" + seal: "policy",
		"/trainings": "trainings", "/appointments": "appointments", "/exceptions": "exceptions", "/people": "people", "/procedures/" + seal: "procedure"} {
		b.looks(path, name)
	}
}
