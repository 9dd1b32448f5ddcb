package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

func (f *face) evidence(c *gin.Context) error {
	on, _, err := day(c)
	if err != nil {
		return err
	}
	e, err := f.app.Evidence(c.Request.Context(), edge.Caller(c), api.EvidenceQuery{Person: c.Param("person"), Procedure: c.Param("procedure"), On: on})
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, e)
}

// Card is a wallet card; its code is told only when it is issued.
type Card struct {
	ID        string          `json:"id"`
	Person    string          `json:"person"`
	Procedure string          `json:"procedure"`
	Revision  string          `json:"revision"` // as printed
	Until     content.Date    `json:"until"`    // as printed, that day included
	Issued    time.Time       `json:"issued"`
	By        string          `json:"by"`
	Revoked   *CardRevocation `json:"revoked,omitempty"`
}

// CardRevocation says when and why a card was ended.
type CardRevocation struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Reason string    `json:"reason"`
}

// Cards is a list of wallet cards.
type Cards struct {
	Cards []Card `json:"cards"`
}

// IssuedCard is a new card with its code, and the address that its QR code is to
// lead to.
type IssuedCard struct {
	Card    Card   `json:"card"`
	Name    string `json:"name"`
	Title   string `json:"title"`
	Code    string `json:"code"`
	Address string `json:"address"`
}

// Live is the standing behind a card now.
type Live struct {
	At        time.Time     `json:"at"`
	Name      string        `json:"name"`
	Procedure string        `json:"procedure"` // its title
	Cleared   bool          `json:"cleared"`
	Until     *content.Date `json:"until,omitempty"` // that day included
}

func cardOf(c api.Card) Card {
	out := Card{ID: c.ID, Person: c.Person, Procedure: c.Procedure, Revision: c.Revision, Until: c.Until, Issued: c.Issued, By: c.By}
	if r := c.Revoked; r != nil {
		out.Revoked = &CardRevocation{At: r.At, By: r.By, Reason: r.Reason}
	}
	return out
}

func (f *face) cards(c *gin.Context) error {
	all, err := f.app.Cards(c.Request.Context(), edge.Caller(c), c.Param("person"), c.Param("procedure"))
	if err != nil {
		return err
	}
	out := Cards{Cards: []Card{}}
	for _, one := range all {
		out.Cards = append(out.Cards, cardOf(one))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) issueCard(c *gin.Context) error {
	got, err := f.app.IssueCard(c.Request.Context(), edge.Caller(c), api.IssueCard{Person: c.Param("person"), Procedure: c.Param("procedure")})
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, IssuedCard{Card: cardOf(got.Card), Name: got.Name, Title: got.Title, Code: got.Code, Address: edge.LiveAddress(c, got.Code)})
}

func (f *face) revokeCard(c *gin.Context) error {
	var cmd Reason
	if err := decode(c, &cmd); err != nil {
		return err
	}
	if err := f.app.RevokeCard(c.Request.Context(), edge.Caller(c), api.RevokeCard{Card: c.Param("card"), Reason: cmd.Reason}); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (f *face) live(c *gin.Context) error {
	edge.Unlisted(c)
	l, err := f.app.LiveCard(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Live{At: l.At, Name: l.Name, Procedure: l.Procedure, Cleared: l.Cleared, Until: dateOf(l.Until)})
}
