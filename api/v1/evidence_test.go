package v1

import (
	"strings"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

const isolationStanding = "/standings/energy-isolation"

// evidenceSamples are requests about evidence and cards that are right but for who
// sends them.
func (s *site) evidenceSamples() map[string]call {
	of := "/people/" + s.person[api.Technician].ID + isolationStanding
	return map[string]call{
		"evidence":   {path: of + "/evidence?on=2026-03-02"},
		"cards":      {path: of + "/cards"},
		"issueCard":  {path: of + "/cards"},
		"revokeCard": {path: "/cards/nosuch/revocation", body: Reason{Reason: "lost on the way home"}},
		"live":       {path: "/live/" + strings.Repeat("a", 26)},
	}
}

func init() {
	for _, id := range []string{"evidence", "cards", "issueCard"} {
		mayNot[id] = api.Administrator
	}
	wrongFields = append(wrongFields, wrongField{"revokeCard", `{"reason":"lost"}`, 422, "reason"}, wrongField{"revokeCard", `{}`, 422, "reason"})
}

// walked puts on the record, with its entries, what clears a person on a procedure
// without prerequisites.
func (s *site) walked(person, assessor, procedure string) {
	s.t.Helper()
	p, err := s.app.Procedure(s.t.Context(), api.Bearer(s.token[api.Trainer]), procedure, "")
	if err != nil {
		s.t.Fatal(err)
	}
	now, digest, id := s.now(), strings.Repeat("ab", 32), "walked-"+person
	sign := func(who string, m clearance.Meaning) clearance.Act {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: person, Proof: "password"}
	}
	for _, act := range []clearance.Act{
		clearance.AssessorAppointed{Appointment: id + "-a", Assessor: assessor, Procedure: procedure, From: content.DateOf(now), Reason: "knows it"},
		clearance.SittingMarked{Sitting: id + "-s", Person: person, Procedure: procedure, Revision: p.Revision, HandedIn: now, Verdict: clearance.Passed},
		clearance.RebuildFinished{Rebuild: id, Technician: person, Assessor: assessor, Procedure: procedure, Revision: p.Revision, Started: now, Ended: now,
			Holds: []clearance.HoldRecord{{Step: "isolate", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest},
		sign(person, clearance.Performed), sign(assessor, clearance.Observed)} {
		s.attested(person, procedure, act)
	}
}

// attested puts one act on the record with an entry.
func (s *site) attested(person, procedure string, act clearance.Act) {
	s.t.Helper()
	kind, data, err := clearance.Encode(act)
	if err != nil {
		s.t.Fatal(err)
	}
	if a, ok := act.(clearance.AssessorAppointed); ok {
		person = a.Assessor
	}
	err = s.store.InTx(s.t.Context(), func(tx api.Tx) error {
		head, err := tx.LockLedger(s.t.Context())
		if err != nil {
			return err
		}
		row := api.StoredAct{Seq: head.Size + 1, At: s.now(), Kind: kind, Person: person, Procedure: procedure, Data: data}
		if err := tx.AddActs(s.t.Context(), []api.StoredAct{row}); err != nil {
			return err
		}
		return api.AppendEntries(s.t.Context(), tx, newSigner(s.t), ledger.Entry{Kind: ledger.ActRecorded, ID: person, At: s.now(), Attributes: map[string]string{"act": string(kind)}})
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// evidences reads the evidence of somebody cleared, and gives and takes cards.
func (s *site) evidences() {
	s.t.Helper()
	p := s.add("carried", api.Technician)
	s.walked(p.ID, s.person[api.Trainer].ID, "energy-isolation")
	own, officer, of := s.signIn("carried"), s.token[api.SafetyOfficer], "/people/"+p.ID+isolationStanding
	var e api.Evidence
	for _, as := range []string{own, officer} {
		s.do(call{method: "GET", path: of + "/evidence?on=" + s.now().Format(time.DateOnly), as: as}, 200).into(&e)
	}
	if !e.Standing.Cleared || len(e.Rebuilds) != 1 || len(e.Rebuilds[0].Signatures) != 2 || e.Person.ID != p.ID || e.Revision.Digest == "" {
		s.t.Errorf("evidence: %+v", e)
	}
	s.do(call{method: "GET", path: of + "/evidence?on=x", as: own, bad: true}, 422)
	s.do(call{method: "GET", path: "/people/" + p.ID + "/standings/nosuch/evidence", as: own}, 404)
	s.do(call{method: "POST", path: "/people/" + p.ID + "/standings/nosuch/cards", as: own}, 404)
	if q := s.do(call{method: "POST", path: "/people/" + p.ID + pumpStanding + "/cards", as: own}, 409).problem(); q.State != string(clearance.NotCleared) {
		s.t.Errorf("a card without a clearance: %+v", q)
	}
	sit := s.open(own, api.Qualifying)
	s.do(call{method: "GET", path: "/people/" + p.ID + pumpStanding + "/evidence", as: own}, 409)
	s.handIn(own, sit.ID)
	s.do(call{method: "GET", path: "/people/" + p.ID + pumpStanding + "/evidence", as: own}, 200).into(&e)
	if len(e.Sittings) != 1 || len(e.Facts) == 0 || e.Standing.Cleared {
		s.t.Errorf("evidence of a blank sitting: %d sittings, %d facts", len(e.Sittings), len(e.Facts))
	}
	s.walletCards(p, of, own, officer)
}

func (s *site) walletCards(p Person, of, own, officer string) {
	s.t.Helper()
	var first, second IssuedCard
	s.do(call{method: "POST", path: of + "/cards", as: own}, 201).into(&first)
	s.do(call{method: "POST", path: of + "/cards", as: officer}, 201).into(&second)
	if want := "http://example.com/c/" + second.Code; second.Address != want || second.Name != p.Name || second.Card.By != s.person[api.SafetyOfficer].ID {
		s.t.Errorf("issued %+v, want the address %s", second, want)
	}
	var live Live
	a := s.do(call{method: "GET", path: "/live/" + second.Code}, 200)
	a.into(&live)
	if a.header.Get("X-Robots-Tag") == "" || a.header.Get("Referrer-Policy") != "no-referrer" || a.header.Get("Cache-Control") != "no-store" {
		s.t.Errorf("the live standing comes with %v", a.header)
	}
	if !live.Cleared || live.Name != p.Name || live.Until == nil || *live.Until != second.Card.Until || !live.At.Equal(s.now()) {
		s.t.Errorf("live: %+v", live)
	}
	revoked := s.do(call{method: "GET", path: "/live/" + first.Code}, 404).problem()
	if unknown := s.do(call{method: "GET", path: "/live/" + strings.Repeat("a", 26)}, 404).problem(); revoked.Detail != unknown.Detail {
		s.t.Errorf("a revoked code says %q, an unknown one %q", revoked.Detail, unknown.Detail)
	}
	var all Cards
	s.do(call{method: "GET", path: of + "/cards", as: own}, 200).into(&all)
	if len(all.Cards) != 2 || all.Cards[0].Revoked == all.Cards[1].Revoked {
		s.t.Errorf("cards: %+v", all)
	}
	revoke := call{method: "POST", path: "/cards/" + second.Card.ID + "/revocation", as: s.token[api.Trainer], body: Reason{Reason: "lost on the way home"}}
	s.do(revoke, 403)
	revoke.as = own
	s.do(revoke, 204)
	if q := s.do(revoke, 409).problem(); q.State != "revoked" {
		s.t.Errorf("revoked twice: %+v", q)
	}
	s.do(call{method: "GET", path: "/live/" + second.Code}, 404)
	revoke.path, revoke.as = "/cards/nosuch/revocation", officer
	s.do(revoke, 404)
}
