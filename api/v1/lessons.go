package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// Share is a share from 0 to 1 with its 90 % interval. Without answers there is
// no value; low and high are left out where no interval was asked for.
type Share struct {
	Value *float64 `json:"value,omitempty"`
	Low   *float64 `json:"low,omitempty"`
	High  *float64 `json:"high,omitempty"`
	N     int      `json:"n"` // answers behind it
}

func shareOf(f itemstat.Figure) Share {
	s := Share{N: f.N}
	if !f.Known() {
		return s
	}
	s.Value = &f.Value
	if f.Conf > 0 {
		s.Low, s.High = &f.Lo, &f.Hi
	}
	return s
}

// Held is what is held, and the probability that it is less than is wanted.
type Held struct {
	Share Share   `json:"share"`
	Below float64 `json:"below"`
}

func heldOf(h itemstat.Held) Held { return Held{shareOf(h.Share), h.Below} }

// Working says how far an analysis is that is under way.
type Working struct {
	Begun time.Time `json:"begun"`
	Stage string    `json:"stage"`
	Read  int       `json:"sittings_read"`
}

func workingOf(p *api.Progress) *Working {
	if p == nil {
		return nil
	}
	return &Working{p.Begun, p.Stage, p.Read}
}

// Period is what an analysis is about.
type Period struct {
	Procedure string       `json:"procedure,omitempty"`
	Crew      string       `json:"crew,omitempty"`
	From      content.Date `json:"from"`
	To        content.Date `json:"to"`
	AsOf      *time.Time   `json:"as_of,omitempty"`   // when the history was read; left out where nothing is worked out yet
	Working   *Working     `json:"working,omitempty"` // it is being worked out anew
}

func periodOf(ask api.LessonAsk, at time.Time, p *api.Progress) Period {
	out := Period{Procedure: ask.Procedure, Crew: ask.Crew, From: ask.From, To: ask.To, Working: workingOf(p)}
	if !at.IsZero() {
		out.AsOf = &at
	}
	return out
}

// LessonModel is how one item model found a fact.
type LessonModel struct {
	Model   string `json:"model"`
	Answers int    `json:"answers"`
	Missed  int    `json:"missed"`
	Right   Share  `json:"right"`
}

// Lesson is one fact and what the crew holds of it.
type Lesson struct {
	Rank        int            `json:"rank"`
	Procedure   string         `json:"procedure"`
	Title       string         `json:"title"`
	Fact        content.FactID `json:"fact"`
	Text        string         `json:"text"`
	Step        string         `json:"step"`
	Topic       content.Topic  `json:"topic"`
	Critical    bool           `json:"critical"`
	Advice      string         `json:"advice,omitempty"` // teach; or: teach, or the item
	Cost        float64        `json:"cost"`             // weight × people to be expected below × times a month
	Short       float64        `json:"people_below"`     // to be expected
	People      int            `json:"people"`
	Wanted      float64        `json:"wanted"`
	TimesAMonth float64        `json:"times_a_month"`
	Answers     int            `json:"answers"`
	Missed      int            `json:"missed"`
	Held        Held           `json:"held"`
	Models      []LessonModel  `json:"models"`
	Why         string         `json:"why"`
}

func lessonOf(l api.LessonLine) Lesson {
	out := Lesson{Rank: l.Rank, Procedure: l.Procedure, Title: l.Title, Fact: l.Fact, Text: l.Text, Step: l.Step, Topic: l.Topic, Critical: l.Critical, Advice: string(l.Advice),
		Cost: l.Cost, Short: l.Short, People: l.People, Wanted: l.Wanted, TimesAMonth: l.TimesAMonth, Answers: l.Answers, Missed: l.Missed, Held: heldOf(l.Held), Models: []LessonModel{}, Why: l.Why}
	for _, m := range l.Models {
		out.Models = append(out.Models, LessonModel{m.Model, m.Answers, m.Missed, shareOf(m.Right)})
	}
	return out
}

// LessonGroup is what is held of some answers together.
type LessonGroup struct {
	Name   string `json:"name"`
	Person string `json:"person,omitempty"` // the id, where it is one
	People int    `json:"people"`
	Right  Share  `json:"right"`
	Held   Held   `json:"held"`
}

func lessonGroups(all []api.LessonGroup) []LessonGroup {
	out := []LessonGroup{}
	for _, g := range all {
		out = append(out, LessonGroup{g.Name, g.ID, g.People, shareOf(g.Right), heldOf(g.Held)})
	}
	return out
}

