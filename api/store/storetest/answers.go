package storetest

import (
	"crypto/sha256"
	"errors"
	"testing"

	"soloright/api"
)

func answers(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.opened(sitting("t", "bo", api.Practice, 0))
	for _, c := range []struct {
		sheet   int
		rev     int64
		applied bool
	}{{2, 1, true}, {1, 5, true}, {1, 5, false}, {1, 4, false}, {1, 6, true}, {2, 1 << 60, true}} {
		if got := f.put("s", answer(c.sheet, c.rev)); got != c.applied {
			t.Errorf("sheet %d revision %d: applied %t, want %t", c.sheet, c.rev, got, c.applied)
		}
	}
	same(t, "kept, by sheet", f.kept("s"), []api.KeptAnswer{answer(1, 6), answer(2, 1<<60)})
	same(t, "another sitting's", f.kept("t"), []api.KeptAnswer{})

	odd := api.KeptAnswer{Sheet: 3, Revision: 1, Answer: []byte("{\"text\":\"½ \\u0000 ' ; -- ?\"}"), Kept: minutes(2), Fixed: true}
	f.put("s", odd)
	odd.Fixed = false // what is put is not fixed
	same(t, "an odd answer", f.kept("s")[2], odd)
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.PutAnswer(background, "none", answer(1, 1)); return err })
}

func fixedAnswers(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	fix := func(a api.KeptAnswer) {
		t.Helper()
		f.tx(func(tx api.Tx) error { return tx.FixAnswer(background, "s", a) })
	}
	fixed := func(a api.KeptAnswer) api.KeptAnswer {
		a.Fixed = true
		return a
	}
	f.put("s", answer(1, 7))
	fix(answer(1, 7))
	fix(answer(2, 1)) // one that was blank
	want := []api.KeptAnswer{fixed(answer(1, 7)), fixed(answer(2, 1))}
	same(t, "fixed", f.kept("s"), want)
	if f.put("s", answer(1, 8)) || f.put("s", answer(2, 8)) {
		t.Error("a fixed answer was changed")
	}
	fix(answer(1, 9))
	same(t, "still fixed", f.kept("s"), want)
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.FixAnswer(background, "none", answer(1, 1)) })
}

func handIn(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.put("s", answer(2, 3))
	digest := sha256.Sum256([]byte("[]"))
	h := api.HandIn{Sitting: "s", At: minutes(30), TimeUp: true, Answers: []byte("[]"), Digest: digest[:]}
	f.tx(func(tx api.Tx) error { return tx.AddHandIn(background, h) })
	f.read(func(r api.Reader) error {
		got, err := r.HandIn(background, "s")
		same(t, "a hand-in", got, h)
		if _, none := r.HandIn(background, "t"); !errors.Is(none, api.ErrNone) {
			t.Errorf("no hand-in: got %v, want ErrNone", none)
		}
		return err
	})
	same(t, "working answers after the hand-in", f.kept("s"), []api.KeptAnswer{})
	again := h
	again.Answers = []byte("[1]")
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddHandIn(background, again) })
	again.Sitting = "none"
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddHandIn(background, again) })
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.PutAnswer(background, "s", answer(1, 9)); return err })
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.FixAnswer(background, "s", answer(1, 9)) })
}

func queues(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("b", "ana", api.Practice, 0))
	f.opened(sitting("a", "bo", api.Practice, 0))
	f.opened(sitting("c", "ana", api.Qualifying, -10)) // the first deadline
	f.opened(sitting("d", "bo", api.Qualifying, 10))   // the last
	overdue := func(at, limit int, want ...string) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.Overdue(background, minutes(at), limit)
			same(t, "overdue", append([]string(nil), got...), want)
			return err
		})
	}
	unmarked := func(limit int, want ...string) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.Unmarked(background, limit)
			same(t, "unmarked", append([]string(nil), got...), want)
			return err
		})
	}
	handed := func(after string, limit int, want ...string) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.SittingIDs(background, after, limit)
			same(t, "handed in", append([]string(nil), got...), want)
			return err
		})
	}
	overdue(19, 9)
	overdue(20, 9, "c") // at the deadline
	overdue(30, 9, "c", "a", "b")
	overdue(99, 2, "c", "a")
	unmarked(9)
	handed("", 9)
	for i, id := range []string{"c", "b", "a"} {
		f.handedIn(id, 50-10*(i/2)) // a before b and c, which are handed in together
	}
	overdue(99, 9, "d")
	unmarked(9, "a", "b", "c")
	unmarked(1, "a")
	handed("", 9, "a", "b", "c")
	handed("a", 1, "b")
	handed("c", 9)
	f.marked(marking("a", 1, 60), facts())
	unmarked(9, "b", "c")
	f.tx(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: "b", At: minutes(61)}) })
	unmarked(9, "c")
	f.tx(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: "d", At: minutes(61)}) })
	f.handedIn("d", 62) // struck out while it was open: there is nothing to mark
	unmarked(9, "c")
	handed("", 9, "a", "b", "c", "d")
}
