package api_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/note"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

func (s *site) evidence(c api.Caller, p api.Person, on content.Date) api.Evidence {
	s.t.Helper()
	e, err := s.Evidence(s.t.Context(), c, api.EvidenceQuery{Person: p.ID, Procedure: pump, On: on})
	s.do(err)
	return e
}

// road is the whole way to a clearance: a policy, a training, a try that failed,
// one that was struck out, one that was confirmed, a rebuild. It returns the
// sittings in their order.
func (s *site) road(tech api.Person) []string {
	s.t.Helper()
	s.lone("L", false, nil)
	officer, c := s.role(api.SafetyOfficer), s.as(tech)
	policy := clearance.DefaultPolicy()
	policy.WaitDays, policy.TrainingWindow = 0, 0
	_, err := s.SetPolicy(s.t.Context(), officer, api.SetPolicy{Procedure: pump, Policy: policy})
	s.do(err)
	s.do(s.GiveTraining(s.t.Context(), s.role(api.Trainer), api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: content.DateOf(s.now()), Verified: "explained it back"}))
	var ids []string
	sit := func(do func(api.Sitting)) {
		s.wait(time.Hour)
		one := s.open(c, api.Qualifying)
		do(one)
		s.hand(c, one.ID)
		ids = append(ids, one.ID)
	}
	sit(func(api.Sitting) {}) // blank
	sit(func(one api.Sitting) { s.answer(c, one.ID, s.right) })
	s.do(s.VoidSitting(s.t.Context(), officer, api.VoidCommand{Sitting: ids[1], Reason: "a neighbour helped out"}))
	sit(func(one api.Sitting) { s.missOne(c, one) })
	s.wait(time.Minute)
	ids = append(ids, s.confirmed(c, api.Sitting{ID: ids[2]}, true).ID)
	s.clear(tech, "L")
	return ids
}

func TestTheEvidenceHasTheWholeTrail(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	ids := s.road(tech)
	s.do(s.Suspend(t.Context(), s.role(api.SafetyOfficer), api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}))
	s.wait(time.Minute)
	s.do(s.Reinstate(t.Context(), s.role(api.SafetyOfficer), api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "it was another’s cap"}))
	later := clearance.DefaultPolicy()
	later.Months = 6
	_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: pump, Policy: later}) // after the last signature it decides nothing of it
	s.do(err)
	e := s.evidence(s.role(api.SafetyOfficer), tech, content.Date{})
	if !e.Standing.Cleared || e.Trail.Sitting != ids[2] || e.Revision.Revision != "L" || len(e.Revision.Digest) != 64 || e.Revision.Adopted.IsZero() {
		t.Errorf("standing %q, trail %+v, revision %+v", e.Standing.Reason, e.Trail, e.Revision)
	}
	if e.Policy.Policy.WaitDays != 0 || e.Policy.Set.IsZero() || e.Policy.Set.After(e.Trail.From) || e.Policy.Site || !e.Policy.At.Equal(e.Trail.From) {
		t.Errorf("policy %+v", e.Policy)
	}
	s.evidenceOfSittings(e, ids)
	s.evidenceOfFacts(e)
	if len(e.Rebuilds) != 1 || !e.Rebuilds[0].Counts || !e.Rebuilds[0].Carries || len(e.Rebuilds[0].Signatures) != 2 {
		t.Fatalf("rebuilds: %+v", e.Rebuilds)
	}
	sign := e.Rebuilds[0].Signatures
	if sign[0].Meaning != clearance.Performed || sign[0].Name != tech.Name || sign[1].Meaning != clearance.Observed || sign[1].Digest != e.Rebuilds[0].Digest || sign[1].At.IsZero() {
		t.Errorf("signatures: %+v", sign)
	}
	var acts []string
	for _, a := range e.Acts {
		acts = append(acts, a.What)
	}
	trainer := s.people[api.Trainer].Name
	if diff := cmp.Diff([]string{"Trained by " + trainer + " on 2026-03-02; that it was understood was verified by: explained it back",
		trainer + " was appointed as assessor from 2026-03-02: knows the pump from the maker’s school", "Suspended: a cap was found loose", "Reinstated: it was another’s cap"}, acts); diff != "" {
		t.Errorf("acts (-want +got):\n%s", diff)
	}
}

