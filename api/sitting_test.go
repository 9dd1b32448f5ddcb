package api_test

import (
	"encoding/json"
	"regexp"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

func TestWhoAnswersEverythingRightPasses(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	r := s.hand(c, sit.ID)
	if r.Final != scoring.Passed || r.Outcome.Percent != 100 || len(r.Outcome.Again) != 0 {
		t.Errorf("all right: %s with %d %%, to learn again %v", r.Final, r.Outcome.Percent, r.Outcome.Again)
	}
	if r.Sitting.State != api.StateMarked {
		t.Errorf("state %s, want marked", r.Sitting.State)
	}
}

func TestWhoAnswersNothingFailsAndHearsOfEveryFact(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	r := s.hand(c, sit.ID)
	if r.Final != scoring.Failed || r.Outcome.Percent != 0 {
		t.Errorf("blank: %s with %d %%", r.Final, r.Outcome.Percent)
	}
	facts := map[string]bool{}
	for _, it := range s.form(sit.ID).Items {
		for _, f := range it.Facts {
			facts[string(f.Fact)] = true
		}
	}
	if len(r.Outcome.Again) != len(facts) {
		t.Errorf("%d facts to learn again, the form tests %d", len(r.Outcome.Again), len(facts))
	}
	for _, m := range r.Outcome.Again {
		if !m.Blank || m.Step == "" {
			t.Errorf("%s: blank %v, step %q", m.Fact, m.Blank, m.Step)
		}
	}
}

func TestSavesAreIdempotentAndOrdered(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	right := s.right(1, s.form(sit.ID).Items[0])
	save := func(rev int64, a quiz.Answer) api.Kept {
		t.Helper()
		k, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: rev, Answer: a})
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	if k := save(3, right); !k.Applied || k.Revision != 3 {
		t.Errorf("first save: %+v", k)
	}
	for _, rev := range []int64{1, 2, 3} {
		if k := save(rev, quiz.Answer{}); k.Applied || k.Revision != 3 {
			t.Errorf("save of revision %d after 3: %+v, want acknowledged and not applied", rev, k)
		}
	}
	if got, want := s.kept(t.Context(), sit.ID)[1], string(right.Canonical()); got != want {
		t.Errorf("kept %s, want %s", got, want)
	}
	if k := save(4, quiz.Answer{}); !k.Applied {
		t.Errorf("save of revision 4: %+v", k)
	}
}

func TestAnotherBuildIsNotGivenForTheOneAskedFor(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	ask := func(build string) (api.Sitting, error) {
		return s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: "flanged-joint", Build: build, Mode: api.Practice})
	}
	first, err := ask("b8")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := ask("b8"); err != nil || again.ID != first.ID {
		t.Errorf("the same build again: %s, %v; want %s", again.ID, err, first.ID)
	}
	_, err = ask("b16")
	if e := wantKind(t, err, api.Conflict); e.State != string(api.StateOpen) {
		t.Errorf("state %q, want open", e.State)
	}
	s.hand(c, first.ID)
	if next, err := ask("b16"); err != nil || next.Build != "b16" {
		t.Errorf("after the hand-in: build %q, %v; want b16", next.Build, err)
	}
}

func TestSomebodyElsesSittingIsNotFound(t *testing.T) {
	s := newSite(t)
	sit := s.open(s.role(api.Technician), api.Qualifying)
	for _, other := range []api.Person{s.add("other", api.Technician), s.people[api.Trainer]} {
		c := s.as(other)
		_, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 1})
		wantKind(t, err, api.NotFound)
		_, err = s.HandIn(t.Context(), c, sit.ID)
		wantKind(t, err, api.NotFound)
		_, err = s.Sheet(t.Context(), c, sit.ID, 1)
		wantKind(t, err, api.NotFound)
	}
}

func TestAfterTheHandInAnswersAreClosed(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	_, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 99})
	if e := wantKind(t, err, api.Conflict); e.State != string(api.StateMarked) {
		t.Errorf("state %q, want marked", e.State)
	}
	if r := s.hand(c, sit.ID); r.Final != scoring.Passed {
		t.Errorf("handed in twice: %s", r.Final)
	}
}

