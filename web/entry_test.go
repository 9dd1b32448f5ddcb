package web

import (
	"database/sql"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/scoring/ledger"
)

// checkedNow begins a check from the page and waits for its end.
func (s *site) checkedNow(older string) string {
	s.t.Helper()
	officer := s.token[api.SafetyOfficer]
	s.wait(time.Minute) // the one begun last is shown
	if at := s.post("/record/check", officer, url.Values{"older": {older}}); at != "/record#check" {
		s.t.Errorf("a check leads to %s", at)
	}
	for begun := time.Now(); time.Since(begun) < time.Minute; time.Sleep(20 * time.Millisecond) {
		if got := s.text("/record", officer, 200); !strings.Contains(got, "A check is running") {
			return got
		}
	}
	s.t.Fatal("the check does not end")
	return ""
}

func TestTheOfficerChecksTheRecord(t *testing.T) {
	s := newSite(t)
	officer := s.token[api.SafetyOfficer]
	wants(t, "before any check", s.text("/record", officer, 200), "It was not checked from this page yet")
	kept := s.send(http.MethodGet, "/record/checkpoint", officer, nil).Body.String()
	s.wait(time.Hour)
	wants(t, "a sound record", s.checkedNow(""), "● Sound as of 2026-03-02 09:01", "nothing is said about whether the end was cut off", "Begun by "+s.person[api.SafetyOfficer].Name)
	s.add("later", api.Technician)
	wants(t, "with a checkpoint", s.checkedNow(strings.ReplaceAll(kept, "\n", "\r\n")), "● Sound", "The record continues the checkpoint of")
	w := s.send(http.MethodPost, "/record/check", officer, url.Values{"older": {"no <checkpoint>"}})
	if w.Code != 422 || !strings.Contains(w.Body.String(), "no &lt;checkpoint&gt;</textarea>") {
		t.Errorf("no checkpoint: %d", w.Code)
	}
	s.forge("UPDATE people SET role = 'safety officer' WHERE sign_in = 'the-tech'")
	wants(t, "an altered role", s.checkedNow(""), "✕ Not sound", "1 thing does not agree", "The account "+s.person[api.Technician].ID+" was altered: its role")
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		if w := s.send(http.MethodPost, "/record/check", s.token[r], nil); w.Code != http.StatusForbidden && r != api.Technician { // whose role was forged
			t.Errorf("a %s begins a check: %d", r, w.Code)
		}
	}
}

// forge alters the database behind the program's back.
func (s *site) forge(query string) {
	s.t.Helper()
	db, err := sql.Open("sqlite", "file:"+s.folder+"/soloright.db")
	if err != nil {
		s.t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(query); err != nil {
		s.t.Fatal(err)
	}
}

func TestTheOfficerProvesAnEntry(t *testing.T) {
	s := newSite(t)
	officer, tech := s.token[api.SafetyOfficer], s.person[api.Technician]
	if w := s.send(http.MethodGet, "/record/entries?find=2", officer, nil); w.Header().Get("Location") != "/record/entries/2" {
		t.Errorf("a number leads to %q", w.Header().Get("Location"))
	}
	s.post("/register/people/"+tech.ID+"/energy-isolation/suspension", officer, url.Values{"reason": {"a cap was found loose"}})
	wants(t, "entries about a person", s.text("/record/entries?find="+tech.ID, officer, 200), "account.added", "clearance.suspended")
	wants(t, "nothing found", s.text("/record/entries?find=nosuch", officer, 200), "There is no entry nosuch")
	var n string
	for _, a := range elements(parse(t, s.send(http.MethodGet, "/record/entries?find="+tech.ID, officer, nil).Body.Bytes()), "a") {
		if href, _ := attr(a, "href"); strings.HasPrefix(href, "/record/entries/") {
			n = strings.TrimPrefix(href, "/record/entries/")
			break
		}
	}
	wants(t, "the newest", s.text("/record/entries/"+n, officer, 200), "clearance.suspended", tech.ID+": "+tech.Name, "By "+s.person[api.SafetyOfficer].ID+": "+s.person[api.SafetyOfficer].Name)
	text := s.send(http.MethodGet, "/record/entries/"+n+"/proof", officer, nil).Body.Bytes()
	p, err := ledger.ParseInclusion(text)
	if err != nil {
		t.Fatal(err)
	}
	keys := strings.Fields(s.send(http.MethodGet, "/record/keys", officer, nil).Body.String())
	known, err := ledger.ReadKeys(keys...)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Verify(ledger.Known(known[0])); err != nil || strings.Contains(string(p.Entry), tech.Name) {
		t.Errorf("the proof: %v, %s", err, p.Entry)
	}
	for _, path := range []string{"/record/entries/999999", "/record/entries/x", "/record/entries/-1", "/record/entries/999999/proof"} {
		s.text(path, officer, 404)
	}
	for _, path := range []string{"/record/entries", "/record/entries/1", "/record/entries/1/proof"} {
		s.text(path, s.token[api.Trainer], 403)
	}
}
