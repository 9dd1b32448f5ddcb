package storetest

import (
	"errors"
	"testing"

	"soloright/api"
	"soloright/content"
)

func marks(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddMarks(background, marking("s", 1, 1), facts()) }) // not handed in
	f.handedIn("s", 1)
	first, second := marking("s", 1, 2), marking("s", 2, 3)
	second.Verdict, second.Percent, second.Rules, second.Reason = "failed", 40, 2, "the key of sheet 2 was wrong"
	f.marked(first, facts())
	f.marked(second, nil)
	f.read(func(r api.Reader) error {
		got, err := r.Marks(background, "s")
		same(t, "marks, oldest first", got, []api.Marking{first, second})
		none, err2 := r.Marks(background, "t")
		same(t, "marks of nothing", none, []api.Marking{})
		return errors.Join(err, err2)
	})
	changed := marking("s", 1, 9)
	changed.Verdict = "forged"
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddMarks(background, changed, facts()) })
	f.want(api.ErrNone, func(tx api.Tx) error {
		return tx.AddMarks(background, marking("s", 3, 9), []api.MarkedFact{{Sheet: 4, Fact: "x", State: "right"}})
	})
	// More than fit in one statement, one of them twice.
	many := make([]api.MarkedFact, 1201)
	for i := range many {
		many[i] = api.MarkedFact{Sheet: 1 + i%3, Fact: content.FactID("same"), State: "wrong"}
	}
	f.marked(marking("s", 3, 10), many)
	f.read(func(r api.Reader) error {
		got, err := r.Met(background, "ana", "pump", minutes(99))
		for _, m := range got {
			same(t, "missed once", m.Missed, []content.FactID{"same"})
		}
		return err
	})
	raw := db.Raw(t)
	var n int
	if err := raw.QueryRow("SELECT COUNT(DISTINCT place) FROM fact_marks WHERE n = 3").Scan(&n); err != nil || n != len(many) {
		t.Errorf("%d fact marks kept (%v), want %d", n, err, len(many))
	}
}

func voids(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.opened(sitting("t", "bo", api.Practice, 0))
	v := api.Void{Sitting: "s", At: minutes(2), By: "bo", Reason: "sat with the manual open"}
	byNobody := api.Void{Sitting: "t", At: minutes(3), Reason: "from the command line"}
	for _, v := range []api.Void{v, byNobody} {
		f.tx(func(tx api.Tx) error { return tx.AddVoid(background, v) })
		f.read(func(r api.Reader) error {
			got, err := r.Void(background, v.Sitting)
			same(t, "a void", got, v)
			return err
		})
	}
	again := v
	again.Reason = "another reason"
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddVoid(background, again) })
	again.Sitting = "none"
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddVoid(background, again) })
	f.read(func(r api.Reader) error {
		if _, err := r.Void(background, "none"); !errors.Is(err, api.ErrNone) {
			t.Errorf("no void: got %v, want ErrNone", err)
		}
		return nil
	})
}

// What refers to something that is not there is refused, and says so.
func references(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	unknown := sitting("s", "ana", api.Practice, 0)
	unknown.Revision = "99"
	orphan := sitting("s", "ana", api.Practice, 0)
	orphan.Confirms = "none"
	byNobody := revision("pump", "2", 1)
	byNobody.By = "nobody"
	for name, do := range map[string]func(api.Tx) error{
		"a sitting on an unknown revision": func(tx api.Tx) error { return tx.AddSitting(background, unknown, form("s"), items("s")) },
		"a sitting that confirms nothing":  func(tx api.Tx) error { return tx.AddSitting(background, orphan, form("s"), items("s")) },
		"a revision imported by nobody":    func(tx api.Tx) error { return tx.AddRevision(background, byNobody) },
		"a session of nobody":              func(tx api.Tx) error { return tx.AddSession(background, session("nobody", 1)) },
	} {
		if err := f.s.InTx(background, do); !errors.Is(err, api.ErrNone) {
			t.Errorf("%s: got %v, want ErrNone", name, err)
		}
	}
}
