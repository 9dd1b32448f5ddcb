package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
	"soloright/content"
)

func (f *Face) evidenceRoutes(r router) {
	r.get("/evidence/:person/:procedure", f.evidence)
	r.get("/evidence/:person/:procedure/print", f.evidencePrint)
	r.get("/evidence/:person/:procedure/proofs", f.evidenceProofs)
	r.get("/evidence/:person/:procedure/proofs/:entry", f.evidenceProof)
	r.post("/evidence/:person/:procedure/cards", f.issueCard)
	r.post("/evidence/:person/:procedure/cards/:card/revocation", f.revokeCard)
	r.post("/cards/sheet", f.cardSheet)
	r.get(edge.LivePath+":code", f.live)
}

// EvidencePage is the whole trail of a clearance.
type EvidencePage struct {
	Page
	E       api.Evidence
	Cards   []api.Card
	Own     bool
	Today   bool // the evidence is of today
	Message string
	Reason  string // as it was sent, where it was refused
}

// At is the address of a part of this evidence, as of the same day.
func (p EvidencePage) At(part string) string {
	at := "/evidence/" + p.E.Person.ID + "/" + p.E.Procedure + part
	if p.Today {
		return at
	}
	return at + "?on=" + p.E.On.String()
}

// Paper is the address of the print on a size of paper.
func (p EvidencePage) Paper(size string) string {
	at := p.At("/print")
	if p.Today {
		return at + "?paper=" + size
	}
	return at + "&paper=" + size
}

// dayAsked reads the day that an address asks about; none is today.
func dayAsked(c *gin.Context) (content.Date, error) {
	text := c.Query("on")
	if text == "" {
		return content.Date{}, nil
	}
	on, err := content.ParseDate(text)
	if err != nil {
		return on, &api.Error{Kind: api.Invalid, Message: "“" + text + "” is not a day. Write it as 2026-03-02.", Err: err}
	}
	return on, nil
}

// askEvidence gathers the evidence that an address names.
func (f *Face) askEvidence(c *gin.Context) (api.Evidence, error) {
	on, err := dayAsked(c)
	if err != nil {
		return api.Evidence{}, err
	}
	return f.app.Evidence(c.Request.Context(), edge.Caller(c), api.EvidenceQuery{Person: c.Param("person"), Procedure: c.Param("procedure"), On: on})
}

func (f *Face) evidence(c *gin.Context) error { return f.evidencePage(c, http.StatusOK, "") }

func (f *Face) evidencePage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "register")
	if err != nil {
		return err
	}
	e, err := f.askEvidence(c)
	if conflictState(err) != "" {
		return seeOther(c, "/") // the open sitting stands first on the bench
	}
	if err != nil {
		return err
	}
	cards, err := f.app.Cards(c.Request.Context(), edge.Caller(c), e.Person.ID, e.Procedure)
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = "Evidence: "+e.Person.Name+", "+e.Title, []string{"evidence"}
	p := EvidencePage{Page: pg, E: e, Cards: cards, Own: e.Person.ID == pg.Person.ID, Today: e.On == f.app.Today(), Message: message, Reason: c.PostForm("reason")}
	if p.Own {
		p.Here = "bench"
	}
	return f.render(c, status, "evidence", p)
}

// file sends a file that was made whole in memory.
func file(c *gin.Context, kind, name string, body []byte) error {
	c.Header("Content-Disposition", `attachment; filename="`+name+`"`)
	c.Data(http.StatusOK, kind, body)
	return nil
}

// evidenceName is the name of a file of the evidence.
func evidenceName(e api.Evidence, ending string) string {
	return fmt.Sprintf("evidence-%s-%.8s-%s.%s", fileName(e.Procedure), fileName(e.Person.ID), e.On, ending)
}

func (f *Face) evidencePrint(c *gin.Context) error {
	size, err := paperAsked(c.Query("paper"))
	if err != nil {
		return err
	}
	e, err := f.askEvidence(c)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := paper.Evidence(&b, e, size, f.app.Zone()); err != nil {
		return err
	}
	return file(c, "application/pdf", evidenceName(e, "pdf"), b.Bytes())
}

func paperAsked(text string) (paper.Size, error) {
	size, err := paper.ParseSize(text)
	if err != nil {
		return size, &api.Error{Kind: api.Invalid, Message: "There is no such size of paper here. Take a4 or letter.", Err: err}
	}
	return size, nil
}

func (f *Face) evidenceProofs(c *gin.Context) error {
	e, err := f.askEvidence(c)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := paper.Proofs(&b, e); err != nil {
		return err
	}
	return file(c, "application/zip", evidenceName(e, "proofs.zip"), b.Bytes())
}

// evidenceProof gives one proof, of an entry that the evidence rests on.
func (f *Face) evidenceProof(c *gin.Context) error {
	e, err := f.askEvidence(c)
	if err != nil {
		return err
	}
	for _, entry := range e.Entries {
		if strconv.FormatInt(entry.N, 10) == c.Param("entry") {
			return file(c, "text/plain; charset=utf-8", paper.ProofName(entry.N), []byte(entry.Proof))
		}
	}
	return &api.Error{Kind: api.NotFound, Message: "This evidence does not rest on such an entry."}
}