func (s *site) evidenceOfSittings(e api.Evidence, ids []string) {
	s.t.Helper()
	type row struct {
		id, verdict, final, confirms string
		carries, void                bool
	}
	var got []row
	for _, x := range e.Sittings {
		got = append(got, row{x.ID, x.Verdict, x.Final, x.Confirms, x.Carries, x.Void != nil})
		if len(x.Form) != 64 || len(x.Answers) != 64 || len(x.Outcome) != 64 || len(x.Blueprint) != 64 || x.Revision != "L" || x.Cut == 0 || x.HandedIn.IsZero() {
			s.t.Errorf("sitting %+v", x)
		}
	}
	want := []row{{ids[0], "failed", "failed", "", false, false}, {ids[1], "passed", "passed", "", false, true},
		{ids[2], "to confirm", "passed", "", true, false}, {ids[3], "passed", "", ids[2], true, false}}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(row{})); diff != "" {
		s.t.Errorf("sittings (-want +got):\n%s", diff)
	}
}

// evidenceOfFacts: everything was missed in the blank try. The critical fact that
// the third missed too was right in its confirming step; what was not asked again
// is not right again.
func (s *site) evidenceOfFacts(e api.Evidence) {
	s.t.Helper()
	if i := slices.IndexFunc(e.Facts, func(f api.EvidenceFact) bool { return f.Right.Equal(e.Sittings[1].HandedIn) }); i >= 0 {
		s.t.Errorf("%s was right again in a sitting that was struck out", e.Facts[i].Fact)
	}
	first, third, confirm := e.Sittings[0].HandedIn, e.Sittings[2].HandedIn, e.Sittings[3].HandedIn
	twice, later := 0, 0
	for _, f := range e.Facts {
		if f.Text == "" || !f.Missed[0].Equal(first) && !f.Missed[0].Equal(third) {
			s.t.Errorf("fact %+v", f)
		}
		if f.Missed[len(f.Missed)-1].Equal(third) {
			if !f.Right.Equal(confirm) && f.Critical {
				s.t.Errorf("the critical fact %s was right in the confirming step, and the evidence says %v", f.Fact, f.Right)
			}
			twice++
		} else if f.Right.Equal(third) {
			later++
		}
	}
	if twice == 0 || later == 0 {
		s.t.Errorf("%d facts were missed in the third try, %d right again in it; of %d", twice, later, len(e.Facts))
	}
}

// Each entry is proved under the checkpoint, and what the evidence shows of an
// act has an entry.
func TestTheEvidenceIsProved(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	ids := s.road(tech)
	e := s.evidence(s.as(tech), tech, content.Date{})
	verifiers, err := ledger.ReadKeys(signer(t, 1).Verifier())
	s.do(err)
	known := note.VerifierList(verifiers...)
	at := map[int64]api.EvidenceEntry{}
	for _, x := range e.Entries {
		at[x.N] = x
		p, err := ledger.ParseInclusion([]byte(x.Proof))
		s.do(err)
		c, err := p.Verify(known)
		s.do(err)
		if string(c.Text) != e.Checkpoint || p.Index != x.N || ledger.RecordHash(p.Entry).String() != x.Leaf {
			t.Errorf("entry %d: proof of %d under %d entries", x.N, p.Index, c.Size)
		}
	}
	kinds := map[ledger.Kind]int{}
	for _, x := range e.Entries {
		kinds[x.Kind]++
	}
	want := map[ledger.Kind]int{ledger.SittingHandedIn: len(ids), ledger.SittingMarked: len(ids), ledger.SittingVoided: 1, ledger.PolicyChanged: 1, ledger.TrainingGiven: 1,
		ledger.AppointmentMade: 1, ledger.RevisionImported: 1, ledger.RevisionAdopted: 1}
	for k, n := range want {
		if kinds[k] != n {
			t.Errorf("%d entries of kind %s, want %d", kinds[k], k, n)
		}
	}
	if kinds[ledger.ActRecorded] != 7 { // three verdicts and a void, a rebuild and two signatures
		t.Errorf("%d acts, want 7: %v", kinds[ledger.ActRecorded], kinds)
	}
	for _, r := range e.Rebuilds {
		for _, sig := range r.Signatures {
			if at[sig.Entry].Proof == "" {
				t.Errorf("the signature %+v has no proof", sig)
			}
		}
	}
	if len(e.Keys) != 1 || e.Keys[0] != signer(t, 1).Verifier() || e.Recorded.IsZero() {
		t.Errorf("keys %q, recorded %v", e.Keys, e.Recorded)
	}
}

