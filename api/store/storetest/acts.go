package storetest

import (
	"errors"
	"testing"

	"soloright/api"
	"soloright/scoring/clearance"
)

// act is an act at a place of the record.
func act(seq int64, at int) api.StoredAct {
	return api.StoredAct{Seq: seq, At: minutes(at), By: "bo", Kind: clearance.Suspended{}.Kind(), Person: "ana", Procedure: "pump", Subject: "s",
		Data: []byte("{\"reason\":\"\u00e9 \\u0000\"}")}
}

func acts(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	first, second, other := act(2, 5), act(5, 4), act(9, 6)
	second.Person, second.By, second.Subject = "bo", "", ""
	other.Procedure, other.Subject = "", "appointment"
	f.tx(func(tx api.Tx) error { return tx.AddActs(background, nil) })
	f.tx(func(tx api.Tx) error { return tx.AddActs(background, []api.StoredAct{first, second}) })
	f.tx(func(tx api.Tx) error { return tx.AddActs(background, []api.StoredAct{other}) })

	forged := act(5, 1)
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddActs(background, []api.StoredAct{act(11, 1), forged}) })
	stranger := act(12, 1)
	stranger.By = "nobody"
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddActs(background, []api.StoredAct{stranger}) })
	f.read(func(r api.Reader) error {
		var failed []error
		list := func(what string, want []api.StoredAct) func([]api.StoredAct, error) {
			return func(got []api.StoredAct, err error) {
				failed = append(failed, err)
				same(t, what, append([]api.StoredAct(nil), got...), want)
			}
		}
		list("all acts", []api.StoredAct{first, second, other})(r.Acts(background, 0, 10))
		list("the next act", []api.StoredAct{second})(r.Acts(background, 2, 1))
		list("acts after the last", nil)(r.Acts(background, 9, 10))
		list("a person's acts", []api.StoredAct{first, other})(r.ActsOfPerson(background, "ana"))
		list("a procedure's acts", []api.StoredAct{first, second})(r.ActsOfProcedure(background, "pump"))
		list("acts about a sitting", []api.StoredAct{first})(r.ActsAbout(background, "s"))
		for _, c := range actFilters(first, second, other) {
			list(c.name, c.want)(r.ActsOfKind(background, c.filter))
		}
		return errors.Join(failed...)
	})
}

func unsettledSittings(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	for i, id := range []string{"b", "a", "c"} {
		f.opened(sitting(id, []string{"ana", "bo", "ana"}[i], []api.Mode{api.Qualifying, api.Qualifying, api.Practice}[i], i))
		f.handedIn(id, 10)
	}
	note := func(id string, at int) {
		f.tx(func(tx api.Tx) error { return tx.AddUnsettled(background, id, minutes(at)) })
	}
	note("b", 10)
	note("a", 10)
	note("c", 9)
	note("c", 30) // once is enough
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddUnsettled(background, "none", minutes(1)) })
	are := func(what string, by, limit int, want ...string) {
		t.Helper()
		f.read(func(r api.Reader) error {
			got, err := r.Unsettled(background, minutes(by), limit)
			same(t, what, append([]string(nil), got...), want)
			return err
		})
	}
	are("unsettled by then, oldest first", 10, 10, "c", "a", "b")
	are("no more than asked for", 10, 2, "c", "a")
	are("before that", 9, 10, "c")
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.DropUnsettled(background, "c"), tx.DropUnsettled(background, "c"))
	})
	are("after one is settled", 10, 10, "a", "b")
}
