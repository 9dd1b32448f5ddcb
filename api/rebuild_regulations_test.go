package api_test

import (
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/scoring/clearance"
)

// What regulations ask a signed record to hold, and where a signature and a sheet
// hold it. The acts' own fields stand in the table of package clearance; printed
// names are kept here, in the signature and on the sheet.
//
// Sources: 21 CFR 11.50 and 29 CFR 1910.119(g)(3) and 1910.147(c)(7)(iv) as read in
// the eCFR; 21 CFR 11.70 and 11.200 from memory.
func TestASignatureHoldsWhatIsAskedOfIt(t *testing.T) {
	y := newYard(t)
	f := y.finished()
	_, err := y.SignRebuild(t.Context(), y.tech, api.SignRebuild{Rebuild: f.ID, Meaning: clearance.Performed, Digest: y.view(y.tech, f.ID).Digest, Password: "not-the-password"})
	wantKind(t, err, api.Invalid)
	y.do(y.sign(y.tech, f, clearance.Performed))
	signed := y.now()
	y.wait(time.Minute)
	y.do(y.sign(y.assessor, f, clearance.Observed))
	name := "Another Name"
	_, err = y.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: y.people[api.Technician].ID, Name: &name})
	y.do(err)
	v := y.view(y.officer, f.ID)
	s, text := v.Signatures[0], v.Text
	was := y.people[api.Technician]
	for _, c := range []struct {
		source, content string
		held            bool
	}{
		{"21 CFR 11.50(a)(1)", "the printed name of the signer, as it was then", s.Name == was.Name},
		{"21 CFR 11.50(a)(2)", "the date and time when the signature was executed, by the server", s.At.Equal(signed) && v.Signatures[1].At.Equal(y.now())},
		{"21 CFR 11.50(a)(3)", "the meaning", s.Meaning == clearance.Performed && v.Signatures[1].Meaning == clearance.Observed},
		{"21 CFR 11.50(b)", "readable with the record", s.Role == api.Technician},
		{"21 CFR 11.70", "linked to its record: the digest of exactly what was shown", s.Covers.ID == f.ID && s.Covers.Digest == v.Digest},
		{"21 CFR 11.200(a)(1)", "two components: without the password nothing was signed, and it is on the record", y.refusals() == 1 && len(v.Signatures) == 2},
		{"29 CFR 1910.119(g)(3)", "identity of the employee", strings.Contains(text, "technician\t"+was.ID+"\t"+was.Name+"\n")},
		{"29 CFR 1910.119(g)(3)", "the date", strings.Contains(text, "started\t2026-03-02T")},
		{"29 CFR 1910.119(g)(3)", "the means used to verify that the employee understood", strings.Contains(text, "hold point\t")},
		{"29 CFR 1910.147(c)(7)(iv)", "each employee's name and dates", strings.Contains(text, "ended\t2026-03-02T")},
	} {
		if !c.held {
			t.Errorf("%s, %s: not held by %+v\n%s", c.source, c.content, s, text)
		}
	}
}
