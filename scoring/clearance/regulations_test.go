package clearance_test

import (
	"encoding/json"
	"testing"
	"time"

	"soloright/scoring/clearance"
)

// What regulations ask a record to hold, and the field that carries it. A field
// of an act is a path in its JSON; "by" and "at" are the event's own. Where the
// content is required, an event without the field is refused.
//
// Sources: 29 CFR 1910.147(c)(7)(iii) and (iv), 29 CFR 1910.119(g)(3) and 21 CFR
// 11.50 as read in the eCFR; 21 CFR 11.70 and 11.200 from memory. Printed names
// are kept with the accounts, since the record holds ids only: a signer's name is
// the one of the account that the id names.
var contents = []struct {
	source, content string
	kind            clearance.Kind
	field           string
	required        bool
}{
	{"29 CFR 1910.147(c)(7)(iii)(A)", "retraining whenever a procedure changes: what changed", "revision adopted", "changed", false},
	{"29 CFR 1910.147(c)(7)(iii)(A)", "retraining whenever a procedure changes: that this employee was retrained, from which to which revision", "delta sitting marked", "to", true},
	{"29 CFR 1910.147(c)(7)(iii)(B)", "retraining where an inspection shows deviations: what was seen", "suspended", "reason", true},
	{"29 CFR 1910.147(c)(7)(iii)(B)", "retraining where an inspection shows deviations: why work goes on", "reinstated", "reason", true},
	{"29 CFR 1910.147(c)(7)(iii)(C)", "proficiency is reestablished: the outcome", "delta sitting marked", "verdict", true},
	{"29 CFR 1910.147(c)(7)(iv)", "certification that training was accomplished: each employee", "training given", "technician", true},
	{"29 CFR 1910.147(c)(7)(iv)", "certification that training was accomplished: its dates", "training given", "date", true},
	{"29 CFR 1910.147(c)(7)(iv)", "certification that training is kept up to date: its dates", "sitting marked", "handed_in", true},
	{"29 CFR 1910.119(g)(3)", "identity of the employee", "training given", "technician", true},
	{"29 CFR 1910.119(g)(3)", "date of training", "training given", "date", true},
	{"29 CFR 1910.119(g)(3)", "means used to verify that the employee understood: at the training", "training given", "verified", false},
	{"29 CFR 1910.119(g)(3)", "means used to verify that the employee understood: the sitting", "sitting marked", "sitting", true},
	{"29 CFR 1910.119(g)(3)", "means used to verify that the employee understood: the observed rebuild", "rebuild finished", "holds", false},
	{"21 CFR 11.50(a)(1)", "printed name of the signer, by the account", "signed", "signer", true},
	{"21 CFR 11.50(a)(2)", "date and time when the signature was executed", "signed", "at", true},
	{"21 CFR 11.50(a)(3)", "meaning associated with the signature", "signed", "meaning", true},
	{"21 CFR 11.50(b)", "under the same controls as the record, readable: the role as printed", "signed", "role", true},
	{"21 CFR 11.70", "linked to the record so that it cannot be excised or copied to another: the record", "signed", "covers.id", true},
	{"21 CFR 11.70", "linked to the record so that it cannot be excised or copied to another: its digest", "signed", "covers.digest", true},
	{"21 CFR 11.200(a)(1)", "two distinct identification components: the identification code", "signed", "signer", true},
	{"21 CFR 11.200(a)(1)", "two distinct identification components: the one given at signing", "signed", "proof", true},
	{"21 CFR 11.200(a)(1)(i)", "a series of signings: at least the component that only the signer has, each time", "signed", "proof", true},
	{"21 CFR 11.200(a)(1)(ii)", "a signing outside of such a series: all components", "signed", "proof", true},
	{"21 CFR 11.200(a)(2)", "used only by its genuine owner: who was signed in", "signed", "by", false},
}

func TestRegulations(t *testing.T) {
	for _, c := range contents {
		for _, a := range samples() {
			if a.Kind() != c.kind {
				continue
			}
			if value, ok := without(t, a, c.field); !ok || value == nil || value == "" {
				t.Errorf("%s, %s: %q does not carry %s", c.source, c.content, c.kind, c.field)
			} else if c.required && !refused(t, a, c.field) {
				t.Errorf("%s, %s: %q is taken without %s", c.source, c.content, c.kind, c.field)
			}
		}
		if _, _, err := clearance.Encode(sampleOf(c.kind)); err != nil {
			t.Errorf("%s: %v", c.source, err)
		}
	}
}

func sampleOf(k clearance.Kind) clearance.Act {
	for _, a := range samples() {
		if a.Kind() == k {
			return a
		}
	}
	return clearance.AccountAdded{}
}

// object is an event as JSON.
func object(t *testing.T, a clearance.Act) map[string]any {
	t.Helper()
	b, err := json.Marshal(clearance.Event{Seq: 1, At: noon.Add(time.Hour), By: "p3", Act: a})
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// take removes a field and returns what stood there.
func take(event map[string]any, field string) (any, bool) {
	in := event
	if field != "at" && field != "by" {
		in = event["data"].(map[string]any)
	}
	if inner, ok := in["covers"].(map[string]any); ok && len(field) > 7 && field[:7] == "covers." {
		in, field = inner, field[7:]
	}
	v, ok := in[field]
	delete(in, field)
	return v, ok
}

func without(t *testing.T, a clearance.Act, field string) (any, bool) {
	t.Helper()
	return take(object(t, a), field)
}

// refused reports whether an event that lacks the field cannot be recorded.
func refused(t *testing.T, a clearance.Act, field string) bool {
	t.Helper()
	event := object(t, a)
	take(event, field)
	b, err := json.Marshal(event)
	if err != nil {
		t.Fatal(err)
	}
	var e clearance.Event
	return json.Unmarshal(b, &e) != nil || e.Check() != nil
}
