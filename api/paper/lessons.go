package paper

import (
	"fmt"
	"io"
	"math"
	"time"

	"soloright/api"
)

// How much of the grid one sheet holds, and its measures in millimetres.
const (
	gridPeople = 22
	gridHead   = 26.0
	gridRow    = 7.6
	gridFact   = 66.0 // width of a fact with what the crew holds of it
)

// Lessons writes the whole crew against the facts as a PDF, on as many framed
// sheets as it takes: first the facts with the first people, then the same facts
// with the next. In a cell stands what the person likely holds, in percent; a
// grey one is more likely than not below the level wanted, one in brackets was
// never asked. The bytes follow from the view alone.
func Lessons(w io.Writer, size Size, v api.LessonsView, zone *time.Location) error {
	crew := v.Ask.Crew
	if crew == "" {
		crew = "everybody"
	}
	b := titleBlock{Type: "Lessons", Title: "The crew against the facts, " + crew, ID: fmt.Sprintf("%s to %s", v.Ask.From, v.Ask.To), Revision: "–",
		Issued: v.AsOf.In(zone).Format("2006-01-02 15:04"), Owner: fmt.Sprintf("%d facts, %d people", len(v.Lines), len(v.People))}
	return layOut(w, size, b, v.AsOf, func(s *sheets) { s.grid(v) })
}

// grid lays the parts of the grid out.
func (s *sheets) grid(v api.LessonsView) {
	first := true
	for from := 0; from < max(1, len(v.People)); from += gridPeople {
		to := min(from+gridPeople, len(v.People))
		head := func() {
			if !first {
				s.next()
			}
			first = false
			s.gridHead(v.People[from:to])
		}
		head()
		for i, l := range v.Lines {
			if s.y+gridRow > s.bottom() {
				head()
			}
			s.gridLine(l, v.Cells[i][from:to])
		}
	}
	if len(v.Lines) == 0 {
		s.use(body)
		s.Text(s.left(), s.y+4, "Nothing was asked in this period.")
	}
}

// pitch is the width of a person's column.
func (s *sheets) pitch() float64 { return (s.width() - gridFact) / gridPeople }

// gridHead writes names upright over their columns.
func (s *sheets) gridHead(people []api.LessonWho) {
	s.use(small)
	s.Text(s.left(), s.y+gridHead-1.5, "Fact, and what the crew holds of it")
	for i, p := range people {
		x := s.left() + gridFact + s.pitch()*(float64(i)+0.5) + 1
		s.TransformBegin()
		s.TransformRotate(90, x, s.y+gridHead-1.5)
		s.Text(x, s.y+gridHead-1.5, s.fitting(p.Name, gridHead-3))
		s.TransformEnd()
	}
	s.y += gridHead
	s.SetLineWidth(0.5)
	s.Line(s.left(), s.y, s.left()+s.width(), s.y)
	s.y += 0.2
}

// gridLine writes one fact and its cells.
func (s *sheets) gridLine(l api.LessonLine, cells []api.LessonCell) {
	s.use(style{sans, "", 6.5})
	mark := ""
	if l.Critical {
		mark = " (critical)"
	}
	s.Text(s.left(), s.y+2.8, s.fitting(fmt.Sprintf("%d. %s", l.Rank, l.Text), gridFact-2))
	share := l.Held.Share
	s.Text(s.left(), s.y+6.2, s.fitting(fmt.Sprintf("%s %% (%s to %s)%s, missed %d of %d", hundred(share.Value), hundred(share.Lo), hundred(share.Hi), mark, l.Missed, l.Answers), gridFact-2))
	for i, c := range cells {
		if c.Theirs {
			s.gridCell(s.left()+gridFact+s.pitch()*float64(i), c)
		}
	}
	s.y += gridRow
	s.SetLineWidth(0.1)
	s.Line(s.left(), s.y, s.left()+s.width(), s.y)
}

func (s *sheets) gridCell(x float64, c api.LessonCell) {
	if c.Held.Below > 0.5 {
		s.SetFillColor(215, 215, 215)
		s.Rect(x+0.2, s.y+0.4, s.pitch()-0.4, gridRow-0.8, "F")
	}
	text := hundred(c.Held.Share.Value)
	if c.Answers == 0 {
		text = "(" + text + ")"
	}
	s.use(style{sans, "", 6})
	s.Text(x+(s.pitch()-s.GetStringWidth(text))/2, s.y+4.8, text)
}

func hundred(share float64) string { return fmt.Sprint(int(math.Round(100 * share))) }
