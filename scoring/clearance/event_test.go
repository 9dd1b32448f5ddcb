package clearance_test

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/scoring/clearance"
)

var digest = strings.Repeat("0f", 32)

func date(s string) content.Date {
	d, err := content.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// shownDigest is the SHA-256 of "hazard/x is stated no more" (sha256sum).
const shownDigest = "589a9dd14e3a24ce2fc59489ddf134637ff20231804fe6ab8cdb96525fbe80a8"

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// samples holds one act of each kind with every field filled.
func samples() []clearance.Act {
	return []clearance.Act{
		clearance.AccountAdded{Person: "p1", Role: "technician"},
		clearance.RoleSet{Person: "p1", Role: "trainer"},
		clearance.PersonLeft{Person: "p1", Reason: "moved to another site"},
		clearance.PersonBack{Person: "p1"},
		clearance.RevisionAdopted{Procedure: "q", Revision: "B", Previous: "A", Changed: []content.FactID{"facing/seal"}, Removed: []content.FactID{"hazard/x"},
			Observe: []clearance.ObserveAgain{{Fact: "facing/seal", Hold: "seal-in"}}, Prerequisites: []string{"r"}},
		clearance.ProcedureWithdrawn{Procedure: "q", Reason: "the machine is scrapped"},
		clearance.PolicySet{Procedure: "q", Policy: clearance.DefaultPolicy(), Panel: "pa1"},
		clearance.SittingMarked{Sitting: "s1", Person: "p1", Procedure: "q", Revision: "A", HandedIn: noon, Verdict: clearance.Passed, Confirming: "s2", Digest: digest},
		clearance.SittingRemarked{Sitting: "s1", Verdict: clearance.Failed, Reason: "a key was wrong"},
		clearance.SittingVoided{Sitting: "s1", Reason: "somebody else sat"},
		clearance.DeltaMarked{Sitting: "s3", Person: "p1", Procedure: "q", From: "A", To: "B", HandedIn: noon, Verdict: clearance.Passed, Digest: digest, Facts: []content.FactID{"facing/seal"}},
		clearance.RemovedRead{Person: "p1", Procedure: "q", Revision: "B", Facts: []content.FactID{"hazard/x"}, Digest: shownDigest, Shown: "hazard/x is stated no more", Reading: "rd1"},
		clearance.RebuildFinished{Rebuild: "r1", Technician: "p1", Assessor: "p2", Procedure: "q", Revision: "A", Build: "small", Started: noon.Add(-time.Hour), Ended: noon,
			Holds: []clearance.HoldRecord{{Step: "h", Outcome: clearance.NotApplicable, Conditional: true, Critical: true, Condition: "no relief valve"}}, InTolerance: true, InCalibration: true, Partial: true, Digest: digest},
		clearance.RebuildVoided{Rebuild: "r1", Reason: "the wrench was out"},
		clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: "r1", Digest: digest}, Signer: "p2", Role: "trainer", Meaning: clearance.Observed, Technician: "p1", Proof: "password"},
		clearance.TrainingGiven{Trainer: "p2", Technician: "p1", Procedure: "q", Date: date("2026-03-01"), Verified: "questions at the bench"},
		clearance.AssessorAppointed{Appointment: "a1", Assessor: "p2", Procedure: "q", Revision: "A", From: date("2026-03-01"), Until: date("2026-04-01"), Reason: "first on this machine"},
		clearance.AppointmentEnded{Appointment: "a1", Reason: "cleared by now"},
		clearance.ExceptionGranted{Officer: "p3", Assessor: "p2", Technician: "p1", Procedure: "q", Reason: "nobody else on site"},
		clearance.Suspended{Person: "p1", Procedure: "q", Reason: "worked without a lock"},
		clearance.Reinstated{Person: "p1", Procedure: "q", Reason: "retrained"},
		clearance.Withdrawn{Person: "p1", Procedure: "q", Reason: "no longer on this machine"},
		clearance.ChangedRead{Person: "p1", Procedure: "q", Revision: "B", Facts: []content.FactID{"target/cap"}, Digest: shownDigest, Shown: "hazard/x is stated no more", Reading: "rd1"},
	}
}

// Every kind has a sample, and in the sample no field is empty, so that the trip
// there and back tries every field.
func TestSamplesAreWhole(t *testing.T) {
	seen := map[clearance.Kind]bool{}
	for _, a := range samples() {
		seen[a.Kind()] = true
		v := reflect.ValueOf(a)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%s: field %s is empty", a.Kind(), v.Type().Field(i).Name)
			}
		}
	}
	for _, k := range clearance.Kinds() {
		if !seen[k] {
			t.Errorf("no sample of %q", k)
		}
	}
	if len(seen) != len(clearance.Kinds()) {
		t.Errorf("%d kinds in the samples, %d in the list", len(seen), len(clearance.Kinds()))
	}
}

