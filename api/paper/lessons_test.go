package paper

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/itemstat"
)

// wholeView is a grid of so many facts and people.
func wholeView(facts, people int) api.LessonsView {
	h := itemstat.Held{Share: itemstat.Figure{Value: 0.62, Lo: 0.5, Hi: 0.71, Conf: 0.9, N: 9}, Below: 0.8}
	v := api.LessonsView{AsOf: time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)}
	for p := range people {
		v.People = append(v.People, api.LessonWho{ID: fmt.Sprint("p", p), Name: fmt.Sprintf("Person-%03d", p)})
	}
	for f := range facts {
		v.Lines = append(v.Lines, api.LessonLine{Rank: f + 1, Fact: content.FactID(fmt.Sprint("fact-", f)), Text: fmt.Sprintf("Fact-%03d", f), Critical: f == 0, Missed: 3, Answers: 9, Held: h})
		row := make([]api.LessonCell, people)
		for p := range row {
			row[p] = api.LessonCell{Theirs: p != 1, Answers: p % 2, Held: h}
		}
		v.Cells = append(v.Cells, row)
	}
	return v
}

// Every fact and every person stands on some sheet, each fact once for each part
// of the people; the same grid gives the same bytes.
func TestLessonsOnPaper(t *testing.T) {
	v := wholeView(45, 30)
	for _, size := range []Size{A4, Letter} {
		var b, again bytes.Buffer
		if err := Lessons(&b, size, v, time.UTC); err != nil {
			t.Fatal(err)
		}
		if err := Lessons(&again, size, v, time.UTC); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Errorf("%s: the same grid gives other bytes (%v)", size, err)
		}
		text := allText(t, b.Bytes())
		for f := range 45 {
			if n := strings.Count(text, fmt.Sprintf("Fact-%03d", f)); n != 2 {
				t.Errorf("%s: fact %d stands %d times, want 2: there are two parts of the people", size, f, n)
			}
		}
		for p := range 30 {
			if !strings.Contains(text, fmt.Sprintf("Person-%03d", p)) {
				t.Errorf("%s: person %d is missing", size, p)
			}
		}
		if n := len(pages(t, b.Bytes())); n != 4 {
			t.Errorf("%s: %d sheets, want 4", size, n)
		}
		if !strings.Contains(text, "(62)") || !strings.Contains(text, "critical") || !strings.Contains(text, "50 to 71") {
			t.Errorf("%s: a cell that was never asked, a critical fact or an interval is missing", size)
		}
	}
	var b bytes.Buffer
	if err := Lessons(&b, A4, api.LessonsView{}, time.UTC); err != nil || !strings.Contains(allText(t, b.Bytes()), "Nothing was asked") {
		t.Errorf("an empty grid: %v", err)
	}
}
