package web

import (
	"encoding/hex"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
)

// ItemsPage shows a trainer the facts of a procedure, one topic at a time.
type ItemsPage struct {
	Page
	Place  ItemsPlace
	Topics []TopicLine
	Facts  []api.PreviewFact // of the place's topic, a page of them
	Before int               // where the page before this one begins, counted from 1; 0: this is the first
	After  int               // where the next one begins; 0: this is the last
}

// FactPage shows a trainer one fact with sample items and their keys.
type FactPage struct {
	Page
	Place         ItemsPlace
	Fact          FactLines
	Before, After content.FactID // the neighbours in the topic; empty at its ends
}

// TopicLine is a topic and how many facts it has.
type TopicLine struct {
	Topic content.Topic
	Facts int
}

// ItemsPlace says which samples of which facts are shown.
type ItemsPlace struct {
	Procedure *content.Procedure
	Build     string
	Topic     content.Topic
	Fact      content.FactID
	Seed      quiz.Seed
}

// FactLines is a fact with its sample items.
type FactLines struct {
	api.PreviewFact
	Lines []ItemLine
}

// ItemLine is a sample item with its key in words.
type ItemLine struct {
	Item    quiz.Item
	Key     string
	Control Control
}

func (f *Face) items(c *gin.Context) error {
	pg, err := f.page(c, "Facts and sample items", "bench")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	p, err := f.app.Procedure(ctx, who, c.Param("procedure"), "")
	if err != nil {
		return err
	}
	at := ItemsPlace{Procedure: p, Build: c.Query("build"), Topic: content.Topic(c.Query("topic")), Fact: content.FactID(c.Query("fact")), Seed: seedOf(c.Query("seed"))}
	if at.Build == "" && len(p.Builds) > 0 {
		at.Build = p.Builds[0].ID
	}
	if at.Fact != "" {
		return f.factPage(c, pg, at)
	}
	all, err := f.app.Preview(ctx, who, p.ID, p.Revision, at.Build, at.Seed)
	if err != nil {
		return err
	}
	out := ItemsPage{Page: pg, Place: at, Topics: topicLines(all)}
	if at.Topic == "" && len(out.Topics) > 0 {
		out.Place.Topic = out.Topics[0].Topic
	}
	first, err := beginning(c)
	if err != nil {
		return err
	}
	facts := ofTopic(all, out.Place.Topic)
	if first > len(facts) {
		return &api.Error{Kind: api.NotFound, Message: "There is no such topic, or it has fewer facts."}
	}
	out.Before, out.After = around(first, len(facts))
	out.Facts = facts[first-1 : min(first-1+shown, len(facts))]
	return f.render(c, http.StatusOK, "items", out)
}

func (f *Face) factPage(c *gin.Context, pg Page, at ItemsPlace) error {
	pf, err := f.app.PreviewOf(c.Request.Context(), edge.Caller(c), at.Procedure.ID, at.Procedure.Revision, at.Build, at.Fact, at.Seed)
	if err != nil {
		return err
	}
	at.Topic = pf.Fact.Kind.Topic()
	pg.Title = string(at.Fact)
	out := FactPage{Page: pg, Place: at, Fact: factLines([]api.PreviewFact{pf})[0]}
	out.Before, out.After = at.neighbours()
	return f.render(c, http.StatusOK, "fact", out)
}

// neighbours are the facts before and after this one in its topic.
func (p ItemsPlace) neighbours() (before, after content.FactID) {
	var ids []content.FactID
	for _, fact := range content.Facts(content.ForBuild(p.Procedure, p.Build)) {
		if fact.Kind.Topic() == p.Topic {
			ids = append(ids, fact.ID)
		}
	}
	i := slices.Index(ids, p.Fact)
	if i > 0 {
		before = ids[i-1]
	}
	if i+1 < len(ids) {
		after = ids[i+1]
	}
	return before, after
}

// topicLines lists the topics that have facts, in the order of the field.
func topicLines(all []api.PreviewFact) []TopicLine {
	var out []TopicLine
	for _, t := range content.Topics {
		if n := len(ofTopic(all, t)); n > 0 {
			out = append(out, TopicLine{t, n})
		}
	}
	return out
}

func ofTopic(all []api.PreviewFact, t content.Topic) []api.PreviewFact {
	return slices.DeleteFunc(slices.Clone(all), func(pf api.PreviewFact) bool { return pf.Fact.Kind.Topic() != t })
}

func factLines(facts []api.PreviewFact) []FactLines {
	out := make([]FactLines, len(facts))
	for i, pf := range facts {
		out[i].PreviewFact = pf
		for j, it := range pf.Items {
			form := quiz.Form{Items: []quiz.Item{it}}
			ctl := newControl(form.Sheet(1), quiz.Answer{}, true)
			ctl.Prefix = fmt.Sprintf("s%d-%d-", i, j)
			out[i].Lines = append(out[i].Lines, ItemLine{Item: it, Key: quiz.KeyWords(it), Control: ctl})
		}
	}
	return out
}

// To is the address of the facts of a topic.
func (p ItemsPlace) To(t content.Topic) string { return p.address("topic", string(t), p.Seed) }

// ToPart is the address of the facts of the place's topic from the nth on.
func (p ItemsPlace) ToPart(n int) string { return p.To(p.Topic) + "&from=" + strconv.Itoa(n) }

// ToFact is the address of a fact.
func (p ItemsPlace) ToFact(id content.FactID) string { return p.address("fact", string(id), p.Seed) }

// Others is the address of other samples of the same fact.
func (p ItemsPlace) Others() string {
	seed := p.Seed
	seed[0]++
	return p.address("fact", string(p.Fact), seed)
}

func (p ItemsPlace) address(name, value string, seed quiz.Seed) string {
	q := url.Values{name: {value}}
	if p.Build != "" {
		q.Set("build", p.Build)
	}
	if seed != (quiz.Seed{}) {
		q.Set("seed", hex.EncodeToString(seed[:1]))
	}
	return "/procedures/" + url.PathEscape(p.Procedure.ID) + "/items?" + q.Encode()
}

// seedOf reads a seed from its hex; anything else gives the first samples.
func seedOf(text string) quiz.Seed {
	var seed quiz.Seed
	if b, err := hex.DecodeString(text); err == nil {
		copy(seed[:1], b) // as many samples as anybody looks through
	}
	return seed
}
