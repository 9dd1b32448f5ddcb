package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// RemarkPage shows who would change if sittings were marked again, before it is done.
type RemarkPage struct {
	Page
	Plan    api.Remark
	Turning int // tries that end otherwise
	Touched int // people whose standing changes
	Listed  []api.RemarkChange
	Rest    int // sittings that only change their share, beyond those listed
}

// mostListed is how many sittings that change nothing but their share are listed.
const mostListed = 40

func (f *Face) remarkPreview(c *gin.Context) error {
	pg, err := f.page(c, "Mark again", "bench")
	if err != nil {
		return err
	}
	sub := api.ItemSubject{Procedure: c.Param("procedure"), Revision: c.Query("revision"), Fact: content.FactID(c.Query("fact")), Model: c.Query("model"), Item: c.Query("item")}
	plan, err := f.app.RemarkPreview(c.Request.Context(), edge.Caller(c), api.RemarkQuery{ItemSubject: sub})
	if err != nil {
		return err
	}
	pg.Styles = []string{"health"}
	p := RemarkPage{Page: pg, Plan: plan}
	for _, ch := range plan.Changes {
		if ch.Turns() {
			p.Turning++
		}
		if ch.Touches() {
			p.Touched++
		}
		if ch.Turns() || ch.Touches() || len(p.Listed) < mostListed {
			p.Listed = append(p.Listed, ch)
		} else {
			p.Rest++
		}
	}
	return f.render(c, http.StatusOK, "remark", p)
}

func (f *Face) remark(c *gin.Context) error {
	cmd := api.RemarkCommand{ItemSubject: api.ItemSubject{Procedure: c.Param("procedure"), Revision: c.PostForm("revision"), Fact: content.FactID(c.PostForm("fact")),
		Model: c.PostForm("model"), Item: c.PostForm("item")}, Digest: c.PostForm("digest"), Reason: c.PostForm("reason")}
	if _, err := f.app.Remark(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	return seeOther(c, "/procedures/%s/withdrawn", url.PathEscape(cmd.Procedure))
}

func sortWithdrawals(all []api.Withdrawal) {
	slices.SortFunc(all, func(a, b api.Withdrawal) int {
		return cmp.Or(cmp.Compare(a.Revision, b.Revision), cmp.Compare(a.Item, b.Item))
	})
}
