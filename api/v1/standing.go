package v1

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// TrailAct is one act on the record of somebody on a procedure.
type TrailAct struct {
	Entry   int64     `json:"entry"` // number of the ledger entry that attests it
	At      time.Time `json:"at"`
	By      string    `json:"by"` // name
	Kind    string    `json:"kind"`
	Text    string    `json:"text"`
	Note    string    `json:"note,omitempty"`
	Struck  bool      `json:"struck,omitempty"` // counts no more
	Sitting string    `json:"sitting,omitempty"`
	Rebuild string    `json:"rebuild,omitempty"`
}

// PersonTrail is one person on one procedure.
type PersonTrail struct {
	Standing Standing   `json:"standing"`
	Rests    RestsOn    `json:"rests_on"`
	Acts     []TrailAct `json:"acts"` // up to now, oldest first
}

// RestsOn is what the standing rests on now.
type RestsOn struct {
	Sitting  string     `json:"sitting,omitempty"`
	Deltas   []string   `json:"delta_sittings,omitempty"`
	Rebuilds []string   `json:"rebuilds,omitempty"`
	Again    []string   `json:"observed_again,omitempty"`
	From     *time.Time `json:"from,omitempty"` // when the clearance began
	Approved bool       `json:"approved,omitempty"`
}

func (f *face) standing(c *gin.Context) error {
	on, now, err := day(c)
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	v, err := f.app.PersonTrail(ctx, who, c.Param("person"), c.Param("procedure"))
	if err != nil {
		return err
	}
	if !on.IsZero() || now {
		if v.RegisterLine, err = f.app.StandingLine(ctx, who, v.Person, v.Procedure, on, now); err != nil {
			return err
		}
	}
	out := PersonTrail{Standing: standingOf(v.RegisterLine), Acts: []TrailAct{}, Rests: RestsOn{Sitting: v.Trail.Sitting, Deltas: v.Trail.Deltas,
		Rebuilds: v.Trail.Rebuilds, Again: v.Trail.Again, Approved: v.Trail.Approved}}
	if !v.Trail.From.IsZero() {
		out.Rests.From = &v.Trail.From
	}
	for _, a := range v.Acts {
		out.Acts = append(out.Acts, TrailAct{a.Entry, a.At, a.By, string(a.Kind), a.Text, a.Note, a.Struck, a.Sitting, a.Rebuild})
	}
	return send(c, http.StatusOK, out)
}

// Reason is why a standing is changed.
type Reason struct {
	Reason string `json:"reason" validate:"required,min=10,max=1000"`
}

func (f *face) suspend(c *gin.Context) error   { return notice(c, f.app.Suspend) }
func (f *face) reinstate(c *gin.Context) error { return notice(c, f.app.Reinstate) }
func (f *face) withdraw(c *gin.Context) error  { return notice(c, f.app.Withdraw) }

func notice(c *gin.Context, do func(context.Context, api.Caller, api.StandingCommand) error) error {
	var body Reason
	if err := decode(c, &body); err != nil {
		return err
	}
	err := do(c.Request.Context(), edge.Caller(c), api.StandingCommand{Person: c.Param("person"), Procedure: c.Param("procedure"), Reason: body.Reason})
	if err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}
