package web

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// resultsShown is how many sittings a page of results lists.
const resultsShown = 50

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
	first, err := strconv.Atoi(c.DefaultQuery("from", "1"))
	if err != nil || first < 1 || first > 1_000_000 {
		return &api.Error{Kind: api.NotFound, Message: "There is no such page of results."}
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	all, err := f.app.Sittings(ctx, who, api.SittingFilter{Limit: first + resultsShown})
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
	for _, s := range all[min(first-1, len(all)):min(first-1+resultsShown, len(all))] {
		p.Lines = append(p.Lines, SittingLine{Sitting: s, Title: title[s.Procedure], Person: name[s.Person]})
	}
	return f.render(c, http.StatusOK, "results", p)
}

// around says where the pages before and after this one begin.
func around(first, known int) (newer, older int) {
	if first > 1 {
		newer = max(1, first-resultsShown)
	}
	if known >= first+resultsShown {
		older = first + resultsShown
	}
	return newer, older
}
