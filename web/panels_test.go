package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"soloright/api"
)

// panelled has three trainers rate in two panels: one found a cut in two rounds,
// one is open with a judge's ratings in.
func (p *past) panelled() {
	second, two := p.add("second-judge", api.Trainer)
	third, _ := p.add("third-judge", api.Trainer)
	chair := p.token[api.Trainer]
	judges := []string{p.person[api.Trainer].ID, second.ID, third.ID}
	done := p.post("/panels", chair, url.Values{"subject": {"mechanical-seal"}, "judge": judges})
	p.rate(done, chair, 1, 80)
	p.rate(done, two, 1, 95)
	p.post(done+"/end", chair, url.Values{"round": {"1"}, "note": {"the <seal> faces"}})
	p.rate(done, two, 2, 85)
	p.post(done+"/end", chair, url.Values{"round": {"2"}, "close": {"yes"}})
	p.post(done+"/adoption", p.token[api.SafetyOfficer], nil)
	open := p.post("/panels", chair, url.Values{"subject": {"flanged-joint/b8"}, "judge": judges})
	p.rate(open, two, 1, 60)
}

// ratingsOf is a form of ratings, all the same.
func (s *site) ratingsOf(panel, token string, round, percent int) url.Values {
	s.t.Helper()
	all, err := s.app.Panel(s.t.Context(), api.Bearer(token), strings.TrimPrefix(panel, "/panels/"))
	if err != nil {
		s.t.Fatal(err)
	}
	form := url.Values{"round": {strconv.Itoa(round)}}
	for n := range all.Panel.Items {
		form.Set(fmt.Sprintf("p%d", n+1), strconv.Itoa(percent))
	}
	return form
}

func (s *site) rate(panel, token string, round, percent int) {
	s.t.Helper()
	s.post(panel+"/ratings", token, s.ratingsOf(panel, token, round, percent))
}

// values are what stands in the boxes of a page, by name.
func values(doc *html.Node) map[string]string {
	out := map[string]string{}
	for _, in := range elements(doc, "input") {
		name, _ := attr(in, "name")
		out[name], _ = attr(in, "value")
	}
	return out
}

// A trainer opens a panel, mistypes, mends, sees the others only then; the officer
// adopts what it found.
func TestAPanelOnPaper(t *testing.T) {
	s := newSite(t)
	second, two := s.add("second-judge", api.Trainer)
	chair, officer := s.token[api.Trainer], s.token[api.SafetyOfficer]
	w := s.send(http.MethodPost, "/panels", chair, url.Values{"subject": {"mechanical-seal"}, "judge": {second.ID}})
	if doc := parse(t, w.Body.Bytes()); w.Code != http.StatusUnprocessableEntity || !strings.Contains(textOf(doc), "two judges or more") {
		t.Errorf("one judge: %d %s", w.Code, textOf(doc))
	}
	at := s.post("/panels", chair, url.Values{"subject": {"mechanical-seal"}, "judge": {s.person[api.Trainer].ID, second.ID}})
	form := s.ratingsOf(at, chair, 1, 80)
	form.Set("p2", "eighty")
	form.Set("p3", "120")
	form.Set("p4", " 75 % ")
	w = s.send(http.MethodPost, at+"/ratings", chair, form)
	doc := parse(t, w.Body.Bytes())
	if got := values(doc); w.Code != http.StatusUnprocessableEntity || got["p2"] != "eighty" || got["p3"] != "120" || got["p1"] != "80" {
		t.Errorf("what was typed is lost: %d, %v", w.Code, got)
	}
	wrong := 0
	for _, in := range elements(doc, "input") {
		if _, is := attr(in, "aria-invalid"); is {
			wrong++
		}
	}
	if wrong != 2 || !strings.Contains(textOf(doc), "2 ratings are no whole number") {
		t.Errorf("%d boxes are marked", wrong)
	}
	form.Set("p2", "90")
	form.Set("p3", "70")
	s.post(at+"/ratings", chair, form)
	if text := textOf(s.page(at, two)); strings.Contains(text, "Sum, round 1") || !strings.Contains(text, "once your own ratings are in") {
		t.Error("the second judge sees what the first one said")
	}
	if csv := s.send(http.MethodGet, at+"/csv", two, nil).Body.String(); strings.Count(csv, "\n") != 1 {
		t.Errorf("the table shows it: %.200s", csv)
	}
	s.rate(at, two, 1, 90)
	has(t, "the panel", s.page(at, two), "Sum, round 1", "more", "less", "Your ratings of this round are in")
	s.post(at+"/end", chair, url.Values{"round": {"1"}, "close": {"yes"}})
	doc = s.page(at, officer)
	has(t, "the panel", doc, "The cut: 85 %", "Adopt 85 %", "Standard error")
	if strings.Contains(textOf(doc), "Right: ") {
		t.Error("the officer is shown keys")
	}
	s.post(at+"/adoption", officer, nil)
	has(t, "the panel", s.page(at, officer), "on this panel’s word")
	has(t, "the policy", s.page("/policy?procedure=mechanical-seal", officer), "Cut score: 80 → 85", "The panel that found the cut")
	if !strings.Contains(s.send(http.MethodGet, "/policy?procedure=mechanical-seal", officer, nil).Body.String(), `href="`+at+`"`) {
		t.Error("the policy does not lead to its panel")
	}
	has(t, "the policy", s.page("/policy?procedure=mechanical-seal", s.token[api.Technician]), "A panel of trainers found the cut")
	lines := strings.Split(strings.TrimSpace(s.send(http.MethodGet, at+"/csv", chair, nil).Body.String()), "\r\n")
	if len(lines) < 40 || !strings.HasSuffix(lines[4], ",75") || !slices.Contains(strings.Split(lines[0], ","), "percent") {
		t.Errorf("%d lines, the fourth sheet %q", len(lines), lines[4])
	}
	if s.send(http.MethodGet, at+"/sheets/1", officer, nil).Code != http.StatusNotFound || s.send(http.MethodGet, at+"/sheets/99", chair, nil).Code != http.StatusNotFound {
		t.Error("a sheet that is not there, or not for an officer, is shown")
	}
}
