package storetest

import (
	"errors"
	"testing"

	"soloright/api"
)

func sittings(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	s := f.opened(sitting("s", "ana", api.Qualifying, 0))
	same(t, "an open sitting", f.sittingNow("s"), s)
	f.read(func(r api.Reader) error {
		got, err := r.Form(background, "s")
		same(t, "the form, to the byte", got, form("s"))
		_, none := r.Form(background, "t")
		_, none2 := r.Sitting(background, "t")
		if !errors.Is(none, api.ErrNone) || !errors.Is(none2, api.ErrNone) {
			t.Errorf("no sitting: got %v and %v, want ErrNone", none, none2)
		}
		return err
	})
	want := api.Open{ID: "s", Person: "ana", Mode: api.Qualifying, Opened: s.Opened, Deadline: s.Deadline}
	f.tx(func(tx api.Tx) error {
		shared, err := tx.OpenShared(background, "s")
		same(t, "held shared", shared, want)
		exclusive, err2 := tx.OpenExclusive(background, "s")
		same(t, "held exclusive", exclusive, want)
		return errors.Join(err, err2)
	})
	f.handedIn("s", 3)
	s.State, s.HandedIn = api.StateHandedIn, minutes(3)
	same(t, "handed in", f.sittingNow("s"), s)
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.OpenShared(background, "s"); return err })
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.OpenExclusive(background, "s"); return err })
	f.marked(marking("s", 1, 4), facts())
	s.State, s.Verdict, s.Percent = api.StateMarked, "passed", 81
	same(t, "marked", f.sittingNow("s"), s)
	f.marked(marking("s", 2, 5), facts())
	s.Percent = 82
	same(t, "marked again: the last one stands", f.sittingNow("s"), s)
	f.tx(func(tx api.Tx) error {
		return tx.AddVoid(background, api.Void{Sitting: "s", At: minutes(6), By: "bo", Reason: "the wrong pump"})
	})
	s.State = api.StateVoid
	same(t, "void", f.sittingNow("s"), s)
}

func oneOpenSitting(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Qualifying, 0))
	add := func(s api.Sitting) func(api.Tx) error {
		return func(tx api.Tx) error { return tx.AddSitting(background, s, form(s.ID), items(s.ID)) }
	}
	f.want(api.ErrExists, add(sitting("t", "ana", api.Qualifying, 1)))
	f.want(api.ErrExists, add(sitting("s", "bo", api.Qualifying, 1))) // the id is taken
	f.opened(sitting("u", "ana", api.Practice, 1))                    // another mode
	f.opened(sitting("v", "bo", api.Qualifying, 1))                   // another person
	f.handedIn("s", 2)
	f.opened(sitting("w", "ana", api.Qualifying, 3)) // the first is closed
	f.want(api.ErrExists, add(sitting("x", "ana", api.Qualifying, 4)))
	f.want(api.ErrNone, add(sitting("y", "nobody", api.Qualifying, 4)))
}

func oneConfirming(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("first", "ana", api.Qualifying, 0))
	f.handedIn("first", 1)
	confirms := func(id string) api.Sitting {
		s := sitting(id, "ana", api.Qualifying, 2)
		s.Confirms = "first"
		return s
	}
	refused := func(id string) {
		t.Helper()
		s := confirms(id)
		f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddSitting(background, s, form(id), items(id)) })
	}
	f.opened(sitting("new", "ana", api.Qualifying, 1)) // a new try does not stand in the way
	c := f.opened(confirms("c"))
	same(t, "a confirming sitting", f.sittingNow("c"), c)
	refused("d") // while the first is open
	f.handedIn("c", 3)
	refused("d") // after it was handed in
	f.marked(marking("c", 1, 4), facts())
	f.tx(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: "c", At: minutes(5)}) })
	refused("d") // and whatever came of it
}

// ids of sittings, in order.
func ids(all []api.Sitting) []string {
	out := []string{}
	for _, s := range all {
		out = append(out, s.ID)
	}
	return out
}

