package api_test

import (
	"database/sql"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring"
)

// responses reads everything that analysis can read, without the places.
func (s *site) responses() map[string]api.SittingResponses {
	s.t.Helper()
	out := map[string]api.SittingResponses{}
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		all, err := r.Responses(s.t.Context(), 0, 1000)
		for _, one := range all {
			one.Place = 0
			out[one.Sitting] = one
		}
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

// shell changes working state behind the program's back.
func (s *site) shell(query string, args ...any) {
	s.t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(s.folder, "soloright.db"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(query, args...); err != nil {
		s.t.Fatal(err)
	}
}

// What a sitting says is what its marking says, sheet by sheet.
func TestResponsesSayWhatTheMarkingSays(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if n == 1 {
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	res := s.hand(c, sit.ID)
	got := s.responses()[sit.ID]
	if got.Person != sit.Person || got.Procedure != sit.Procedure || got.Mode != api.Practice || got.N != 1 || !got.HandedIn.Equal(res.Sitting.HandedIn) {
		t.Errorf("the sitting reads %+v", got)
	}
	form := s.form(sit.ID)
	for i, r := range got.Sheets {
		m, it := res.Outcome.Items[i], form.Items[i]
		chance, _ := it.Chance.Full.Rat.Float64()
		if r.Sheet != i+1 || r.Item != it.ID || r.Lead != it.Lead || r.Chance != chance || r.Blank != m.Blank || r.Full() != (m.Mark.String() == "1") {
			t.Errorf("sheet %d reads %+v; it was marked %s", i+1, r, m.Mark)
		}
		for j, f := range r.Facts {
			if f.Fact != m.Facts[j].Fact || f.State != m.Facts[j].State {
				t.Errorf("sheet %d: fact %+v, marked %+v", i+1, f, m.Facts[j])
			}
		}
		for _, o := range r.Options {
			if o.Text == "" || r.Blank && o.Chosen || !r.Blank && o.Chosen != o.Right && o.Chosen {
				t.Errorf("sheet %d (%s): option %+v of an answer that is right", i+1, r.Model, o)
			}
		}
	}
	if len(got.Sheets) != len(form.Items) || !got.Sheets[0].Blank || got.Sheets[0].Facts[0].State != scoring.Blank {
		t.Errorf("%d sheets of %d, the first %+v, which was left blank", len(got.Sheets), len(form.Items), got.Sheets[0])
	}
}

// What is kept for analysis can be thrown away: working it out anew gives the
// same, and what somebody changed in it is put right.
func TestResponsesWorkedOutAnewAreTheSame(t *testing.T) {
	s := newSite(t)
	last := s.history()
	if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: last.ID, Reason: "sat with the manual open"}); err != nil {
		t.Fatal(err)
	}
	want := s.responses()
	if len(want) < 4 || !want[last.ID].Void || want[last.ID].Sheets != nil {
		t.Fatalf("%d sittings, and the one struck out is %+v", len(want), want[last.ID])
	}
	rework := func(mended int) {
		t.Helper()
		looked, n, err := s.ReworkResponses(t.Context(), func(int) {})
		if err != nil || looked != len(want) || n != mended {
			t.Errorf("looked at %d sittings and put %d right (%v), want %d and %d", looked, n, err, len(want), mended)
		}
		if diff := cmp.Diff(want, s.responses()); diff != "" {
			t.Errorf("worked out anew it is otherwise:\n%s", diff)
		}
	}
	rework(0)
	s.shell(`DELETE FROM responses`)
	filled, err := s.FillResponses(t.Context())
	if err != nil || filled != len(want) {
		t.Errorf("%d sittings filled in of %d: %v", filled, len(want), err)
	}
	rework(len(want) - filled) // one that is struck out is looked for by nobody but the rework
	s.shell(`DELETE FROM responses`)
	rework(len(want))
	s.shell(`UPDATE responses SET sheets = CAST(replace(CAST(sheets AS TEXT), '"right"', '"wrong"') AS BLOB) WHERE void = 0`)
	rework(len(want) - 1)
	s.shell(`UPDATE responses SET void = 1, sheets = CAST('' AS BLOB) WHERE sitting = (SELECT MIN(sitting) FROM responses WHERE void = 0)`)
	rework(1)
}
