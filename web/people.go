package web

import (
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// PeoplePage lists the accounts, and adds one.
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
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.peoplePage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/people")
}

// PersonPage is one account, to be changed by who may.
type PersonPage struct {
	Page
	Of      api.Person
	Roles   []api.Role
	Message string
}

func (f *Face) person(c *gin.Context) error { return f.personPage(c, http.StatusOK, "") }

func (f *Face) personPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "people")
	if err != nil {
		return err
	}
	all, err := f.app.People(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	at := slices.IndexFunc(all, func(p api.Person) bool { return p.ID == c.Param("person") })
	if at < 0 {
		return &api.Error{Kind: api.NotFound, Message: "There is no such person."}
	}
	pg.Title = all[at].Name
	return f.render(c, status, "person", PersonPage{Page: pg, Of: all[at], Roles: api.Roles, Message: message})
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
	default:
		return &api.Error{Kind: api.Malformed, Message: "The form does not say what to change."}
	}
	_, err := f.app.ChangeAccount(c.Request.Context(), edge.Caller(c), cmd)
	if api.KindOf(err) == api.Invalid {
		return f.personPage(c, edge.Status(api.Invalid), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/people/%s", cmd.Person)
}
