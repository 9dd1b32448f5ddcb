package storetest

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
)

// start is when the tests begin; its fraction of a second is whole microseconds.
var start = time.Date(2031, time.May, 6, 5, 30, 0, 123456000, time.UTC)

// minutes after start.
func minutes(n int) time.Time { return start.Add(time.Duration(n) * time.Minute) }

// A fixture fills a store. Its methods end the test when the store fails.
type fixture struct {
	t testing.TB
	s api.Store
}

// with is a fixture on a store that has two people and a revision.
func with(t testing.TB, s api.Store) fixture {
	f := fixture{t, s}
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddPerson(background, person("ana")), tx.AddPerson(background, person("bo")), tx.AddRevision(background, revision("pump", "1", 0)))
	})
	return f
}

func (f fixture) tx(do func(api.Tx) error) {
	f.t.Helper()
	if err := f.s.InTx(background, do); err != nil {
		f.t.Fatal(err)
	}
}

func (f fixture) read(do func(api.Reader) error) {
	f.t.Helper()
	if err := f.s.Read(background, do); err != nil {
		f.t.Fatal(err)
	}
}

// want ends the test unless the call gave the error wanted, nil included.
func (f fixture) want(wanted error, do func(api.Tx) error) {
	f.t.Helper()
	if err := f.s.InTx(background, do); !errors.Is(err, wanted) {
		f.t.Fatalf("got the error %v, want %v", err, wanted)
	}
}

func person(id string) api.Person {
	return api.Person{ID: id, SignIn: id + ".w", Name: "Name of " + id, Role: api.Technician, Password: "$argon2id$" + id, Crew: "night", Added: start}
}

func session(person string, n byte) api.Session {
	hash := sha256.Sum256([]byte{n})
	return api.Session{Hash: hash[:], Person: person, Begun: minutes(int(n)), Seen: minutes(int(n)), Expires: minutes(int(n) + 60), Agent: "tablet"}
}

func revision(procedure, name string, imported int) api.Revision {
	issued, _ := content.ParseDate("2031-02-03")
	source := []byte("id: " + procedure + "\nrevision: " + name + "\n")
	digest := sha256.Sum256(source)
	return api.Revision{Procedure: procedure, Revision: name, Title: "Title of " + procedure, Issued: issued, Source: source,
		Blueprint: []byte("items: 24\n"), Digest: digest[:], Imported: minutes(imported), By: "ana"}
}

// sitting is a sitting of three sheets on the pump, opened some minutes after
// start and half an hour long.
func sitting(id, person string, mode api.Mode, opened int) api.Sitting {
	digest := sha256.Sum256(form(id))
	return api.Sitting{ID: id, Person: person, Procedure: "pump", Revision: "1", Build: "b1", Mode: mode, Opened: minutes(opened),
		Deadline: minutes(opened + 30), Items: 3, Digest: digest[:], State: api.StateOpen}
}

// form is what the tests store as a form: not UTF-8, and with a zero byte.
func form(id string) []byte { return []byte("form of " + id + "\x00\xff{}") }

func items(sitting string) []api.MetItem {
	out := make([]api.MetItem, 3)
	for i := range out {
		lead := content.FactID(fmt.Sprintf("fact-%d", i+1))
		out[i] = api.MetItem{Sitting: sitting, Sheet: i + 1, Item: fmt.Sprintf("%s-item-%d", sitting, i+1), Model: "set the wrench", Lead: lead,
			Topic: "torque", Facts: []content.FactID{lead, "common"}}
	}
	return out
}

// opened adds a sitting.
func (f fixture) opened(s api.Sitting) api.Sitting {
	f.t.Helper()
	f.tx(func(tx api.Tx) error { return tx.AddSitting(background, s, form(s.ID), items(s.ID)) })
	return s
}

func answer(sheet int, revision int64) api.KeptAnswer {
	return api.KeptAnswer{Sheet: sheet, Revision: revision, Answer: fmt.Appendf(nil, `{"number":"%d.%d"}`, sheet, revision), Kept: minutes(1), Millis: 1000 * revision}
}

// put saves an answer as the use case does.
func (f fixture) put(sitting string, a api.KeptAnswer) (applied bool) {
	f.t.Helper()
	f.tx(func(tx api.Tx) (err error) {
		if _, err := tx.OpenShared(background, sitting); err != nil {
			return err
		}
		applied, err = tx.PutAnswer(background, sitting, a)
		return err
	})
	return applied
}

// kept returns the answers of an open sitting.
func (f fixture) kept(sitting string) (all []api.KeptAnswer) {
	f.t.Helper()
	f.read(func(r api.Reader) (err error) {
		all, err = r.Answers(background, sitting)
		return err
	})
	return all
}

// handInTx hands a sitting in as the use case does: what was kept is copied.
func handInTx(tx api.Tx, sitting string, at time.Time) error {
	if _, err := tx.OpenExclusive(background, sitting); err != nil {
		return err
	}
	kept, err := tx.Answers(background, sitting)
	if err != nil {
		return err
	}
	raw, err := json.Marshal(kept)
	if err != nil {
		return err
	}
	digest := sha256.Sum256(raw)
	return tx.AddHandIn(background, api.HandIn{Sitting: sitting, At: at, Answers: raw, Digest: digest[:]})
}

func (f fixture) handedIn(sitting string, at int) {
	f.t.Helper()
	f.tx(func(tx api.Tx) error { return handInTx(tx, sitting, minutes(at)) })
}

// handed returns the answers in the record of a hand-in.
func (f fixture) handed(sitting string) (all []api.KeptAnswer) {
	f.t.Helper()
	f.read(func(r api.Reader) error {
		h, err := r.HandIn(background, sitting)
		if err != nil {
			return err
		}
		return json.Unmarshal(h.Answers, &all)
	})
	return all
}

func marking(sitting string, n, at int) api.Marking {
	return api.Marking{Sitting: sitting, N: n, Rules: 1, At: minutes(at), Outcome: []byte(`{"n":1}`), Verdict: "passed", Percent: 80 + n, Reason: "reason"}
}

// facts marks every sheet's facts right, but for those missed.
func facts(missed ...api.MarkedFact) []api.MarkedFact {
	var out []api.MarkedFact
	for sheet := 1; sheet <= 3; sheet++ {
		for _, fact := range items("")[sheet-1].Facts {
			m := api.MarkedFact{Sheet: sheet, Fact: fact, State: "right"}
			for _, x := range missed {
				if x.Sheet == sheet && x.Fact == fact {
					m.State = x.State
				}
			}
			out = append(out, m)
		}
	}
	return out
}

func (f fixture) marked(m api.Marking, facts []api.MarkedFact) {
	f.t.Helper()
	f.tx(func(tx api.Tx) error { return tx.AddMarks(background, m, facts) })
}

// sittingNow reads a sitting.
func (f fixture) sittingNow(id string) (s api.Sitting) {
	f.t.Helper()
	f.read(func(r api.Reader) (err error) {
		s, err = r.Sitting(background, id)
		return err
	})
	return s
}
