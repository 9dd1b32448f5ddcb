package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/quiz"
)

const because = "Two of its options are right, says the foreman."

// subjectOf is the family of a sheet.
func subjectOf(it quiz.Item) api.ItemSubject {
	return api.ItemSubject{Procedure: pump, Fact: it.Lead, Model: it.Model}
}

func (s *site) withdraw(sub api.ItemSubject) {
	s.t.Helper()
	if _, err := s.WithdrawItem(s.t.Context(), s.role(api.Trainer), api.WithdrawCommand{ItemSubject: sub, Reason: because}); err != nil {
		s.t.Fatal(err)
	}
}

// often is the family that stands on a form first, of an unflagged plain fact where
// the fact has another model.
func (s *site) often(sit api.Sitting) (int, quiz.Item) {
	s.t.Helper()
	for i, it := range s.form(sit.ID).Items {
		if criticals(it) == 0 && it.Interaction.Kind == quiz.Choice {
			return i + 1, it
		}
	}
	s.t.Fatal("the form has no plain choice")
	return 0, quiz.Item{}
}

// From the withdrawal on no form holds the family, until it is taken up again; the
// forms before it, between and after are set again to the byte.
func TestWithdrawnItemsAreNotWritten(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	first := s.open(c, api.Qualifying)
	s.answer(c, first.ID, s.right)
	s.hand(c, first.ID)
	gone := map[api.ItemSubject]bool{}
	for _, it := range s.form(first.ID).Items[10:16] {
		gone[subjectOf(it)] = true
		s.withdraw(subjectOf(it))
	}
	for i := range 6 {
		other := s.as(s.add(fmt.Sprint("tech", i), api.Technician))
		sit := s.open(other, []api.Mode{api.Qualifying, api.Practice}[i%2])
		form := s.form(sit.ID)
		if len(form.Without) != len(gone) {
			t.Errorf("the form says that it was set without %v", form.Without)
		}
		for _, it := range form.Items {
			if gone[subjectOf(it)] {
				t.Errorf("form %d holds %s on %s", i, it.Model, it.Lead)
			}
		}
		s.hand(other, sit.ID)
	}
	for sub := range gone {
		if _, err := s.TakeUpItem(t.Context(), s.role(api.Trainer), api.WithdrawCommand{ItemSubject: sub, Reason: "The procedure says it plainly now."}); err != nil {
			t.Fatal(err)
		}
	}
	last := s.as(s.add("last", api.Technician))
	sit := s.open(last, api.Qualifying)
	if f := s.form(sit.ID); f.Without != nil {
		t.Errorf("all is taken up again, and the form was set without %v", f.Without)
	}
	s.hand(last, sit.ID)
	if rep := s.replay(); len(rep.Differences) > 0 || rep.Reassembled != 8 {
		t.Errorf("%d forms set again: %v", rep.Reassembled, rep.Differences)
	}
	s.sound()
}

// A withdrawal on another revision than the one in force keeps nothing off the forms.
func TestWithdrawalOnAnotherRevision(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	_, it := s.often(sit)
	s.hand(c, sit.ID)
	sub := subjectOf(it)
	s.lone("A", true, func(text string) string { return text })
	sub.Revision = "A"
	s.withdraw(sub)
	next := s.as(s.add("next", api.Technician))
	if f := s.form(s.open(next, api.Practice).ID); f.Without != nil {
		t.Errorf("the revision in force has nothing withdrawn, and the form was set without %v", f.Without)
	}
	for _, w := range s.withdrawals() {
		if w.Revision != "A" || !w.Withdrawn || w.N != 1 || w.Reason != because {
			t.Errorf("%+v", w)
		}
	}
	sub.Revision = "no such"
	_, err := s.WithdrawItem(t.Context(), s.role(api.Trainer), api.WithdrawCommand{ItemSubject: sub, Reason: because})
	wantKind(t, err, api.NotFound)
}

func (s *site) withdrawals() []api.Withdrawal {
	s.t.Helper()
	all, err := s.Withdrawals(s.t.Context(), s.role(api.SafetyOfficer), pump)
	if err != nil {
		s.t.Fatal(err)
	}
	return all
}

func TestWithdrawalsThatAreRefused(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	_, it := s.often(s.open(c, api.Practice))
	good := subjectOf(it)
	for name, x := range map[string]struct {
		spoil func(*api.WithdrawCommand)
		want  api.Kind
	}{
		"no reason":            {func(w *api.WithdrawCommand) { w.Reason = "" }, api.Invalid},
		"no such procedure":    {func(w *api.WithdrawCommand) { w.Procedure = "x" }, api.NotFound},
		"no such fact":         {func(w *api.WithdrawCommand) { w.Fact = "facing/x" }, api.Invalid},
		"no such model":        {func(w *api.WithdrawCommand) { w.Model = "x" }, api.Invalid},
		"an item nobody asked": {func(w *api.WithdrawCommand) { w.Item = strings.Repeat("0", 32) }, api.Invalid},
	} {
		cmd := api.WithdrawCommand{ItemSubject: good, Reason: because}
		x.spoil(&cmd)
		_, err := s.WithdrawItem(t.Context(), s.role(api.Trainer), cmd)
		if api.KindOf(err) != x.want {
			t.Errorf("%s: %v, want %s", name, err, x.want)
		}
	}
	cmd := api.WithdrawCommand{ItemSubject: good, Reason: because}
	_, err := s.TakeUpItem(t.Context(), s.role(api.Trainer), cmd)
	wantKind(t, err, api.Conflict)
	s.withdraw(good)
	_, err = s.WithdrawItem(t.Context(), s.role(api.Trainer), cmd)
	wantKind(t, err, api.Conflict)
	cmd.Item = it.ID
	if _, err := s.WithdrawItem(t.Context(), s.role(api.Trainer), cmd); err != nil {
		t.Errorf("one item of it: %v", err)
	}
	if n := len(s.withdrawals()); n != 2 {
		t.Errorf("%d withdrawals are on the record, want 2", n)
	}
}

// Who withdraws, ends, alters or takes out what is on the record is found.
func TestAlteredWithdrawalsAreNamed(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { alteredWithdrawals(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { alteredWithdrawals(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

func alteredWithdrawals(t *testing.T, s *site) {
	_, it := s.often(s.open(s.role(api.Technician), api.Practice))
	s.withdraw(subjectOf(it))
	s.wait(time.Minute)
	s.sound()
	h := hand{t, s.raw(), s.url}
	for _, a := range []struct{ query, want string }{
		{"UPDATE item_withdrawals SET reason = reason || '.'", "its reason is not what entry"},
		{"UPDATE item_withdrawals SET withdrawn = NOT withdrawn", "whether it withdraws is not what entry"},
		{"UPDATE item_withdrawals SET model = 'other'", "and that is not in the database"},
		{"DELETE FROM item_withdrawals", "and that is not in the database"},
		{"INSERT INTO item_withdrawals (procedure, revision, fact, model, item, n, withdrawn, at, done_by, reason) SELECT procedure, revision, fact, model, item, 2, NOT withdrawn, at, done_by, reason FROM item_withdrawals",
			"is in the database and no entry"},
	} {
		h.undone([]string{"item_withdrawals"}, func() {
			h.do(a.query)
			said := s.check(nil)
			if !slices.ContainsFunc(said, func(what string) bool { return strings.Contains(what, a.want) }) {
				t.Errorf("%s: %v, want %q", a.query, said, a.want)
			}
		})
	}
	s.sound()
}
