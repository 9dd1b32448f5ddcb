package v1

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// Remark is what marking again would do, or did.
type Remark struct {
	Withdrawal api.Withdrawal `json:"withdrawal"` // that it rests on
	Changes    []RemarkChange `json:"changes"`    // every sitting that is marked again, those that matter most first
	Waiting    []string       `json:"waiting"`    // sittings within the hour of their confirming step
	Bare       []string       `json:"bare"`       // sittings of which nothing would be left
	Digest     string         `json:"digest"`     // the command repeats it
}

// RemarkChange is what marking again does to one sitting.
type RemarkChange struct {
	api.RemarkChange
	Person  string `json:"person"`
	Name    string `json:"name"`
	Turns   bool   `json:"turns"`   // the try ends otherwise
	Touches bool   `json:"touches"` // the person stands otherwise
}

func remarkOf(p api.Remark) Remark {
	out := Remark{Withdrawal: p.Withdrawal, Changes: []RemarkChange{}, Waiting: p.Waiting, Bare: p.Bare, Digest: p.Digest}
	for _, c := range p.Changes {
		out.Changes = append(out.Changes, RemarkChange{c, c.Person.ID, c.Person.Name, c.Turns(), c.Touches()})
	}
	return out
}

func (f *face) previewRemark(c *gin.Context) error {
	q := api.RemarkQuery{ItemSubject: api.ItemSubject{Procedure: c.Param("procedure"), Revision: c.Query("revision"), Fact: content.FactID(c.Query("fact")), Model: c.Query("model"), Item: c.Query("item")}}
	p, err := f.app.RemarkPreview(c.Request.Context(), edge.Caller(c), q)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, remarkOf(p))
}

// RemarkCommand has sittings marked again.
type RemarkCommand struct {
	Fact     content.FactID `json:"fact" validate:"required,max=400"`
	Model    string         `json:"model" validate:"required,max=64"`
	Item     string         `json:"item,omitempty" validate:"max=128"`
	Revision string         `json:"revision,omitempty" validate:"max=64"`
	Digest   string         `json:"digest" validate:"required,max=64"` // of the preview that was looked at
	Reason   string         `json:"reason" validate:"required,min=10,max=1000"`
}

func (f *face) remark(c *gin.Context) error {
	var cmd RemarkCommand
	if err := decode(c, &cmd); err != nil {
		return err
	}
	p, err := f.app.Remark(c.Request.Context(), edge.Caller(c), api.RemarkCommand{Digest: cmd.Digest, Reason: cmd.Reason,
		ItemSubject: api.ItemSubject{Procedure: c.Param("procedure"), Revision: cmd.Revision, Fact: cmd.Fact, Model: cmd.Model, Item: cmd.Item}})
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, remarkOf(p))
}