func TestThereAndBack(t *testing.T) {
	for _, a := range samples() {
		e := clearance.Event{Seq: 7, At: noon, By: "p3", Act: a}
		b, err := json.Marshal(e)
		if err != nil {
			t.Errorf("%s: %v", a.Kind(), err)
			continue
		}
		var back clearance.Event
		if err := json.Unmarshal(b, &back); err != nil {
			t.Errorf("%s: %v", a.Kind(), err)
			continue
		}
		if diff := cmp.Diff(e, back, cmp.Comparer(func(a, b content.Date) bool { return a == b })); diff != "" {
			t.Errorf("%s: -want +got:\n%s", a.Kind(), diff)
		}
		if err := e.Check(); err != nil {
			t.Errorf("%s: %v", a.Kind(), err)
		}
	}
}

func TestDecodeIsStrict(t *testing.T) {
	for _, c := range []struct{ kind, data, want string }{
		{"sighed", `{}`, "there is no kind"},
		{"person back", `{"person":"p1","mood":"good"}`, "unknown field"},
		{"person back", `{"person":"p1"} {}`, "more text"},
		{"person back", `{}`, "the person is missing"},
		{"person back", `{"person":7}`, "cannot unmarshal"},
		{"policy set", `{"policy":{"cut":80,"tries":3,"wait":1}}`, "unknown field"},
		{"policy set", `{"policy":{}}`, "cut, in percent: 0"},
		{"signed", `{"covers":{"kind":"rebuild","id":"r1","digest":"00"},"signer":"p1","role":"x","meaning":"performed","technician":"p1","proof":"password"}`, "no SHA-256"},
	} {
		_, err := clearance.Decode(clearance.Kind(c.kind), []byte(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s %s: %v, want %q", c.kind, c.data, err, c.want)
		}
	}
}

// What must never reach the record.
func TestCheckRefuses(t *testing.T) {
	late := noon.Add(time.Second)
	rebuild := samples()[12].(clearance.RebuildFinished)
	future, backwards, twice, self := rebuild, rebuild, rebuild, rebuild
	future.Ended = late
	backwards.Ended = rebuild.Started.Add(-time.Second)
	twice.Holds = append(twice.Holds[:1:1], twice.Holds[0])
	self.Assessor = self.Technician
	signed := samples()[14].(clearance.Signed)
	own, others, forOther := signed, signed, signed
	forOther.Meaning = clearance.Read
	own.Signer = own.Technician
	others.Meaning = clearance.Performed
	for _, c := range []struct {
		act  clearance.Act
		want string
	}{
		{future, "stated after the time of its record"},
		{backwards, "ends before it"},
		{twice, "twice on the sheet"},
		{self, "one person"},
		{own, "nobody signs for himself"},
		{others, "the technician signs as who performed"},
		{forOther, "the technician signs as who performed or read"},
		{clearance.ChangedRead{Person: "p", Procedure: "q", Revision: "B", Facts: []content.FactID{"f"}, Digest: digest, Shown: "something else"}, "the digest is not that of what was shown"},
		{clearance.RemovedRead{Person: "p", Procedure: "q", Revision: "B", Digest: digest}, "no fact is named"},
		{clearance.AssessorAppointed{Appointment: "a", Assessor: "p3", Procedure: "q", From: date("2026-03-01")}, "nobody appoints himself"},
		{clearance.AssessorAppointed{Appointment: "a", Assessor: "p2", Procedure: "q", From: date("2026-03-02"), Until: date("2026-03-01")}, "ends before it begins"},
		{clearance.ExceptionGranted{Officer: "p2", Assessor: "p2", Technician: "p1", Procedure: "q", Reason: "x"}, "three persons"},
		{clearance.TrainingGiven{Trainer: "p1", Technician: "p1", Procedure: "q", Date: date("2026-03-01")}, "one person"},
		{clearance.Suspended{Person: "p1", Procedure: "q"}, "the reason is missing"},
		{clearance.RevisionAdopted{Procedure: "q", Revision: "A", Prerequisites: []string{"q"}}, "prerequisite of itself"},
		{clearance.SittingMarked{Sitting: "s", Person: "p", Procedure: "q", Revision: "A", HandedIn: late, Verdict: clearance.Passed}, "stated after"},
		{clearance.SittingMarked{Sitting: "s", Person: "p", Procedure: "q", Revision: "A", HandedIn: noon, Verdict: "to confirm"}, "verdict"},
	} {
		err := clearance.Event{Seq: 1, At: noon, By: "p3", Act: c.act}.Check()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.act.Kind(), err, c.want)
		}
	}
}
