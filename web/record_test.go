package web

import (
	"bytes"
	"net/http"
	"strings"
	"testing"

	"soloright/api"
	"soloright/scoring/ledger"
)

// What a safety officer takes from the page of the record is enough to check
// it: the export, the keys and a checkpoint kept from before.
func TestTheOfficersFilesVerify(t *testing.T) {
	s := newSite(t)
	officer := s.token[api.SafetyOfficer]
	kept := s.send(http.MethodGet, "/record/checkpoint", officer, nil).Body.Bytes()
	s.open(s.token[api.Technician], "energy-isolation", api.Practice)
	s.add("later", api.Technician) // the record grows
	keys := strings.Fields(s.send(http.MethodGet, "/record/keys", officer, nil).Body.String())
	export := s.send(http.MethodGet, "/record/export", officer, nil).Body.Bytes()
	older, err := ledger.ParseCheckpoint(kept)
	if err != nil {
		t.Fatal(err)
	}
	report, err := ledger.VerifyExport(bytes.NewReader(export), keys, []ledger.Checkpoint{older}, nil)
	if err != nil {
		t.Errorf("what was taken from the page does not verify: %v", err)
	}
	if report.Size <= older.Size {
		t.Errorf("the record has %d entries, the checkpoint kept from before %d", report.Size, older.Size)
	}
}

func TestOnlyASafetyOfficerTakesTheRecord(t *testing.T) {
	s := newSite(t)
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		for _, path := range []string{"/record", "/record/checkpoint", "/record/keys", "/record/export"} {
			if w := s.send(http.MethodGet, path, s.token[r], nil); w.Code != http.StatusForbidden {
				t.Errorf("%s for a %s: %d, want 403", path, r, w.Code)
			}
		}
	}
}