// Learning tells first meetings with a fact from repeats.
type Learning struct {
	First   Share   `json:"first"`
	Repeats Share   `json:"repeats"`
	Tries   []Share `json:"tries"`   // the 1st, the 2nd, … meeting; the last counts all later ones too
	Learned Share   `json:"learned"` // right at the next meeting, of those that were missed
	Kept    Share   `json:"kept"`    // right at the next meeting, of those that were right
}

func learningOf(l held.Learning) Learning {
	out := Learning{First: shareOf(l.First), Repeats: shareOf(l.Repeats), Learned: shareOf(l.Learned), Kept: shareOf(l.Kept), Tries: []Share{}}
	for _, f := range l.Tries {
		out.Tries = append(out.Tries, shareOf(f))
	}
	return out
}

// LessonPair is one person against one fact. Theirs is false where the fact is no
// part of the person's work.
type LessonPair struct {
	Theirs  bool  `json:"theirs"`
	Answers int   `json:"answers"`
	Right   int   `json:"right"`
	Held    *Held `json:"held,omitempty"`
}

func lessonPair(c api.LessonCell) LessonPair {
	out := LessonPair{Theirs: c.Theirs, Answers: c.Answers, Right: c.Right}
	if c.Theirs {
		h := heldOf(c.Held)
		out.Held = &h
	}
	return out
}

// LessonWho is a person of the crew.
type LessonWho struct {
	Person string `json:"person"`
	Name   string `json:"name"`
	Crew   string `json:"crew,omitempty"`
}

// Lessons is the crew against the facts.
type Lessons struct {
	Period   Period         `json:"period"`
	Facts    int            `json:"facts"`     // that were asked
	Unasked  int            `json:"not_asked"` // facts of the procedures in force that nobody was asked
	Crowd    int            `json:"crowd"`     // people in all
	Answers  int            `json:"answers"`
	Wanted   float64        `json:"wanted"`
	First    *Lesson        `json:"first,omitempty"` // the lesson to give first
	Lessons  []Lesson       `json:"lessons"`         // of this part, costliest first
	People   []LessonWho    `json:"people"`          // of this part, by name
	Pairs    [][]LessonPair `json:"pairs"`           // by lesson, then by person
	Topics   []LessonGroup  `json:"topics"`
	Models   []LessonGroup  `json:"models"`
	Crews    []LessonGroup  `json:"crews"`
	Everyone []LessonGroup  `json:"everyone"` // worst first
	Learning Learning       `json:"learning"`
}

func (f *face) lessons(c *gin.Context) error {
	ask, err := lessonAsk(c)
	if err != nil {
		return err
	}
	if ask.Fact, err = wholeNumber(c, "fact", 1, 1, 1<<30); err != nil {
		return err
	}
	if ask.Person, err = wholeNumber(c, "person", 1, 1, 1<<30); err != nil {
		return err
	}
	v, err := f.app.Lessons(c.Request.Context(), edge.Caller(c), ask)
	if err != nil {
		return err
	}
	out := Lessons{Period: periodOf(v.Ask, v.AsOf, v.Working), Facts: v.Total, Unasked: v.Unasked, Crowd: v.Crowd, Answers: v.Answers, Wanted: v.Wanted, Lessons: []Lesson{}, People: []LessonWho{},
		Pairs: [][]LessonPair{}, Topics: lessonGroups(v.Topics), Models: lessonGroups(v.Models), Crews: lessonGroups(v.Crews), Everyone: lessonGroups(v.Everyone), Learning: learningOf(v.Learning)}
	if v.Monday != nil {
		first := lessonOf(*v.Monday)
		out.First = &first
	}
	for _, l := range v.Lines {
		out.Lessons = append(out.Lessons, lessonOf(l))
	}
	for _, p := range v.People {
		out.People = append(out.People, LessonWho{p.ID, p.Name, p.Crew})
	}
	for _, row := range v.Cells {
		cells := []LessonPair{}
		for _, cell := range row {
			cells = append(cells, lessonPair(cell))
		}
		out.Pairs = append(out.Pairs, cells)
	}
	return send(c, http.StatusOK, out)
}

// lessonAsk reads what an analysis is to be about.
func lessonAsk(c *gin.Context) (api.LessonAsk, error) {
	ask := api.LessonAsk{Procedure: c.Query("procedure"), Crew: c.Query("crew"), Whole: c.Query("whole") == "yes"}
	for name, into := range map[string]*content.Date{"from": &ask.From, "to": &ask.To} {
		text := c.Query(name)
		if text == "" {
			continue
		}
		d, err := content.ParseDate(text)
		if err != nil {
			return ask, badQuery(name, "is not a day; write it as 2026-03-02")
		}
		*into = d
	}
	if whole := c.Query("whole"); whole != "" && whole != "yes" {
		return ask, badQuery("whole", "must be yes, or left out")
	}
	return ask, nil
}
