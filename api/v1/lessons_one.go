package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// FactPerson is one person on one fact.
type FactPerson struct {
	Who  LessonWho  `json:"who"`
	Pair LessonPair `json:"pair"`
	Last *time.Time `json:"last,omitempty"` // the last answer
}

// Instead is what was given in place of the right answer.
type Instead struct {
	Text  string `json:"text"`
	Model string `json:"model"`
	Count int    `json:"count"`
}

// FactLesson is one fact.
type FactLesson struct {
	Period   Period         `json:"period"`
	Title    string         `json:"title"`
	Fact     content.FactID `json:"fact"`
	Text     string         `json:"text"`
	Critical bool           `json:"critical"`
	Step     string         `json:"step"`
	StepText string         `json:"step_text"`
	Lesson   *Lesson        `json:"lesson,omitempty"` // left out where nobody was asked in the period
	Crews    []LessonGroup  `json:"crews"`
	People   []FactPerson   `json:"people"` // most likely to hold too little first
	Learning Learning       `json:"learning"`
	Instead  []Instead      `json:"instead"`           // most frequent first
	Looked   int            `json:"looked_at"`         // wrong answers, the latest
	NotYet   int            `json:"not_yet,omitempty"` // choices are told from so many answers on
}

func (f *face) lessonFact(c *gin.Context) error {
	ask, err := lessonAsk(c)
	if err != nil {
		return err
	}
	ask.Procedure, ask.Among = c.Param("procedure"), c.Query("among") == "all"
	if among := c.Query("among"); among != "" && !ask.Among {
		return badQuery("among", "must be all, or left out")
	}
	v, err := f.app.LessonFact(c.Request.Context(), edge.Caller(c), ask, content.FactID(c.Query("fact")))
	if err != nil {
		return err
	}
	out := FactLesson{Period: periodOf(v.Ask, v.AsOf, v.Working), Title: v.Title, Fact: v.Fact.ID, Text: v.Fact.Text, Critical: v.Fact.Critical, Step: v.Fact.Step, StepText: v.StepText,
		Crews: lessonGroups(v.Crews), People: []FactPerson{}, Learning: learningOf(v.Learning), Instead: []Instead{}, Looked: v.Looked, NotYet: v.NotYet}
	if v.Asked {
		l := lessonOf(v.Line)
		out.Lesson = &l
	}
	for _, p := range v.People {
		out.People = append(out.People, FactPerson{LessonWho{p.ID, p.Name, p.Crew}, lessonPair(p.LessonCell), timeOf(p.Last)})
	}
	for _, i := range v.Instead {
		out.Instead = append(out.Instead, Instead{i.Text, i.Model, i.Count})
	}
	return send(c, http.StatusOK, out)
}

func timeOf(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// PractiseFact is one fact that a person should practise.
type PractiseFact struct {
	Procedure string         `json:"procedure"`
	Title     string         `json:"title"`
	Fact      content.FactID `json:"fact"`
	Text      string         `json:"text"`
	Step      string         `json:"step"`
	Topic     content.Topic  `json:"topic"`
	Critical  bool           `json:"critical"`
	Pair      LessonPair     `json:"pair"`
	Last      *time.Time     `json:"last,omitempty"`
	Cost      float64        `json:"cost"`
	Why       string         `json:"why"`
}

// GrowthStep is what a person answered in one month.
type GrowthStep struct {
	Month   content.Date `json:"month"` // its first day
	Right   Share        `json:"right"`
	First   Share        `json:"first"` // of facts met for the first time
	Repeats Share        `json:"repeats"`
	Held    Held         `json:"held"`
}

// PersonLesson is one person.
type PersonLesson struct {
	Period   Period         `json:"period"`
	Who      LessonWho      `json:"who"`
	Whole    *LessonGroup   `json:"whole,omitempty"` // left out where nothing was answered
	Facts    int            `json:"facts"`           // that are the person's work
	Short    float64        `json:"facts_below"`     // of them, to be expected
	Practise []PractiseFact `json:"practise"`        // costliest first
	Growth   []GrowthStep   `json:"growth"`          // oldest first
	Topics   []LessonGroup  `json:"topics"`          // worst first
	Learning Learning       `json:"learning"`
	Closed   []string       `json:"closed"` // procedures whose facts are closed while a sitting is open
}

// lessonPerson is the person of the path; the caller where there is none.
func (f *face) lessonPerson(c *gin.Context) error {
	ask, err := lessonAsk(c)
	if err != nil {
		return err
	}
	v, err := f.app.LessonPerson(c.Request.Context(), edge.Caller(c), ask, c.Param("person"))
	if err != nil {
		return err
	}
	out := PersonLesson{Period: periodOf(v.Ask, v.AsOf, v.Working), Who: LessonWho{v.Who.ID, v.Who.Name, v.Who.Crew}, Facts: v.Total, Short: v.Short, Practise: []PractiseFact{},
		Growth: []GrowthStep{}, Topics: lessonGroups(v.Topics), Learning: learningOf(v.Learning), Closed: append([]string{}, v.Closed...)}
	if v.Sat {
		g := lessonGroups([]api.LessonGroup{v.Whole})[0]
		out.Whole = &g
	}
	for _, p := range v.Practise {
		out.Practise = append(out.Practise, PractiseFact{p.Procedure, p.Title, p.Fact, p.Text, p.Step, p.Topic, p.Critical, lessonPair(p.LessonCell), timeOf(p.Last), p.Cost, p.Why})
	}
	for _, g := range v.Growth {
		out.Growth = append(out.Growth, GrowthStep{g.Month, shareOf(g.Right), shareOf(g.First), shareOf(g.Repeats), heldOf(g.Held)})
	}
	return send(c, http.StatusOK, out)
}
