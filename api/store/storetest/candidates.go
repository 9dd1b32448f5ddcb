package storetest

import (
	"context"
	"crypto/sha256"
	"fmt"
	"testing"

	"soloright/api"
)

// A Candidate has a session and an open sitting of three sheets.
type Candidate struct {
	Person  string
	Session []byte // the hash of the session's token
	Sitting string
}

// NewCandidates fills an empty store with n candidates.
func NewCandidates(t testing.TB, s api.Store, n int) []Candidate {
	t.Helper()
	f := with(t, s)
	out := make([]Candidate, n)
	for i := range out {
		c := NthCandidate(i)
		s := session(c.Person, 0)
		s.Hash = c.Session
		f.tx(func(tx api.Tx) error { return tx.AddPerson(background, person(c.Person)) })
		f.tx(func(tx api.Tx) error { return tx.AddSession(background, s) })
		f.opened(sitting(c.Sitting, c.Person, api.Qualifying, 0))
		out[i] = c
	}
	return out
}

// NthCandidate is the candidate that NewCandidates makes at place n, for a
// process that did not make them itself.
func NthCandidate(n int) Candidate {
	id := fmt.Sprint("candidate", n)
	hash := sha256.Sum256([]byte(id))
	return Candidate{Person: id, Session: hash[:], Sitting: "sitting-of-" + id}
}

// Answer is revision rev of the candidate's answer to the first sheet.
func (c Candidate) Answer(rev int64) api.KeptAnswer { return answer(1, rev) }

// Save keeps that answer through the store, with the reads that the use case
// makes.
func (c Candidate) Save(s api.Store, rev int64) error { return c.SaveIn(background, s, rev) }

// SaveIn is Save in a context.
func (c Candidate) SaveIn(ctx context.Context, s api.Store, rev int64) error {
	return s.InTx(ctx, func(tx api.Tx) error {
		if _, _, err := tx.SessionByHash(ctx, c.Session); err != nil {
			return err
		}
		if _, err := tx.OpenShared(ctx, c.Sitting); err != nil {
			return err
		}
		_, err := tx.PutAnswer(ctx, c.Sitting, c.Answer(rev))
		return err
	})
}

// Kept reads the candidate's answers.
func (c Candidate) Kept(t testing.TB, s api.Store) []api.KeptAnswer {
	t.Helper()
	return fixture{t, s}.kept(c.Sitting)
}
