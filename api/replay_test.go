package api_test

import (
	"database/sql"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"soloright/api"
)

// tamper changes the embedded database behind the program's back: it takes the
// triggers of a table away, as somebody with the file in hand could.
func (s *site) tamper(table, query string, args ...any) {
	s.t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(s.folder, "soloright.db"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer db.Close()
	for _, suffix := range []string{"_no_update", "_no_delete", "_no_replace"} {
		if _, err := db.Exec("DROP TRIGGER " + table + suffix); err != nil {
			s.t.Fatal(err)
		}
	}
	res, err := db.Exec(query, args...)
	if err != nil {
		s.t.Fatal(err)
	}
	if n, err := res.RowsAffected(); err != nil || n != 1 {
		s.t.Fatalf("%d rows tampered with, want 1: %v", n, err)
	}
}

// replay returns what differs and how many sittings and forms were looked at.
func (s *site) replay() api.ReplayReport {
	s.t.Helper()
	heard := 0
	rep, err := s.Replay(s.t.Context(), func(int) {}, func(api.Difference) { heard++ })
	if err != nil {
		s.t.Fatal(err)
	}
	if heard != len(rep.Differences) {
		s.t.Errorf("%d differences told, %d reported", heard, len(rep.Differences))
	}
	return rep
}

// some history: two people, two sittings each, one of them with a confirming step.
func (s *site) history() (last api.Sitting) {
	s.t.Helper()
	for _, name := range []string{"ada", "bo"} {
		c := s.as(s.add(name, api.Technician))
		for try := range 2 {
			sit := s.open(c, api.Qualifying)
			if try == 0 {
				s.answer(c, sit.ID, s.right)
			} else {
				s.missOne(c, sit)
			}
			s.hand(c, sit.ID)
			s.wait(time.Minute)
			last = sit
		}
	}
	c := s.as(s.people[api.Technician])
	sit := s.open(c, api.Qualifying)
	s.missOne(c, sit)
	s.hand(c, sit.ID)
	s.wait(time.Minute)
	conf, err := s.OpenConfirming(s.t.Context(), c, sit.ID)
	if err != nil {
		s.t.Fatal(err)
	}
	s.answer(c, conf.ID, s.right)
	s.hand(c, conf.ID)
	return last
}

func TestASoundRecordReplaysWithoutDifferences(t *testing.T) {
	s := newSite(t)
	s.history()
	rep := s.replay()
	if len(rep.Differences) != 0 {
		t.Errorf("differences: %v", rep.Differences)
	}
	if rep.Sittings != 6 || rep.Reassembled != 6 {
		t.Errorf("%d sittings, %d forms set again; want 6 of each", rep.Sittings, rep.Reassembled)
	}
}

func TestWhatWasAlteredIsReported(t *testing.T) {
	for _, c := range []struct {
		name, table, query string
		args               []any
		want               string
	}{
		{"a mark", "marks", `UPDATE marks SET outcome = CAST(replace(CAST(outcome AS TEXT), '"mark":"0"', '"mark":"1"') AS BLOB) WHERE sitting = ?`, nil, "the mark of sheet"},
		{"a verdict", "marks", `UPDATE marks SET verdict = 'passed' WHERE sitting = ?`, nil, "the row says passed"},
		{"an answer", "hand_ins", `UPDATE hand_ins SET answers = CAST(replace(CAST(answers AS TEXT), ?2, ?3) AS BLOB) WHERE sitting = ?1`, []any{`"revision":1,`, `"revision":7,`}, "digest that was recorded at the hand-in"},
		{"a form", "forms", `UPDATE forms SET form = CAST(replace(CAST(form AS TEXT), '"cut":80', '"cut":50') AS BLOB) WHERE sitting = ?`, nil, "digest that was recorded when it was set"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSite(t)
			sit := s.history()
			s.tamper(c.table, c.query, append([]any{sit.ID}, c.args...)...)
			// A server that has run since may still hold the form; a fresh one reads what is stored.
			s.App = s.on(s.store)
			var hit []string
			for _, d := range s.replay().Differences {
				if d.Sitting != sit.ID {
					t.Errorf("a difference in a sound sitting: %v", d)
				}
				if strings.Contains(d.What, c.want) {
					hit = append(hit, d.What)
				}
			}
			if len(hit) == 0 {
				t.Errorf("%s was altered and nobody says %q", c.name, c.want)
			}
		})
	}
}
