package storetest

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"soloright/api"
	"soloright/content"
	"soloright/scoring"
)

// said is what a sitting of the fixture says at its nth marking.
func said(s api.Sitting, handed, n int) api.SittingResponses {
	out := api.SittingResponses{Sitting: s.ID, Person: s.Person, Crew: "night", Procedure: "pump", Revision: "1", Build: "b1", Mode: s.Mode, Confirms: s.Confirms,
		HandedIn: minutes(handed), N: n}
	for sheet := 1; sheet <= 3; sheet++ {
		lead := content.FactID(fmt.Sprint("fact-", sheet))
		out.Sheets = append(out.Sheets, api.Response{Sheet: sheet, Item: "i", Model: "set the wrench", Version: 2, Lead: lead, Topic: "torque",
			Mark: 1.0 / 3, Chance: 0.25, Mean: 0.5, Blank: n == 2, Millis: 1500, Number: "13,6 N·m", Said: []string{"wrong unit é"},
			Facts:   []api.FactResponse{{Fact: lead, State: scoring.Right}, {Fact: "common", State: scoring.Blank}},
			Options: []api.OfferedOption{{Text: "not this wrench", Fact: lead, Right: true}, {Text: "another", Chosen: true}}})
	}
	return out
}

func (f fixture) says(s api.SittingResponses) {
	f.t.Helper()
	f.tx(func(tx api.Tx) error {
		if _, err := tx.LockLedger(background); err != nil {
			return err
		}
		return tx.PutResponses(background, s)
	})
}

func responses(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	var all []api.SittingResponses
	for i, id := range []string{"b", "a", "c"} {
		s := f.opened(sitting(id, []string{"ana", "bo", "ana"}[i], []api.Mode{api.Qualifying, api.Qualifying, api.Practice}[i], i))
		f.handedIn(id, 10+i)
		f.marked(marking(id, 1, 20), facts())
		all = append(all, said(s, 10+i, 1))
	}
	without := func(what, after string, limit int, want ...string) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.WithoutResponses(background, after, limit)
			same(t, what, append([]string(nil), got...), want)
			return err
		})
	}
	are := func(what string, after int64, limit int, want ...api.SittingResponses) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.Responses(background, after, limit)
			same(t, what, append([]api.SittingResponses(nil), got...), want)
			return err
		})
	}
	without("nothing is kept yet", "", 9, "a", "b", "c")
	without("from one on, no more than asked for", "a", 1, "b")
	for i := range all {
		f.says(all[i])
		all[i].Place = int64(i + 1)
	}
	without("all is kept", "", 9)
	are("in the order of writing", 0, 9, all...)
	are("one after another", 1, 1, all[1])
	f.read(func(r api.Reader) error {
		one, err := r.ResponsesOf(background, "a")
		same(t, "of one sitting", one, all[1])
		if _, err := r.ResponsesOf(background, "none"); !errors.Is(err, api.ErrNone) {
			t.Errorf("of no sitting: %v, want ErrNone", err)
		}
		return err
	})

	// Marked again, and struck out: each comes again, at the end.
	f.marked(marking("b", 2, 30), facts())
	without("marked again", "", 9, "b")
	again := all[0]
	again.N, again.Sheets = 2, said(api.Sitting{}, 0, 2).Sheets
	f.says(again)
	again.Place = 4
	void := all[1]
	void.N, void.Void, void.Sheets = 0, true, nil
	f.says(void)
	void.Place = 5
	without("marked again and kept", "", 9)
	are("each once, the changed ones last", 0, 9, all[2], again, void)
	are("what changed since", 3, 9, again, void)
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.PutResponses(background, api.SittingResponses{Sitting: "none"}) })
}

// Many writers at once, each holding the head: a reader that goes on from the
// last place it saw misses none.
func responsesAtOnce(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	n := 2 * rounds(20)
	var ids []string
	for i := range n {
		s := f.opened(sitting(fmt.Sprintf("s%03d", i), "ana", api.Practice, i))
		f.handedIn(s.ID, 10)
		ids = append(ids, s.ID)
	}
	var work sync.WaitGroup
	for _, half := range [][]string{ids[:n/2], ids[n/2:]} {
		work.Go(func() {
			for _, id := range half {
				err := f.s.InTx(background, func(tx api.Tx) error {
					if _, err := tx.LockLedger(background); err != nil {
						return err
					}
					return tx.PutResponses(background, api.SittingResponses{Sitting: id, N: 1})
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { work.Wait(); close(done) }()
	seen, after, ended := map[string]bool{}, int64(0), false
	for !ended {
		select {
		case <-done:
			ended = true // one more round sees the last of them
		default:
		}
		f.read(func(r api.Reader) error {
			got, err := r.Responses(background, after, n)
			for _, s := range got {
				if s.Place != after+1 {
					t.Errorf("place %d follows %d", s.Place, after)
				}
				seen[s.Sitting], after = true, s.Place
			}
			return err
		})
	}
	if len(seen) != n {
		t.Errorf("%d sittings seen, want %d", len(seen), n)
	}
}