func TestWhenTheTimeIsUp(t *testing.T) {
	s := newSite(t)
	for _, how := range []string{"answer", "read", "list", "sweep"} {
		t.Run(how, func(t *testing.T) {
			c := s.as(s.add("late-"+how, api.Technician))
			sit := s.open(c, api.Qualifying)
			s.answer(c, sit.ID, s.right)
			s.wait(sit.Deadline.Sub(s.now()) + 90*time.Second)
			switch how {
			case "answer":
				_, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 99})
				if e := wantKind(t, err, api.Conflict); e.State != string(api.StateHandedIn) {
					t.Errorf("state %q, want handed in", e.State)
				}
			case "read":
				if _, err := s.Sitting(t.Context(), c, sit.ID); err != nil {
					t.Fatal(err)
				}
			case "list":
				all, err := s.Sittings(t.Context(), c, api.SittingFilter{Person: s.person(c)})
				if err != nil || len(all) != 1 || all[0].State != api.StateMarked {
					t.Fatalf("the list says %+v, %v; want one marked sitting", all, err)
				}
			case "sweep":
				if done, err := s.Sweep(t.Context()); err != nil || done.HandedIn != 1 {
					t.Fatalf("sweep: %+v, %v", done, err)
				}
			}
			r, err := s.Result(t.Context(), c, sit.ID)
			if err != nil {
				t.Fatal(err)
			}
			if !r.HandIn.TimeUp || !r.HandIn.At.Equal(sit.Deadline) {
				t.Errorf("handed in at %s (time up %v), want the deadline %s", r.HandIn.At, r.HandIn.TimeUp, sit.Deadline)
			}
			if r.Final != scoring.Passed {
				t.Errorf("kept answers were lost: %s, %d %%", r.Final, r.Outcome.Percent)
			}
		})
	}
}

func TestAnUnreadableAnswerIsNotKept(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	for i, it := range s.form(sit.ID).Items {
		bad := quiz.Answer{Options: []string{"no-such-option"}}
		switch it.Interaction.Kind {
		case quiz.Numeric:
			bad = quiz.Answer{Number: "about twelve"}
		case quiz.Order, quiz.Sequence:
			id := it.Interaction.Options[0].ID
			bad = quiz.Answer{Options: []string{id, id}}
		case quiz.Match:
			bad = quiz.Answer{Rows: map[string]string{it.Interaction.Rows[0].ID: "nowhere"}}
		}
		_, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: i + 1, Revision: 1, Answer: bad})
		if e := wantKind(t, err, api.Invalid); len(e.Fields) == 0 || !regexp.MustCompile(`^answer\.`).MatchString(e.Fields[0].Field) {
			t.Errorf("sheet %d (%s): fields %v", i+1, it.Interaction.Kind, e.Fields)
		}
	}
	if kept := s.kept(t.Context(), sit.ID); len(kept) != 0 {
		t.Errorf("kept of unreadable answers: %v", kept)
	}
}

// Nobody outside the server sees a key before marking, and a qualifying
// sitting's keys stay hidden after it too.
func TestKeysStayHidden(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	secret := regexp.MustCompile(`"(key|facts|feedback|explain|signature|shows|lead|model|seed)":|"right":(true|false)`)
	look := func(what string, v any) {
		t.Helper()
		raw, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		if m := secret.FindString(string(raw)); m != "" {
			t.Errorf("%s gives away %s: %s", what, m, raw)
		}
	}
	for n := 1; n <= sit.Items; n++ {
		v, err := s.Sheet(t.Context(), c, sit.ID, n)
		if err != nil {
			t.Fatal(err)
		}
		look("a sheet", v.Sheet)
	}
	_, err := s.Explain(t.Context(), c, sit.ID, 1)
	wantKind(t, err, api.Conflict)
	_, err = s.Preview(t.Context(), c, "aodd-air-side", "", "", quiz.Seed{})
	wantKind(t, err, api.Forbidden)
	if r := s.hand(c, sit.ID); len(r.Review) != 0 {
		t.Error("a qualifying result shows its sheets with keys")
	}
}

func TestPracticeExplainsAndFixes(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	right := s.right(1, s.form(sit.ID).Items[0])
	if _, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 1, Answer: right}); err != nil {
		t.Fatal(err)
	}
	x, err := s.Explain(t.Context(), c, sit.ID, 1)
	if err != nil {
		t.Fatal(err)
	}
	if x.Marked.Mark.String() != "1" || x.Item.Explain == "" {
		t.Errorf("explained: mark %s, %q", x.Marked.Mark, x.Item.Explain)
	}
	k, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 9})
	if err != nil || k.Applied {
		t.Errorf("an explained answer was changed: %+v, %v", k, err)
	}
	if x, err = s.Explain(t.Context(), c, sit.ID, 2); err != nil || !x.Marked.Blank {
		t.Errorf("explaining a blank sheet: %+v, %v", x.Marked, err)
	}
	if r := s.hand(c, sit.ID); len(r.Review) != sit.Items {
		t.Errorf("practice shows %d of %d sheets", len(r.Review), sit.Items)
	}
}

