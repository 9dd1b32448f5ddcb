package web

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/paper"
	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// largeView is a full part of a large site: 30 facts, 40 people, long words.
func largeView(facts, people int) api.LessonsView {
	h := func(v float64, n int) itemstat.Held {
		return itemstat.Held{Share: itemstat.Figure{Value: v, Lo: max(0, v-0.21), Hi: min(1, v+0.13), Conf: 0.9, N: n}, Below: 0.73}
	}
	v := api.LessonsView{Total: 400, Unasked: 31, Crowd: 500, Answers: 812_345, Wanted: 0.9}
	v.AsOf = v.AsOf.AddDate(2025, 1, 1)
	for p := range people {
		v.People = append(v.People, api.LessonWho{ID: fmt.Sprintf("%026d", p), Name: fmt.Sprintf("Somebody Number-%02d", p), Crew: "night"})
	}
	for f := range facts {
		v.Lines = append(v.Lines, api.LessonLine{Rank: f + 371, Procedure: "aodd-air-side", Title: "Rebuild of the air side", Fact: content.FactID(fmt.Sprintf("layer/main-shaft-stack/thrust-washer-%d/rod-cup-seal", f)),
			Text: fmt.Sprintf("Air-side stack on the main shaft: thrust washer %d goes in after the rod cup seal, never before", f), Step: "assemble-shaft", Topic: content.TopicFitting, Critical: f%2 == 0,
			Advice: held.TeachOrItem, Short: 312, People: 487, Wanted: 0.9, Answers: 2140, Missed: 977, Held: h(0.41, 2140)})
		var row []api.LessonCell
		for p := range people {
			row = append(row, api.LessonCell{Theirs: true, Answers: (f + p) % 4, Right: 1, Held: h(0.4+float64((f*7+p*13)%50)/100, 3)})
		}
		v.Cells = append(v.Cells, row)
	}
	first := v.Lines[0]
	first.Why = strings.Repeat("A sentence that says why it stands first. ", 8)
	v.Monday = &first
	for i := range 6 {
		v.Procedures = append(v.Procedures, api.LessonChoice{ID: fmt.Sprintf("procedure-%d", i), Text: "A procedure with quite a long title"})
	}
	return v
}

// The page of a full part weighs at most 60 KB with all that it loads.
func TestLessonsPageOfALargeSiteIsLight(t *testing.T) {
	s := newSite(t)
	f := s.face
	v := largeView(api.LessonFacts, api.LessonPeople)
	person := s.person[api.Trainer]
	pg := Page{Title: "Lessons", Person: &person, Here: "lessons", Stamp: f.stamp, Face: f, Request: strings.Repeat("x", 20)}
	w := httptest.NewRecorder()
	c, _ := gin.CreateTestContext(w)
	c.Request = httptest.NewRequest(http.MethodGet, "/lessons", nil)
	p := LessonsPage{LessonPart: f.lessonPart(c, pg, v.Ask, nil, "2026-03-02 10:00", nil), View: v, Drawing: crewDrawing(v), FactsBack: 1, FactsOn: 61, PeopleBack: 1, PeopleOn: 81}
	if err := f.render(c, http.StatusOK, "lessons", p); err != nil {
		t.Fatal(err)
	}
	whole := w.Body.Len()
	for _, name := range []string{"static/sheet.css", "static/lessons.css", "static/mark.svg"} {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		whole += len(b)
	}
	t.Logf("the page weighs %d bytes, its drawing %d, all it loads %d", w.Body.Len(), len(p.Drawing), whole)
	if whole > mostWeight {
		t.Errorf("a full part weighs %d bytes with all it loads, at most %d", whole, mostWeight)
	}
}

func TestLessonsTable(t *testing.T) {
	v := largeView(3, 4)
	v.Cells[1][2].Theirs = false
	v.People[3].Name = "=cmd"
	var b bytes.Buffer
	if err := writeLessons(paper.NewCSV(&b), v); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 4 || len(rows[0]) != 17+4 {
		t.Fatalf("%d rows (%v)", len(rows), err)
	}
	if rows[2][2] != string(v.Lines[1].Fact) || rows[2][17+2] != "" || rows[2][17] != "47.0" || rows[1][13] != "41.0" || strings.HasPrefix(rows[0][20], "=") {
		t.Errorf("rows: %q", rows)
	}
}
