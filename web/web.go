// Package web is the HTML face: pages that work with scripts off, and figures
// that are answered where they are drawn where scripts run. Every page is
// rendered to a buffer before its status is written.
package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// Face is the HTML face. It is safe for concurrent use.
type Face struct {
	app    *api.App
	log    *slog.Logger
	clock  api.Clock
	pages  map[string]*template.Template
	static fs.FS
	stamp  string // changes with the static files, so browsers may keep them
}

// Options are what a face is made with.
type Options struct {
	App    *api.App
	Log    *slog.Logger
	Clock  api.Clock
	Static fs.FS // default: the embedded files; a folder when developing
}

// New makes the face. It fails where a template does not parse.
func New(o Options) (*Face, error) {
	if o.Static == nil {
		o.Static = embeddedStatic()
	}
	stamp, err := stampOf(o.Static)
	if err != nil {
		return nil, err
	}
	f := &Face{app: o.App, log: o.Log, clock: o.Clock, static: o.Static, stamp: stamp}
	if f.pages, err = parsePages(f); err != nil {
		return nil, err
	}
	return f, nil
}

// router registers pages and what they post.
type router struct {
	get, post func(path string, do edge.Handler)
}

// Register adds the pages' routes to the engine. What may be got may also be
// asked for without its body (HEAD; RFC 9110, 9.3.2).
func (f *Face) Register(e *gin.Engine) {
	h := edge.Adapt(f.log, f.Fail)
	r := router{
		get: func(path string, do edge.Handler) {
			e.GET(path, h(do))
			e.HEAD(path, h(do))
		},
		post: func(path string, do edge.Handler) { e.POST(path, h(withForm(do))) },
	}
	r.get("/static/*file", f.staticFile)
	f.accountRoutes(r)
	f.sittingRoutes(r)
	f.recordRoutes(r)
	f.sureRoutes(r)
	f.rebuildRoutes(r)
	f.evidenceRoutes(r)
	f.registerRoutes(r)
	f.lessonRoutes(r)
	f.reviseRoutes(r)
	f.entryRoutes(r)
	f.healthRoutes(r)
	f.panelRoutes(r)
}

func (f *Face) accountRoutes(r router) {
	r.get("/sign-in", f.signInPage)
	r.post("/sign-in", f.signIn)
	r.post("/sign-out", f.signOut)
	r.get("/account", f.account)
	r.post("/account/sign-out-everywhere", f.signOutEverywhere)
	r.get("/people", f.people)
	r.post("/people", f.addPerson)
	r.get("/people/:person", f.person)
	r.post("/people/:person", f.changePerson)
}

func (f *Face) sittingRoutes(r router) {
	r.get("/", f.bench)
	r.get("/procedures/:procedure", f.procedure)
	r.get("/procedures/:procedure/items", f.items)
	r.post("/sittings", f.openSitting)
	r.get("/sittings/:sitting", f.sheetList)
	r.get("/sittings/:sitting/sheets/:sheet", f.sheet)
	r.post("/sittings/:sitting/sheets/:sheet", f.saveSheet)
	r.post("/sittings/:sitting/sheets/:sheet/explanation", f.explain)
	r.get("/sittings/:sitting/review", f.review)
	r.post("/sittings/:sitting/hand-in", f.handIn)
	r.get("/sittings/:sitting/result", f.result)
	r.get("/sittings/:sitting/result/sheets/:sheet", f.reviewed)
	r.post("/sittings/:sitting/confirmation", f.confirm)
	r.post("/sittings/:sitting/void", f.void)
	r.get("/results", f.results)
}

func (f *Face) recordRoutes(r router) {
	r.get("/record", f.record)
	r.get("/record/checkpoint", f.recordCheckpoint)
	r.get("/record/keys", f.recordKeys)
	r.get("/record/export", f.recordExport)
}

// withForm reads the posted form before the handler does: gin's PostForm gives
// empty texts where a form is too large or cannot be read, and says nothing.
func withForm(do edge.Handler) edge.Handler {
	return func(c *gin.Context) error {
		var big *http.MaxBytesError
		switch err := c.Request.ParseForm(); {
		case errors.As(err, &big):
			return err
		case err != nil:
			return &api.Error{Kind: api.Malformed, Message: "The form could not be read.", Err: err}
		}
		if ct := c.ContentType(); ct != "" && ct != "application/x-www-form-urlencoded" {
			return &api.Error{Kind: edge.BadType, Message: "Send the form as a page of this site does."}
		}
		return do(c)
	}
}

// render writes a page: first to a buffer, then the status and the bytes.
func (f *Face) render(c *gin.Context, status int, name string, page any) error {
	var b bytes.Buffer
	if err := f.pages[name].ExecuteTemplate(&b, name, page); err != nil {
		return fmt.Errorf("render page %s: %w", name, err)
	}
	c.Data(status, "text/html; charset=utf-8", b.Bytes())
	return nil
}

// seeOther sends the browser on after a post.
func seeOther(c *gin.Context, format string, a ...any) error {
	c.Redirect(http.StatusSeeOther, fmt.Sprintf(format, a...))
	return nil
}

// Page is what every page has.
type Page struct {
	Title   string
	Person  *api.Person // nil: not signed in
	Here    string      // which entry of the head stands out
	Styles  []string    // style sheets of its own, below static, without .css
	Scripts []string    // scripts of its own, below static, without .js
	Still   bool        // no script at all: nothing on it is answered
	Stamp   string
	Request string
	Face    *Face
}

// page begins a page for whoever is signed in; the error is Unauthenticated
// where nobody is.
func (f *Face) page(c *gin.Context, title, here string) (Page, error) {
	p, _, err := f.app.Me(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return Page{}, err
	}
	pg := f.bare(c, title)
	pg.Person, pg.Here = &p, here
	return pg, nil
}

// bare begins a page for nobody in particular.
func (f *Face) bare(c *gin.Context, title string) Page {
	return Page{Title: title, Stamp: f.stamp, Request: edge.RequestID(c), Face: f}
}

// When prints an instant in the site's zone.
func (p Page) When(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.In(p.Face.app.Zone()).Format("2006-01-02 15:04")
}

// Day prints the day of an instant in the site's zone.
func (p Page) Day(t time.Time) string { return p.When(t)[:min(10, len(p.When(t)))] }

// May reports whether the signed-in person's role includes the act.
func (p Page) May(act string) bool { return p.Person != nil && p.Person.Role.May(api.Act(act)) }