func TestOpeningAgainGoesOnWithTheOpenSitting(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	a := s.open(c, api.Qualifying)
	if b := s.open(c, api.Qualifying); b.ID != a.ID {
		t.Errorf("two open qualifying sittings: %s and %s", a.ID, b.ID)
	}
	s.hand(c, a.ID)
	p := s.open(c, api.Practice)
	if again := s.open(c, api.Practice); p.ID == a.ID || again.ID != p.ID {
		t.Errorf("practice opened as %s, again as %s", p.ID, again.ID)
	}
	s.wait(24 * time.Hour) // it was not passed
	if b := s.open(s.role(api.Technician), api.Qualifying); b.ID == a.ID {
		t.Error("a handed-in sitting was opened again")
	}
}

// While a qualifying sitting on a procedure is open, nothing that would answer it
// can be had beside it: no steps and facts, no practice, no explanation, no keys
// of an earlier practice.
func TestAQualifyingSittingIsClosedBook(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	old := s.open(c, api.Practice)
	s.hand(c, old.ID)
	begun := s.open(c, api.Practice)
	q := s.open(c, api.Qualifying)
	beside := map[string]func() error{
		"the procedure": func() error { _, err := s.Procedure(t.Context(), c, "aodd-air-side", ""); return err },
		"practice": func() error {
			_, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Practice})
			return err
		},
		"an explanation": func() error { _, err := s.Explain(t.Context(), c, begun.ID, 1); return err },
		"old keys":       func() error { _, err := s.Result(t.Context(), c, old.ID); return err },
	}
	for what, get := range beside {
		if err := get(); api.KindOf(err) != api.Conflict {
			t.Errorf("%s beside an open qualifying sitting: %v, want a conflict", what, err)
		}
	}
	if _, err := s.Procedure(t.Context(), c, "energy-isolation", ""); err != nil {
		t.Errorf("another procedure: %v", err)
	}
	if _, err := s.Sheet(t.Context(), c, q.ID, 1); err != nil {
		t.Errorf("its own sheets: %v", err)
	}
	s.hand(c, q.ID)
	for what, get := range beside {
		if err := get(); err != nil {
			t.Errorf("%s after the hand-in: %v", what, err)
		}
	}
}

// A qualifying form holds one item on isolation, so that luck does not decide,
// and always the same facts; practice has no such bound, so that all come up.
func TestPracticeAsksWhatAQualifyingFormBounds(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	most, proofs := map[api.Mode]int{}, map[api.Mode]int{}
	for range 8 {
		for _, m := range []api.Mode{api.Qualifying, api.Practice} {
			sit := s.open(c, m)
			n := 0
			for _, it := range s.form(sit.ID).Items {
				if criticals(it) < 0 {
					n++
				}
				if it.Model == "prove-zero" {
					proofs[m]++
				}
			}
			most[m] = max(most[m], n)
			s.answer(c, sit.ID, s.right) // what is missed comes again and leaves less room
			s.hand(c, sit.ID)
			s.wait(time.Minute)
		}
	}
	if most[api.Qualifying] > 1 || most[api.Practice] < 2 || proofs[api.Practice] == 0 {
		t.Errorf("items on isolation on a form, at most: %v; on proofs in all: %v; want 1 in qualifying and more in practice", most, proofs)
	}
	if rep := s.replay(); len(rep.Differences) != 0 {
		t.Errorf("practice does not replay: %v", rep.Differences[0])
	}
}

// No concrete item twice for one person while another on that fact can be written.
func TestTheNextFormIsFresh(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	p, err := s.Procedure(t.Context(), c, "aodd-air-side", "")
	if err != nil {
		t.Fatal(err)
	}
	ed, err := api.MakeEdition(p, library.BlueprintSource(p.ID), "", itemmodel.All())
	if err != nil {
		t.Fatal(err)
	}
	met := map[content.FactID]map[string]bool{}
	for range 3 {
		sit := s.open(c, api.Qualifying)
		for _, it := range s.form(sit.ID).Items {
			can := 0
			for _, f := range ed.Bank.FamiliesOf(it.Lead) {
				can += f.Count
			}
			if on := met[it.Lead]; on[it.ID] && len(on) < can {
				t.Errorf("%s on %s came twice, %d of %d items on it were met", it.Model, it.Lead, len(on), can)
			}
			if met[it.Lead] == nil {
				met[it.Lead] = map[string]bool{}
			}
			met[it.Lead][it.ID] = true
		}
		s.answer(c, sit.ID, s.right)
		s.hand(c, sit.ID)
		s.wait(time.Hour)
	}
}
