package storetest

import (
	"testing"

	"soloright/api"
)

// withdrawal is the nth decision on one subject.
func withdrawal(n int) api.Withdrawal {
	return api.Withdrawal{ItemSubject: api.ItemSubject{Procedure: "pump", Fact: "facing/cup", Model: "pick-the-facing"}, N: n, Withdrawn: n%2 == 1,
		At: minutes(n), By: "ana", Reason: "Two of its options are right."}
}

// withdrawals are kept by subject and number, each once.
func withdrawals(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	other, operator := withdrawal(1), withdrawal(1)
	other.Item = "one item"
	operator.Procedure, operator.By = "valve", ""
	f.tx(func(tx api.Tx) error {
		for _, w := range []api.Withdrawal{withdrawal(1), withdrawal(2), other, operator} {
			if err := tx.AddWithdrawal(background, w); err != nil {
				return err
			}
		}
		return nil
	})
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddWithdrawal(background, withdrawal(2)) })
	f.read(func(r api.Reader) error {
		all, err := r.Withdrawals(background, "pump")
		same(t, "the withdrawals of pump", all, []api.Withdrawal{withdrawal(1), withdrawal(2), other})
		if err != nil {
			return err
		}
		all, err = r.Withdrawals(background, "")
		same(t, "every withdrawal", all, []api.Withdrawal{withdrawal(1), withdrawal(2), other, operator})
		return err
	})
}

// heldBy finds the sittings whose forms hold an item, of a model or alone, of one
// revision or all.
func heldBy(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s1", "ana", api.Qualifying, 0))
	f.opened(sitting("s2", "bo", api.Qualifying, 0))
	it := items("s1")[0]
	f.read(func(r api.Reader) error {
		s := api.ItemSubject{Procedure: "pump", Fact: it.Lead, Model: it.Model}
		for _, c := range []struct {
			spoil func(*api.ItemSubject)
			want  int
		}{
			{func(*api.ItemSubject) {}, 2},
			{func(s *api.ItemSubject) { s.Item = it.Item }, 1},
			{func(s *api.ItemSubject) { s.Revision = sitting("s1", "ana", api.Qualifying, 0).Revision }, 2},
			{func(s *api.ItemSubject) { s.Item = "another" }, 0},
			{func(s *api.ItemSubject) { s.Revision = "another" }, 0},
			{func(s *api.ItemSubject) { s.Procedure = "another" }, 0},
			{func(s *api.ItemSubject) { s.Model = "another" }, 0},
			{func(s *api.ItemSubject) { s.Fact = "another" }, 0},
		} {
			subject := s
			c.spoil(&subject)
			ids, err := r.SittingsWith(background, subject)
			if err != nil {
				return err
			}
			if len(ids) != c.want {
				t.Errorf("%+v: %v, want %d", subject, ids, c.want)
			}
		}
		return nil
	})
}
