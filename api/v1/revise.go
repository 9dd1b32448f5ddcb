package v1

import (
	"encoding/hex"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// Revisions is every revision of a procedure, the one imported last first.
type Revisions struct {
	Procedure string         `json:"procedure"`
	Title     string         `json:"title"`
	InForce   string         `json:"in_force,omitempty"` // none where the procedure is withdrawn
	Withdrawn *Decided       `json:"withdrawn,omitempty"`
	Revisions []RevisionLine `json:"revisions"`
}

// RevisionLine is one revision with what became of it.
type RevisionLine struct {
	Revision string       `json:"revision"`
	Issued   content.Date `json:"issued"`
	Imported time.Time    `json:"imported"`
	By       string       `json:"imported_by"`
	State    string       `json:"state"` // kept, in force, replaced or withdrawn
	Adopted  []Decided    `json:"adopted"`
	Ended    *time.Time   `json:"ended,omitempty"`
}

// Decided says when something was decided, by whom, and why where that is given.
type Decided struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Reason string    `json:"reason,omitempty"`
}

func (f *face) revisions(c *gin.Context) error {
	l, err := f.app.Revisions(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	out := Revisions{Procedure: l.Procedure, Title: l.Title, InForce: l.InForce, Withdrawn: (*Decided)(l.Withdrawn), Revisions: []RevisionLine{}}
	for _, r := range l.Revisions {
		line := RevisionLine{Revision: r.Revision, Issued: r.Issued, Imported: r.Imported, By: r.By, State: string(r.State), Adopted: []Decided{}}
		for _, d := range r.Adopted {
			line.Adopted = append(line.Adopted, Decided(d))
		}
		if !r.Ended.IsZero() {
			line.Ended = &r.Ended
		}
		out.Revisions = append(out.Revisions, line)
	}
	return send(c, http.StatusOK, out)
}

// RevisionText is a revision as it was imported.
type RevisionText struct {
	Source    string `json:"source"`
	Blueprint string `json:"blueprint,omitempty"`
	Digest    string `json:"digest"` // SHA-256, hex, of the source, a zero byte and the blueprint
}

func (f *face) revisionText(c *gin.Context) error {
	t, err := f.app.RevisionText(c.Request.Context(), edge.Caller(c), c.Param("procedure"), c.Param("revision"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, RevisionText{Source: string(t.Source), Blueprint: string(t.Blueprint), Digest: hex.EncodeToString(t.Digest)})
}

// Adopt is the command to adopt a revision.
type Adopt struct {
	Replaces string `json:"replaces,omitempty" validate:"max=64"` // the revision in force when the adoption was looked at
}

// Adoption is what adopting a revision does.
type Adoption struct {
	Procedure string        `json:"procedure"`
	From      string        `json:"from,omitempty"` // the revision in force; none: the first
	To        string        `json:"to"`
	Withdrawn bool          `json:"withdrawn,omitempty"` // adopting ends the withdrawal of the procedure
	Added     []FactChange  `json:"added"`
	Removed   []FactChange  `json:"removed"`
	Changed   []FactChange  `json:"changed"`
	Reworded  []FactChange  `json:"reworded"`
	Regraded  []FactChange  `json:"regraded"`
	Observe   []string      `json:"observe_again"`   // steps of hold points
	Grace     *content.Date `json:"grace,omitempty"` // its last day, for whoever is cleared; none where it is in force already
	Touched   []Standing    `json:"touched"`         // whoever does not simply carry over, as it is now
}

// FactChange is a fact as it was and as it is.
type FactChange struct {
	Fact     string `json:"fact"`
	Step     string `json:"step,omitempty"`
	Critical bool   `json:"critical,omitempty"`
	Was      string `json:"was,omitempty"`
	Is       string `json:"is,omitempty"`
	Why      string `json:"why,omitempty"` // why it is read and not asked
}

func (f *face) previewAdoption(c *gin.Context) error {
	a, err := f.app.PreviewAdoption(c.Request.Context(), edge.Caller(c), c.Param("procedure"), c.Param("revision"))
	return f.sendAdoption(c, a, err)
}

func (f *face) adopt(c *gin.Context) error {
	var cmd Adopt
	if err := decode(c, &cmd); err != nil {
		return err
	}
	a, err := f.app.AdoptRevision(c.Request.Context(), edge.Caller(c), api.AdoptRevision{Procedure: c.Param("procedure"), Revision: c.Param("revision"), Replaces: cmd.Replaces})
	return f.sendAdoption(c, a, err)
}

func (f *face) sendAdoption(c *gin.Context, a api.Adoption, err error) error {
	if err != nil {
		return err
	}
	out := Adoption{Procedure: a.Procedure, From: a.From, To: a.To, Withdrawn: a.Withdrawn, Grace: dateOf(a.Grace), Observe: []string{}, Touched: standingsOf(a.Lines),
		Added: factsChanged(a.Added()), Removed: factsChanged(a.Removed()), Changed: factsChanged(a.Changed()), Reworded: factsChanged(a.Reworded()), Regraded: factsChanged(a.Regraded())}
	for _, o := range a.Observe {
		out.Observe = append(out.Observe, o.Hold)
	}
	return send(c, http.StatusOK, out)
}

func factsChanged(list []api.FactChange) []FactChange {
	out := []FactChange{}
	for _, f := range list {
		out = append(out, FactChange{Fact: string(f.Fact), Step: f.Step, Critical: f.Critical, Was: f.Was, Is: f.Is, Why: f.Why})
	}
	return out
}

func (f *face) withdrawProcedure(c *gin.Context) error {
	var cmd api.WithdrawProcedure
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Procedure = c.Param("procedure")
	return done(c, f.app.WithdrawProcedure(c.Request.Context(), edge.Caller(c), cmd))
}

// done answers that something is done.
func done(c *gin.Context, err error) error {
	if err == nil {
		c.Status(http.StatusNoContent)
	}
	return err
}

// CatchUp is what somebody has to do to stand on the revision in force.
type CatchUp struct {
	Standing Standing     `json:"standing"`
	From     string       `json:"from,omitempty"` // the revision that one stands on; none: there is nothing to do
	To       string       `json:"to"`
	Build    string       `json:"build,omitempty"`
	Asked    []FactChange `json:"asked"` // in the delta sitting
	Read     []FactChange `json:"read"`  // and signed for, first
	Text     string       `json:"text,omitempty"`
	Digest   string       `json:"digest,omitempty"` // SHA-256 of the text, hex: what is signed
	Observe  []string     `json:"observe_again"`    // steps of hold points
	MaySit   bool         `json:"may_sit"`          // as far as tries and waiting go
	Why      string       `json:"why_not,omitempty"`
}

func (f *face) catchUp(c *gin.Context) error {
	u, err := f.app.CatchUp(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	out := CatchUp{Standing: standingOf(u.Line), From: u.From, To: u.Procedure.Revision, Build: u.Build, Asked: factsChanged(u.Asked), Read: factsChanged(u.Read),
		Text: u.Text, Digest: u.Digest, Observe: []string{}, MaySit: u.Sit.May && len(u.Asked) > 0 && len(u.Read) == 0, Why: u.Sit.Reason}
	for _, h := range u.Observe {
		out.Observe = append(out.Observe, h.Step)
	}
	return send(c, http.StatusOK, out)
}

func (f *face) signReading(c *gin.Context) error {
	var cmd api.SignReading
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Procedure = c.Param("procedure")
	return done(c, f.app.SignReading(c.Request.Context(), edge.Caller(c), cmd))
}
