package storetest

import (
	"testing"

	"soloright/api"
)

func recordChecks(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	first := api.StoredCheck{ID: "a", By: "ana", Begun: minutes(1), Seen: minutes(1), Part: "entries", Total: -1, Found: []byte("[]")}
	second := api.StoredCheck{ID: "b", Begun: minutes(1), Seen: minutes(2), Part: "sittings", Done: 3, Total: 9, Older: 7, Found: []byte(`["é"]`)}
	f.tx(func(tx api.Tx) error { return tx.PutCheck(background, first) })
	f.tx(func(tx api.Tx) error { return tx.PutCheck(background, second) })
	first.Seen, first.Ended, first.Part, first.Done, first.Total = minutes(4), minutes(4), "acts", 5, 6
	first.Entries, first.Records, first.Disagree, first.Found, first.Broke = 10, 11, 1, []byte(`["x"]`), "stopped"
	again := first
	again.By, again.Begun, again.Older = "bo", minutes(9), 99 // who asked for it, when and what for stays
	f.tx(func(tx api.Tx) error { return tx.PutCheck(background, again) })
	f.want(api.ErrNone, func(tx api.Tx) error {
		return tx.PutCheck(background, api.StoredCheck{ID: "c", By: "nobody", Begun: minutes(1), Seen: minutes(1)})
	})
	f.read(func(r api.Reader) error {
		all, err := r.LastChecks(background, 9)
		same(t, "checks", all, []api.StoredCheck{second, first})
		if err != nil {
			return err
		}
		one, err := r.LastChecks(background, 1)
		same(t, "the last check", one, []api.StoredCheck{second})
		return err
	})
}
