package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// WrenchesPage is the register of torque wrenches.
type WrenchesPage struct {
	Page
	Wrenches []api.WrenchLine
	Given    api.AddWrench // what was posted and not taken
	Message  string
}

func (f *Face) wrenches(c *gin.Context) error {
	return f.wrenchesPage(c, http.StatusOK, api.AddWrench{}, "")
}

func (f *Face) wrenchesPage(c *gin.Context, status int, given api.AddWrench, message string) error {
	pg, err := f.page(c, "Torque wrenches", "rebuilds")
	if err != nil {
		return err
	}
	pg.Styles = []string{"rebuild"}
	all, err := f.app.Wrenches(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	return f.render(c, status, "wrenches", WrenchesPage{Page: pg, Wrenches: all, Given: given, Message: message})
}

func (f *Face) addWrench(c *gin.Context) error {
	cmd := api.AddWrench{ID: c.PostForm("id"), Kind: api.WrenchKind(c.PostForm("kind")), Lowest: c.PostForm("lowest"), Highest: c.PostForm("highest")}
	w, err := f.app.AddWrench(c.Request.Context(), edge.Caller(c), cmd)
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.wrenchesPage(c, edge.Status(k), cmd, edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/wrenches/%s", w.ID)
}

// WrenchPage is one wrench with its calibrations and the rebuilds that hang on them.
type WrenchPage struct {
	Page
	View    api.WrenchView
	Titles  map[string]string // of procedures, by id; one that is withdrawn may be left out
	Today   content.Date
	Message string
}

func (f *Face) wrench(c *gin.Context) error { return f.wrenchPage(c, http.StatusOK, "") }

func (f *Face) wrenchPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "Wrench "+c.Param("wrench"), "rebuilds")
	if err != nil {
		return err
	}
	pg.Styles = []string{"rebuild"}
	v, err := f.app.Wrench(c.Request.Context(), edge.Caller(c), c.Param("wrench"))
	if err != nil {
		return err
	}
	procs, err := f.app.Procedures(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	titles := map[string]string{}
	for _, p := range procs {
		titles[p.ID] = p.Title
	}
	return f.render(c, status, "wrench", WrenchPage{Page: pg, View: v, Titles: titles, Today: f.app.Today(), Message: message})
}

func (f *Face) calibrate(c *gin.Context) error {
	cmd := api.Calibrate{Wrench: c.Param("wrench"), Good: c.PostForm("result") == "good", Certificate: c.PostForm("certificate")}
	for field, to := range map[string]*content.Date{"done": &cmd.Done, "due": &cmd.Due} {
		text := c.PostForm(field)
		if text == "" {
			continue
		}
		d, err := content.ParseDate(text)
		if err != nil {
			return f.wrenchPage(c, http.StatusUnprocessableEntity, "Write the days as year-month-day, such as 2026-03-02. Nothing was kept.")
		}
		*to = d
	}
	if r := c.PostForm("result"); r != "good" && r != "out" {
		return f.wrenchPage(c, http.StatusUnprocessableEntity, "Say how the wrench was found: within its limits, or out of tolerance. Nothing was kept.")
	}
	_, err := f.app.Calibrate(c.Request.Context(), edge.Caller(c), cmd)
	if k := api.KindOf(err); k == api.Invalid {
		return f.wrenchPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/wrenches/%s", cmd.Wrench)
}
