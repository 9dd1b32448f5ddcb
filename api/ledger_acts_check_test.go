package api_test

import (
	"fmt"
	"strings"
	"testing"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/clearance"
)

// What clears people are the acts: whoever alters one, takes one out, puts one in
// or has two change places is found, on both databases, and the act is named.
func TestAlteredActsAreNamed(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { alteredActs(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { alteredActs(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

// In these alterations {s} is the act of a suspension, {r} that of the
// reinstatement after it and {e} the entry of the suspension; {w} is the act of a
// final verdict and {x} the place after the last act.
func alteredActs(t *testing.T, s *site) {
	s.passed(s.people[api.Technician])
	notice := api.StandingCommand{Person: s.people[api.Technician].ID, Procedure: pump, Reason: "a cap was found loose"}
	s.do(s.Suspend(t.Context(), s.role(api.SafetyOfficer), notice))
	notice.Reason = "the cap was put right"
	s.do(s.Reinstate(t.Context(), s.role(api.SafetyOfficer), notice))
	s.sound()
	place := map[clearance.Kind]int64{}
	for _, e := range s.record(0) {
		place[e.Act.Kind()] = e.Seq
	}
	suspended := place[clearance.Suspended{}.Kind()]
	in := strings.NewReplacer("{s}", fmt.Sprint(suspended), "{r}", fmt.Sprint(place[clearance.Reinstated{}.Kind()]), "{e}", fmt.Sprint(suspended-1),
		"{w}", fmt.Sprint(place[clearance.SittingMarked{}.Kind()]), "{x}", fmt.Sprint(s.last()+1), "{P}", s.people[api.Technician].ID, "{O}", s.people[api.SafetyOfficer].ID).Replace
	h := hand{t, s.raw(), s.url}
	for _, a := range actAlterations {
		t.Run(a.name, func(t *testing.T) {
			h.t, s.t = t, t
			h.undone([]string{"acts"}, func() {
				a.do(h, in)
				s.found(a, in)
			})
		})
	}
	h.t, s.t = t, t
	s.sound()
}

var actAlterations = []alteration{
	{name: "a byte of what happened", want: []string{"The act {s} (suspended) was altered: its data is not what entry {e} attests"}, also: []string{"The act {s} (suspended) cannot be read"},
		do: func(h hand, in func(string) string) { h.byte("acts", "data", in("seq = {s}")) }},
	{name: "a reason", want: []string{"The act {s} (suspended) was altered: its data is not what entry {e} attests"},
		do: func(h hand, in func(string) string) {
			h.do(in(`UPDATE acts SET data = (SELECT data FROM acts WHERE seq = {r}) WHERE seq = {s}`))
		}},
	{name: "whose act it is", want: []string{"The act {s} (suspended) was altered: its row is not what entry {e} attests"},
		do: func(h hand, in func(string) string) { h.do(in("UPDATE acts SET person = '{O}' WHERE seq = {s}")) }},
	{name: "who did it", want: []string{"The act {s} (suspended) was altered: its row is not what entry {e} attests"},
		do: func(h hand, in func(string) string) { h.do(in("UPDATE acts SET done_by = '{P}' WHERE seq = {s}")) }},
	{name: "when it was", want: []string{"The act {s} (suspended) was altered: its row is not what entry {e} attests"},
		do: func(h hand, in func(string) string) { h.do(in("UPDATE acts SET at = at - 1 WHERE seq = {s}")) }},
	{name: "what procedure it is about", want: []string{"The act {s} (suspended) was altered: its row is not what entry {e} attests"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE acts SET procedure = 'flanged-joint' WHERE seq = {s}"))
		}},
	{name: "what sitting it is about", want: []string{"The act {w} (sitting marked) was altered: its row is not what entry"},
		do: func(h hand, in func(string) string) { h.do(in("UPDATE acts SET subject = 'other' WHERE seq = {w}")) }},
	{name: "of what kind it is", want: []string{"(suspended) was altered: its act is not what entry {e} attests", "its row"},
		do:   func(h hand, in func(string) string) { h.do(in("UPDATE acts SET kind = 'withdrawn' WHERE seq = {s}")) },
		also: []string{"its kind"}},
	{name: "taken out", want: []string{"Entry {e} attests the act {s} (suspended), and that is not in the database"},
		do: func(h hand, in func(string) string) { h.do(in("DELETE FROM acts WHERE seq = {s}")) }},
	{name: "put in at the end", want: []string{"The act {x} (reinstated) is in the database and no entry of the ledger attests it"},
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO acts (seq, at, done_by, kind, person, procedure, subject, data) SELECT {x}, at, done_by, kind, person, procedure, subject, data FROM acts WHERE seq = {r}"))
		}},
	{name: "put in where no act was", want: []string{"The act 1 (suspended) is in the database and no entry of the ledger attests it"},
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO acts (seq, at, done_by, kind, person, procedure, subject, data) SELECT 1, at, done_by, kind, person, procedure, subject, data FROM acts WHERE seq = {s}"))
		}},
	{name: "two swapped", want: []string{"The act {s} (suspended) was altered", "The act {r} (reinstated) was altered"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE acts SET seq = -1 WHERE seq = {s}"), in("UPDATE acts SET seq = {s} WHERE seq = {r}"), in("UPDATE acts SET seq = {r} WHERE seq = -1"))
		}},
}