func filters(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.tx(func(tx api.Tx) error { return tx.AddRevision(background, revision("flange", "1", 0)) })
	// a and b open at the same instant, so the id decides; Z sorts before a.
	for _, s := range []api.Sitting{
		sitting("a", "ana", api.Practice, 1), sitting("b", "bo", api.Practice, 1), sitting("Z", "bo", api.Qualifying, 1),
		sitting("c", "ana", api.Qualifying, 2),
	} {
		f.opened(s)
	}
	flange := sitting("f", "ana", api.Practice, 3)
	flange.Procedure = "flange"
	f.opened(flange)
	f.handedIn("c", 4)
	confirming := sitting("d", "ana", api.Qualifying, 5)
	confirming.Confirms = "c"
	f.opened(confirming)
	for _, id := range []string{"b", "Z", "f"} {
		f.handedIn(id, 6)
	}
	f.marked(marking("Z", 1, 7), facts())
	f.marked(marking("f", 1, 7), facts())
	f.tx(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: "f", At: minutes(8)}) })
	// a open, b handed in, Z marked, c handed in, d open, f void

	for _, c := range []struct {
		filter api.SittingFilter
		want   []string
	}{
		{api.SittingFilter{}, []string{"d", "f", "c", "b", "a", "Z"}},
		{api.SittingFilter{Limit: 2}, []string{"d", "f"}},
		{api.SittingFilter{Person: "ana"}, []string{"d", "f", "c", "a"}},
		{api.SittingFilter{Person: "ana", Limit: 3}, []string{"d", "f", "c"}},
		{api.SittingFilter{Person: "nobody"}, []string{}},
		{api.SittingFilter{Procedure: "pump"}, []string{"d", "c", "b", "a", "Z"}},
		{api.SittingFilter{Person: "ana", Procedure: "flange"}, []string{"f"}},
		{api.SittingFilter{Mode: api.Practice}, []string{"f", "b", "a"}},
		{api.SittingFilter{Confirms: "c"}, []string{"d"}},
		{api.SittingFilter{Confirms: "c", Person: "bo"}, []string{}},
		{api.SittingFilter{Confirms: "a"}, []string{}},
		{api.SittingFilter{State: api.StateOpen}, []string{"d", "a"}},
		{api.SittingFilter{State: api.StateOpen, Limit: 1}, []string{"d"}},
		{api.SittingFilter{State: api.StateOpen, Person: "ana", Procedure: "pump", Mode: api.Practice}, []string{"a"}},
		{api.SittingFilter{State: api.StateOpen, Procedure: "flange"}, []string{}},
		{api.SittingFilter{State: api.StateOpen, Person: "bo"}, []string{}},
		{api.SittingFilter{State: api.StateOpen, Confirms: "c"}, []string{"d"}},
		{api.SittingFilter{State: api.StateHandedIn}, []string{"c", "b"}},
		{api.SittingFilter{State: api.StateMarked}, []string{"Z"}},
		{api.SittingFilter{State: api.StateVoid}, []string{"f"}},
		{api.SittingFilter{State: api.StateMarked, Person: "ana"}, []string{}},
		{api.SittingFilter{State: api.StateMarked, Procedure: "pump", Mode: api.Qualifying, Person: "bo"}, []string{"Z"}},
	} {
		f.read(func(r api.Reader) error {
			got, err := r.Sittings(background, c.filter)
			if len(got) == len(c.want) {
				same(t, "filter", ids(got), c.want)
			} else {
				t.Errorf("%+v: got %v, want %v", c.filter, ids(got), c.want)
			}
			for _, s := range got {
				one, err := r.Sitting(background, s.ID)
				same(t, "listed and read alone", s, one)
				if err != nil {
					return err
				}
			}
			return err
		})
	}
}

func met(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.tx(func(tx api.Tx) error { return tx.AddRevision(background, revision("flange", "1", 0)) })
	f.opened(sitting("b", "ana", api.Practice, 10))
	f.opened(sitting("a", "ana", api.Qualifying, 10)) // the same instant: by id
	f.opened(sitting("other", "bo", api.Practice, 10))
	flange := sitting("f", "ana", api.Practice, 10)
	flange.Procedure = "flange"
	f.opened(flange)
	f.handedIn("a", 20)
	f.marked(marking("a", 1, 21), facts(api.MarkedFact{Sheet: 1, Fact: "fact-1", State: "wrong"}, api.MarkedFact{Sheet: 1, Fact: "common", State: "blank"},
		api.MarkedFact{Sheet: 3, Fact: "common", State: "wrong"}))
	f.marked(marking("a", 2, 31), facts(api.MarkedFact{Sheet: 2, Fact: "fact-2", State: "wrong"}))
	f.opened(sitting("late", "ana", api.Qualifying, 40))

	fresh := append(items("a"), items("b")...)
	first := append(items("a"), items("b")...)
	first[0].Missed = append(first[0].Missed, "common", "fact-1")
	first[2].Missed = append(first[2].Missed, "common")
	second := append(items("a"), items("b")...)
	second[1].Missed = append(second[1].Missed, "fact-2")
	for _, c := range []struct {
		before int
		want   []api.MetItem
	}{
		{10, []api.MetItem{}}, // opened before, not at
		{11, fresh},
		{20, fresh},  // handed in is not marked
		{21, first},  // the marking stands from its own instant on
		{30, first},  // the second marking is not known yet
		{31, second}, // it replaces the first as a whole
		{40, second},
		{41, append(second, items("late")...)},
	} {
		f.read(func(r api.Reader) error {
			got, err := r.Met(background, "ana", "pump", minutes(c.before))
			same(t, "met before minute "+minutes(c.before).Format("15:04"), got, c.want)
			return err
		})
	}
	f.tx(func(tx api.Tx) error { return tx.AddVoid(background, api.Void{Sitting: "a", At: minutes(50)}) })
	f.read(func(r api.Reader) error {
		got, err := r.Met(background, "ana", "pump", minutes(40))
		same(t, "what was met stays met", got, second)
		return err
	})
}
