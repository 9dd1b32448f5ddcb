package web

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

func (f *Face) reviseRoutes(r router) {
	r.get("/procedures/:procedure/revisions", f.revisions)
	r.get("/procedures/:procedure/revisions/:revision/text", f.revisionText)
	r.get("/procedures/:procedure/revisions/:revision/blueprint", f.revisionBlueprint)
	r.get("/procedures/:procedure/revisions/:revision/adoption", f.adoption)
	r.post("/procedures/:procedure/revisions/:revision/adoption", f.adopt)
	r.post("/procedures/:procedure/withdrawal", f.withdrawProcedure)
	r.get("/procedures/:procedure/catch-up", f.catchUp)
	r.post("/procedures/:procedure/catch-up/signature", f.signReading)
	r.get("/policy", f.policy)
	r.post("/policy", f.setPolicy)
	r.get("/trainings", f.trainings)
	r.post("/trainings", f.giveTraining)
	r.get("/appointments", f.appointments)
	r.post("/appointments", f.appoint)
	r.post("/appointments/:appointment/end", f.endAppointment)
	r.get("/exceptions", f.exceptions)
	r.post("/exceptions", f.except)
}

// RevisionsPage is every revision of a procedure, as the revision block of a
// drawing lists them.
type RevisionsPage struct {
	Page
	List    api.RevisionList
	Decide  bool // the reader may adopt and withdraw
	Compare bool // the reader may look at what adopting would do
	Texts   bool // the reader may take the texts
	Message string
	Reason  string // as it was sent, where it was refused
}

// Address is an address below a revision of the procedure.
func (p RevisionsPage) Address(revision, what string) string {
	return "/procedures/" + url.PathEscape(p.List.Procedure) + "/revisions/" + url.PathEscape(revision) + "/" + what
}

func (f *Face) revisions(c *gin.Context) error { return f.revisionsPage(c, http.StatusOK, "") }

func (f *Face) revisionsPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	l, err := f.app.Revisions(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = "Revisions: "+l.Title, []string{"revise"}
	role := pg.Person.Role
	return f.render(c, status, "revisions", RevisionsPage{Page: pg, List: l, Decide: role.May(api.ManagePolicy), Compare: role.May(api.ReadRegister),
		Texts: role.May(api.ManagePolicy) || role.May(api.ImportContent), Message: message, Reason: c.PostForm("reason")})
}

func (f *Face) revisionText(c *gin.Context) error {
	t, err := f.text(c)
	if err != nil {
		return err
	}
	download(c, fileName(c.Param("procedure")+"-"+c.Param("revision"))+".yaml")
	_, err = c.Writer.Write(t.Source)
	return err
}

func (f *Face) revisionBlueprint(c *gin.Context) error {
	t, err := f.text(c)
	if err != nil {
		return err
	}
	if len(t.Blueprint) == 0 {
		return &api.Error{Kind: api.NotFound, Message: "This revision was imported without a blueprint. The program made one for it."}
	}
	download(c, fileName(c.Param("procedure")+"-"+c.Param("revision"))+".blueprint.yaml")
	_, err = c.Writer.Write(t.Blueprint)
	return err
}

func (f *Face) text(c *gin.Context) (api.RevisionText, error) {
	return f.app.RevisionText(c.Request.Context(), edge.Caller(c), c.Param("procedure"), c.Param("revision"))
}

func (f *Face) withdrawProcedure(c *gin.Context) error {
	err := f.app.WithdrawProcedure(c.Request.Context(), edge.Caller(c), api.WithdrawProcedure{Procedure: c.Param("procedure"), Reason: c.PostForm("reason")})
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.revisionsPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/procedures/%s/revisions", url.PathEscape(c.Param("procedure")))
}

// AdoptionPage is what adopting a revision does: an engineering change sheet.
type AdoptionPage struct {
	Page
	api.Adoption
	Of      string // the procedure's title
	Decide  bool
	InForce bool // it is in force already
	Message string
}

// Same reports whether whoever is cleared stays so without doing anything.
func (p AdoptionPage) Same() bool {
	return len(p.Added())+len(p.Changed())+len(p.Removed()) == 0
}

// Address is the address of the page.
func (p AdoptionPage) Address() string {
	return "/procedures/" + url.PathEscape(p.Procedure) + "/revisions/" + url.PathEscape(p.To) + "/adoption"
}

func (f *Face) adoption(c *gin.Context) error { return f.adoptionPage(c, http.StatusOK, "") }

func (f *Face) adoptionPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	a, err := f.app.PreviewAdoption(ctx, who, c.Param("procedure"), c.Param("revision"))
	if state := conflictState(err); strings.HasSuffix(state, " sitting open") {
		return seeOther(c, "/") // the open sitting stands first on the bench
	}
	if err != nil {
		return err
	}
	l, err := f.app.Revisions(ctx, who, c.Param("procedure"))
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = "Adopting revision "+a.To+": "+l.Title, []string{"revise", "register"}
	return f.render(c, status, "adoption", AdoptionPage{Page: pg, Adoption: a, Of: l.Title, Decide: pg.Person.Role.May(api.ManagePolicy), InForce: l.InForce == a.To, Message: message})
}

func (f *Face) adopt(c *gin.Context) error {
	cmd := api.AdoptRevision{Procedure: c.Param("procedure"), Revision: c.Param("revision"), Replaces: c.PostForm("replaces")}
	_, err := f.app.AdoptRevision(c.Request.Context(), edge.Caller(c), cmd)
	if api.KindOf(err) == api.Conflict {
		return f.adoptionPage(c, edge.Status(api.Conflict), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/procedures/%s/revisions", url.PathEscape(cmd.Procedure))
}