// The evidence as of a past day holds nothing that came after, and the same
// record gives the same evidence, byte for byte.
func TestTheEvidenceOfAPastDay(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	ids := s.road(tech)
	day := content.DateOf(s.now())
	c := s.role(api.SafetyOfficer)
	text := func() string {
		e := s.evidence(c, tech, day)
		e.Checkpoint, e.Recorded = "", time.Time{} // of the newest head, as the proofs are
		for i := range e.Entries {
			e.Entries[i].Proof = ""
		}
		b, err := json.Marshal(e)
		s.do(err)
		return string(b)
	}
	was := text()
	s.wait(24 * time.Hour)
	c = s.role(api.SafetyOfficer)
	s.do(s.VoidSitting(t.Context(), c, api.VoidCommand{Sitting: ids[2], Reason: "a neighbour helped out"}))
	s.passed(tech)
	s.do(s.Withdraw(t.Context(), c, api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "nothing of it holds"}))
	p := clearance.DefaultPolicy()
	_, err := s.SetPolicy(t.Context(), c, api.SetPolicy{Procedure: pump, Policy: p})
	s.do(err)
	if is := text(); is != was {
		t.Errorf("the evidence of a past day changed:\n%s", cmp.Diff(was, is))
	}
	now := s.evidence(c, tech, content.Date{})
	if now.Standing.Cleared || len(now.Sittings) != 5 || now.Sittings[2].Void == nil || now.Policy.Policy.WaitDays != 1 {
		t.Errorf("today's evidence: %s, %d sittings", now.Standing.Reason, len(now.Sittings))
	}
	again := s.evidence(c, tech, content.Date{})
	if diff := cmp.Diff(now, again, cmp.Comparer(func(a, b content.Date) bool { return a == b }), cmp.Comparer(sameFraction)); diff != "" {
		t.Errorf("the same record gives other evidence:\n%s", diff)
	}
	if e := s.evidence(c, tech, content.DateOf(s.now().AddDate(0, 0, -10))); len(e.Sittings)+len(e.Rebuilds)+len(e.Acts)+len(e.Facts) > 0 {
		t.Errorf("before anything happened: %+v", e)
	}
}

func sameFraction(a, b quiz.Fraction) bool {
	return (a.Rat == nil) == (b.Rat == nil) && (a.Rat == nil || a.Rat.Cmp(b.Rat) == 0)
}

func TestWhoMayReadTheEvidence(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	s.road(tech)
	other := s.add("other", api.Technician)
	read := func(c api.Caller, p, procedure string) error {
		_, err := s.Evidence(t.Context(), c, api.EvidenceQuery{Person: p, Procedure: procedure})
		return err
	}
	s.do(read(s.as(tech), tech.ID, pump))
	s.do(read(s.role(api.SafetyOfficer), tech.ID, pump))
	s.do(read(s.role(api.SafetyOfficer), other.ID, pump)) // nothing on the record yet
	for _, c := range []api.Caller{s.as(other), s.role(api.Trainer), s.role(api.Administrator)} {
		wantKind(t, read(c, tech.ID, pump), api.Forbidden)
	}
	wantKind(t, read(api.Bearer(""), tech.ID, pump), api.Unauthenticated)
	wantKind(t, read(s.role(api.SafetyOfficer), "nobody", pump), api.NotFound)
	wantKind(t, read(s.role(api.SafetyOfficer), tech.ID, "none"), api.NotFound)

	// What was missed is closed to whoever sits on the procedure just now.
	c := s.as(other)
	sit := s.open(c, api.Qualifying)
	if e := wantKind(t, read(c, other.ID, pump), api.Conflict); e.State != "qualifying sitting open" {
		t.Errorf("during an own sitting: %+v", e)
	}
	s.hand(c, sit.ID)
	s.do(read(c, other.ID, pump))
}

// No key, no feedback and no explanation of a qualifying form is in the evidence.
func TestTheEvidenceShowsNoKey(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	ids := s.road(tech)
	b, err := json.Marshal(s.evidence(s.as(tech), tech, content.Date{}))
	s.do(err)
	for _, id := range ids {
		for _, it := range s.form(id).Items {
			texts := []string{it.Explain}
			for _, f := range it.Feedback {
				texts = append(texts, f.Text)
			}
			for _, text := range texts {
				raw, _ := json.Marshal(text)
				if inner := strings.Trim(string(raw), `"`); len(inner) > 8 && strings.Contains(string(b), inner) {
					t.Errorf("the evidence shows %q", text)
				}
			}
		}
	}
}
