package web

import (
	"bytes"
	"html/template"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
	"soloright/content"
)

// CardPage is a wallet card that was just issued: its code is shown this once.
type CardPage struct {
	Page
	Card    api.IssuedCard
	Address string
	Code    template.HTML
}

// issueCard issues a card and shows it. There is nothing to be sent on to: the
// code is kept nowhere, so no other page could show it.
func (f *Face) issueCard(c *gin.Context) error {
	pg, err := f.page(c, "Wallet card", "register")
	if err != nil {
		return err
	}
	got, err := f.app.IssueCard(c.Request.Context(), edge.Caller(c), api.IssueCard{Person: c.Param("person"), Procedure: c.Param("procedure")})
	if api.KindOf(err) == api.Conflict {
		return f.evidencePage(c, edge.Status(api.Conflict), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	if pg.Styles = []string{"evidence"}; got.Card.Person == pg.Person.ID {
		pg.Here = "bench"
	}
	p := CardPage{Page: pg, Card: got, Address: edge.LiveAddress(c, got.Code)}
	if p.Code, err = qrOf(p.Address); err != nil {
		return err
	}
	return f.render(c, http.StatusOK, "card", p)
}

// qrOf is the QR code of an address as a drawing.
func qrOf(address string) (template.HTML, error) {
	qr, err := paper.NewQR(address)
	if err != nil {
		return "", err
	}
	return template.HTML(qr.SVG("QR code to the live standing")), nil //nolint:gosec // made of numbers and a fixed text
}

// cardSheet prints a card whose code whoever issued it still has.
func (f *Face) cardSheet(c *gin.Context) error {
	size, err := paperAsked(c.PostForm("paper"))
	if err != nil {
		return err
	}
	card, err := f.app.CardToPrint(c.Request.Context(), edge.Caller(c), c.PostForm("code"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := paper.Card(&b, card, edge.LiveAddress(c, card.Code), size, f.app.Zone()); err != nil {
		return err
	}
	return file(c, "application/pdf", "card-"+fileName(card.Card.Procedure)+".pdf", b.Bytes())
}

func (f *Face) revokeCard(c *gin.Context) error {
	err := f.app.RevokeCard(c.Request.Context(), edge.Caller(c), api.RevokeCard{Card: c.Param("card"), Reason: c.PostForm("reason")})
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.evidencePage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/evidence/%s/%s#cards", c.Param("person"), c.Param("procedure"))
}

// LivePage is the standing behind a card's code, for anybody who has the card.
type LivePage struct {
	Page
	Valid     bool // false: revoked, or there is no such card
	Name      string
	Procedure string
	Cleared   bool
	Until     content.Date
	At        time.Time
}

// live shows the standing now. A revoked and an unknown code give one page. Who
// is signed in makes no difference.
func (f *Face) live(c *gin.Context) error {
	edge.Unlisted(c)
	p := LivePage{Page: f.bare(c, "Live standing"), At: f.clock()}
	p.Styles = []string{"evidence"}
	l, err := f.app.LiveCard(c.Request.Context(), c.Param("code"))
	if api.KindOf(err) == api.NotFound {
		return f.render(c, http.StatusNotFound, "live", p)
	}
	if err != nil {
		return err
	}
	p.Valid, p.Name, p.Procedure, p.Cleared, p.Until, p.At = true, l.Name, l.Procedure, l.Cleared, l.Until, l.At
	return f.render(c, http.StatusOK, "live", p)
}
