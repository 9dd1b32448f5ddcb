package drawing_test

import (
	"fmt"
	"strings"
	"testing"

	"soloright/web/drawing"
)

func span(v float64) drawing.Span {
	return drawing.Span{Value: v, Lo: max(0, v-0.2), Hi: min(1, v+0.1), Known: true}
}

// The largest drawing, every person hatched, leaves room for its page within 60 KB.
func TestCrewIsLight(t *testing.T) {
	var rows []drawing.CrewRow
	var names []string
	for p := range 40 {
		names = append(names, fmt.Sprintf("Somebody Numbered%02d", p))
	}
	for f := range 30 {
		r := drawing.CrewRow{Number: f + 1, Crew: span(0.7), Wanted: 0.9, Critical: f%3 == 0}
		for p := range 40 {
			r.Cells = append(r.Cells, drawing.CrewCell{Span: span(0.4 + float64((f*7+p*13)%50)/100), Theirs: true, Asked: p%5 > 0, Short: p%3 > 0})
		}
		rows = append(rows, r)
	}
	got := string(drawing.Crew(rows, names))
	if len(got) > 28<<10 {
		t.Errorf("the drawing weighs %d bytes", len(got))
	}
	for _, want := range []string{`viewBox="0 0 758 944"`, `class="band"`, `class="limits never"`, "Somebody Numbered…", `x="-154"`, `role="img"`} {
		if !strings.Contains(got, want) {
			t.Errorf("the drawing lacks %s", want)
		}
	}
	if strings.Contains(got, "NaN") || strings.Count(got, "<svg") != 1 || !strings.HasSuffix(got, "</svg>") {
		t.Error("the drawing is not whole")
	}
}

// A name is text, whatever is in it; what is not theirs is not drawn.
func TestCrewDrawsWhatIsTheirs(t *testing.T) {
	got := string(drawing.Crew([]drawing.CrewRow{{Number: 1, Wanted: 0.9, Cells: []drawing.CrewCell{{Span: span(0.5), Short: true}}}}, []string{`<b>"x"`}))
	if strings.Contains(got, "<b>") || strings.Contains(got, "band") || strings.Contains(got, "limits") {
		t.Errorf("drawn: %s", got)
	}
}

func TestGrowthAndLimits(t *testing.T) {
	got := string(drawing.Growth([]drawing.GrowthPoint{{Label: "2025-12", Held: span(0.4), First: span(0.2)}, {Label: "2026-01", Held: span(0.8)}}, 0.9))
	for _, want := range []string{">12<", ">2025<", ">01<", ">2026<", "<circle", "100 %"} {
		if !strings.Contains(got, want) {
			t.Errorf("growth lacks %s: %s", want, got)
		}
	}
	if strings.Count(got, "<circle") != 1 {
		t.Error("a month without first meetings has a circle")
	}
	if got := string(drawing.Limits(span(0.5), 0.9, "held <1>")); !strings.Contains(got, "held &lt;1&gt;: 50 %, from 30 to 60 %") {
		t.Errorf("limits: %s", got)
	}
	if got := string(drawing.Limits(drawing.Span{}, 0.9, "held")); !strings.Contains(got, "held: not known") || strings.Contains(got, "edge1") {
		t.Errorf("limits of nothing: %s", got)
	}
}
