package web

import (
	"encoding/hex"
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
)

// ResultsPage lists everybody's sittings, for trainers and safety officers.
type ResultsPage struct {
	Page
	Lines []SittingLine
}

func (f *Face) results(c *gin.Context) error {
	pg, err := f.page(c, "Results", "results")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	all, err := f.app.Sittings(ctx, who, api.SittingFilter{Limit: 200})
	if err != nil {
		return err
	}
	people, err := f.app.People(ctx, who)
	if err != nil {
		return err
	}
	procs, err := f.app.Procedures(ctx, who)
	if err != nil {
		return err
	}
	name, title := map[string]api.Person{}, map[string]string{}
	for _, p := range people {
		name[p.ID] = p
	}
	for _, p := range procs {
		title[p.ID] = p.Title
	}
	p := ResultsPage{Page: pg}
	for _, s := range all {
		p.Lines = append(p.Lines, SittingLine{Sitting: s, Title: title[s.Procedure], Person: name[s.Person]})
	}
	return f.render(c, http.StatusOK, "results", p)
}

// PeoplePage lists the accounts, and adds and changes them.
type PeoplePage struct {
	Page
	People  []api.Person
	Roles   []api.Role
	Message string
}

func (f *Face) people(c *gin.Context) error { return f.peoplePage(c, http.StatusOK, "") }

func (f *Face) peoplePage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "People", "people")
	if err != nil {
		return err
	}
	all, err := f.app.People(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	return f.render(c, status, "people", PeoplePage{Page: pg, People: all, Roles: api.Roles, Message: message})
}

func (f *Face) addPerson(c *gin.Context) error {
	_, err := f.app.AddAccount(c.Request.Context(), edge.Caller(c), api.AddAccount{SignIn: c.PostForm("sign_in"), Name: c.PostForm("name"),
		Role: api.Role(c.PostForm("role")), Crew: c.PostForm("crew"), Password: c.PostForm("password")})
	return f.afterPeople(c, err)
}

func (f *Face) changePerson(c *gin.Context) error {
	cmd := api.ChangeAccount{Person: c.Param("person")}
	switch c.PostForm("change") {
	case "role":
		role := api.Role(c.PostForm("role"))
		cmd.Role = &role
	case "password":
		password := c.PostForm("password")
		cmd.Password = &password
	case "left":
		left := c.PostForm("left") == "yes"
		cmd.Left = &left
	}
	_, err := f.app.ChangeAccount(c.Request.Context(), edge.Caller(c), cmd)
	return f.afterPeople(c, err)
}

// afterPeople shows the list again: with what was wrong, or as it is now.
func (f *Face) afterPeople(c *gin.Context, err error) error {
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.peoplePage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/people")
}

// ItemsPage shows a trainer every fact of a procedure with sample items and keys.
type ItemsPage struct {
	Page
	Procedure *content.Procedure
	Build     string
	Facts     []FactLines
	Seed      string // for the link to other samples
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
	pg, err := f.page(c, "Facts and items", "bench")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	p, err := f.app.Procedure(ctx, who, c.Param("procedure"), "")
	if err != nil {
		return err
	}
	build := c.Query("build")
	if build == "" && len(p.Builds) > 0 {
		build = p.Builds[0].ID
	}
	seed := seedOf(c.Query("seed"))
	facts, err := f.app.Preview(ctx, who, p.ID, p.Revision, build, seed)
	if err != nil {
		return err
	}
	out := ItemsPage{Page: pg, Procedure: p, Build: build, Facts: factLines(facts), Seed: nextSeed(seed)}
	return f.render(c, http.StatusOK, "items", out)
}

func factLines(facts []api.PreviewFact) []FactLines {
	out := make([]FactLines, len(facts))
	for i, pf := range facts {
		out[i].PreviewFact = pf
		for _, it := range pf.Items {
			form := quiz.Form{Items: []quiz.Item{it}}
			out[i].Lines = append(out[i].Lines, ItemLine{Item: it, Key: quiz.KeyWords(it), Control: newControl(form.Sheet(1), quiz.Answer{}, true)})
		}
	}
	return out
}

// seedOf reads a seed from its hex; anything else gives the first samples.
func seedOf(text string) quiz.Seed {
	var seed quiz.Seed
	if b, err := hex.DecodeString(text); err == nil {
		copy(seed[:], b)
	}
	return seed
}

// nextSeed is the seed of the next samples.
func nextSeed(seed quiz.Seed) string {
	seed[0]++
	return hex.EncodeToString(seed[:1])
}
