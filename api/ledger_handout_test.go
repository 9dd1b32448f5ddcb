package api_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/ledger"
)

// What either database hands out is found out where it is cut short, where entries
// in it changed places, are missing or were altered, and where another key signed it.
func TestExportsOfBothDatabases(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { exports(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { exports(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

func exports(t *testing.T, s *site) {
	s.history()
	var b bytes.Buffer
	at, err := s.ExportLedger(t.Context(), s.role(api.SafetyOfficer), &b, func(int64, int64) {})
	s.do(err)
	text, keys := b.String(), []string{signer(t, 1).Verifier()}
	if k, err := s.LedgerKeys(t.Context(), s.role(api.SafetyOfficer)); err != nil || k.Current() != keys[0] {
		keys[0] = k.Current()
	}
	verify := func(text string, keys []string) error {
		_, err := ledger.VerifyExport(strings.NewReader(text), keys, nil, nil)
		return err
	}
	if err := verify(text, keys); err != nil || at.Size < 10 {
		t.Fatalf("as it came, %d entries: %v", at.Size, err)
	}
	entries := strings.SplitAfter(text, "soloright entry ")
	third, fourth := body(entries[3]), body(entries[4])
	for name, c := range map[string]struct {
		text string
		keys []string
		want string
	}{
		"cut in the middle":   {text[:len(text)/2], keys, "export is cut short"},
		"cut by one byte":     {text[:len(text)-1], keys, "export is cut short"},
		"without its head":    {text[strings.Index(text, "\n")+1:], keys, "not an export"},
		"an entry altered":    {strings.Replace(text, third, strings.Replace(third, "20", "21", 1), 1), keys, "Entry 2 was altered"},
		"two entries swapped": {strings.NewReplacer(third, fourth, fourth, third).Replace(text), keys, "Entries 2 and 3 have changed places"},
		"another key asked":   {text, []string{signer(t, 9).Verifier()}, "another key"},
	} {
		err := verify(c.text, c.keys)
		var all *ledger.Unsound
		var one *ledger.Defect
		if !errors.As(err, &all) && !errors.As(err, &one) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// body is an entry's text, up to the empty line after it.
func body(text string) string {
	first, _, _ := strings.Cut(text, "\n\n")
	return first
}
