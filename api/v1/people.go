package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// Person is an account without its password.
type Person struct {
	ID     string     `json:"id"`
	SignIn string     `json:"sign_in"`
	Name   string     `json:"name"`
	Role   api.Role   `json:"role"`
	Crew   string     `json:"crew,omitempty"`
	Added  time.Time  `json:"added"`
	Left   *time.Time `json:"left,omitempty"`
}

func personOf(p api.Person) Person {
	out := Person{ID: p.ID, SignIn: p.SignIn, Name: p.Name, Role: p.Role, Crew: p.Crew, Added: p.Added}
	if !p.Left.IsZero() {
		out.Left = &p.Left
	}
	return out
}

// Session is a session begun: the token goes into Authorization: Bearer.
type Session struct {
	Token   string    `json:"token"`
	Expires time.Time `json:"expires"`
	Person  Person    `json:"person"`
}

func (f *face) signIn(c *gin.Context) error {
	var cmd api.SignIn
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Agent = c.Request.UserAgent()
	s, err := f.app.SignIn(c.Request.Context(), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, Session{Token: s.Token, Expires: s.Expires, Person: personOf(s.Person)})
}

func (f *face) signOut(c *gin.Context) error {
	if err := f.app.SignOut(c.Request.Context(), edge.Caller(c)); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

// OwnSession is one of the caller's sessions.
type OwnSession struct {
	Begun   time.Time `json:"begun"`
	Seen    time.Time `json:"seen"`
	Expires time.Time `json:"expires"`
	Agent   string    `json:"agent,omitempty"`
}

// Me is the caller's account and sessions.
type Me struct {
	Person   Person       `json:"person"`
	Sessions []OwnSession `json:"sessions"`
}

func (f *face) me(c *gin.Context) error {
	p, ss, err := f.app.Me(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Me{Person: personOf(p), Sessions: []OwnSession{}}
	for _, s := range ss {
		out.Sessions = append(out.Sessions, OwnSession{Begun: s.Begun, Seen: s.Seen, Expires: s.Expires, Agent: s.Agent})
	}
	return send(c, http.StatusOK, out)
}

// People is a list of accounts.
type People struct {
	People []Person `json:"people"`
}

func (f *face) people(c *gin.Context) error {
	all, err := f.app.People(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := People{People: []Person{}}
	for _, p := range all {
		out.People = append(out.People, personOf(p))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) addPerson(c *gin.Context) error {
	var cmd api.AddAccount
	if err := decode(c, &cmd); err != nil {
		return err
	}
	p, err := f.app.AddAccount(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, personOf(p))
}

func (f *face) changePerson(c *gin.Context) error {
	var cmd api.ChangeAccount
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Person = c.Param("person")
	p, err := f.app.ChangeAccount(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, personOf(p))
}
