package v1

import (
	"bytes"
	"net/http"
	"strconv"
	"testing"
	"time"

	"soloright/api"
	"soloright/scoring/ledger"
)

// newSigner makes a key for the ledger of a test.
func newSigner(t *testing.T) *ledger.Signer {
	t.Helper()
	key, _, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{7}, 32)), "test.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ledgerSamples are requests about the ledger that are right but for who sends them.
func ledgerSamples() map[string]call {
	return map[string]call{
		"checkpoint":    {path: "/ledger/checkpoint"},
		"ledgerKeys":    {path: "/ledger/keys"},
		"exportLedger":  {path: "/ledger/export"},
		"growth":        {path: "/ledger/growth?from=1"},
		"ledgerEntries": {path: "/ledger/entries?about=1"},
		"proveEntry":    {path: "/ledger/entries/1/proof"},
		"startCheck":    {path: "/ledger/checks", body: CheckCommand{}},
		"lastCheck":     {path: "/ledger/checks/last"},
	}
}

func init() {
	for id := range ledgerSamples() {
		mayNot[id] = api.Trainer
	}
	wrongFields = append(wrongFields, wrongField{"startCheck", `{"older":"not a checkpoint"}`, 422, "older"}, wrongField{"startCheck", `{"newer":"x"}`, 422, "newer"})
}

// begin begins the ledger of the site.
func (s *site) begin() {
	s.t.Helper()
	if err := s.app.BeginLedger(s.t.Context()); err != nil {
		s.t.Fatal(err)
	}
}

// noRecord asks for the ledger as where nothing is on the record yet, and for a
// check where there was none.
func (s *site) noRecord(as string) {
	s.t.Helper()
	s.do(call{method: http.MethodGet, path: "/ledger/checks/last", as: as}, 404)
	s.trouble = api.ErrNoLedger
	defer func() { s.trouble = nil }()
	for _, path := range []string{"/ledger/checkpoint", "/ledger/keys", "/ledger/export", "/ledger/growth?from=1", "/ledger/entries/1/proof"} {
		s.do(call{method: http.MethodGet, path: path, as: as}, 404)
	}
}

// record takes everything that the ledger hands out, and checks it as an auditor
// does: with the public key alone.
func (s *site) record(sitting Sitting) {
	as := s.token[api.SafetyOfficer]
	get := func(path string) []byte {
		s.t.Helper()
		a := s.do(call{method: http.MethodGet, path: path, as: as}, 200)
		return a.body
	}
	s.noRecord(as)
	kept, err := ledger.ParseCheckpoint(get("/ledger/checkpoint"))
	if err != nil {
		s.t.Fatal(err)
	}
	s.add("later", api.Technician) // the record grows
	var keys LedgerKeys
	s.do(call{method: http.MethodGet, path: "/ledger/keys", as: as}, 200).into(&keys)
	key := keys.Keys[0].Verifier
	report, err := ledger.VerifyExport(bytes.NewReader(get("/ledger/export")), []string{key}, []ledger.Checkpoint{kept}, nil)
	if err != nil || report.Size <= kept.Size {
		s.t.Errorf("the export: %v, %d entries after %d", err, report.Size, kept.Size)
	}
	known, err := ledger.ReadKeys(key)
	if err != nil {
		s.t.Fatal(err)
	}
	g, err := ledger.ParseGrowth(get("/ledger/growth?from=" + strconv.FormatInt(kept.Size, 10)))
	if err == nil {
		_, err = g.Verify(kept, ledger.Known(known[0]))
	}
	if err != nil {
		s.t.Errorf("the proof of growth: %v", err)
	}
	var about LedgerEntries
	s.do(call{method: http.MethodGet, path: "/ledger/entries?about=" + sitting.ID, as: as}, 200).into(&about)
	if len(about.Entries) < 2 || about.Entries[0].N < about.Entries[1].N || about.Entries[0].ID != sitting.ID || about.Entries[0].Attrs["by"] == "" {
		s.t.Errorf("entries about the sitting: %+v", about.Entries)
	}
	p, err := ledger.ParseInclusion(get("/ledger/entries/" + sitting.ID + "/proof"))
	if err == nil {
		_, err = p.Verify(ledger.Known(known[0]))
	}
	if err != nil || p.Index != about.Entries[0].N || string(p.Entry) != about.Entries[0].Text {
		s.t.Errorf("the proof of entry %d: %v", p.Index, err)
	}
	s.do(call{method: http.MethodGet, path: "/ledger/entries/nosuch/proof", as: as}, 404)
	for path, field := range map[string]string{"/ledger/growth?from=0": "from", "/ledger/growth?from=x": "from", "/ledger/growth?from=999999": "from", "/ledger/entries": "about"} {
		s.named(call{method: http.MethodGet, path: path, as: as, bad: true}, wrongField{status: 422, fields: field})
	}
	s.checked(as, string(kept.Text))
}

// checked has the record checked beside the requests, against the kept checkpoint.
func (s *site) checked(as, older string) {
	s.t.Helper()
	var c RecordCheck
	s.do(call{method: http.MethodPost, path: "/ledger/checks", as: as, body: CheckCommand{Older: older}}, 202).into(&c)
	for begun := time.Now(); c.Runs && time.Since(begun) < time.Minute; time.Sleep(20 * time.Millisecond) {
		s.do(call{method: http.MethodGet, path: "/ledger/checks/last", as: as}, 200).into(&c)
	}
	if !c.Sound || c.Ended == nil || c.Entries < 10 || c.Records < 10 || c.Older == 0 || len(c.Found) > 0 || c.By != s.person[api.SafetyOfficer].Name {
		s.t.Errorf("the check: %+v", c)
	}
}
