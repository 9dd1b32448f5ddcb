package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// ResultsPage lists everybody's sittings, for trainers and safety officers, the
// newest first.
type ResultsPage struct {
	Page
	Lines []SittingLine
	Newer int // where the page before this one begins, counted from 1; 0: this is the first
	Older int // where the next one begins; 0: this is the last

}

func (f *Face) results(c *gin.Context) error {
	pg, err := f.page(c, "Results", "results")
	if err != nil {
		return err
	}
	first, err := beginning(c)
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	all, err := f.app.Sittings(ctx, who, api.SittingFilter{Limit: first + shown})
	if err != nil {
		return err
	}
	people, err := f.app.People(ctx, who)
	if err != nil {
		return err
	}
	procs, err := f.app.Procedures(ctx, who)
	if err != nil {
		return err
	}
	name, title := map[string]api.Person{}, map[string]string{}
	for _, p := range people {
		name[p.ID] = p
	}
	for _, p := range procs {
		title[p.ID] = p.Title
	}
	p := ResultsPage{Page: pg}
	p.Newer, p.Older = around(first, len(all))
	for _, s := range all[min(first-1, len(all)):min(first-1+shown, len(all))] {
		p.Lines = append(p.Lines, SittingLine{Sitting: s, Title: title[s.Procedure], Person: name[s.Person]})
	}
	return f.render(c, http.StatusOK, "results", p)
}
