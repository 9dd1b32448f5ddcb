package web

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/rebuild"
)

// TimesPage states when the rebuild started and ended, and takes the remarks.
type TimesPage struct {
	Page
	View           api.RebuildView
	Started, Ended string // as the browser's control writes them, in the site's zone
	Remarks        string
	Latest         string
	Prev           string
	Message        string
}

// local is how a browser writes a date and a time.
const local = "2006-01-02T15:04"

func (f *Face) times(c *gin.Context) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	started, ended := v.Entries[rebuild.PlaceTimes].Times()
	in := func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return t.In(f.app.Zone()).Format(local)
	}
	return f.timesPage(c, http.StatusOK, pg, v, TimesPage{Started: in(started), Ended: in(ended), Remarks: v.Entries[rebuild.PlaceRemarks].Note})
}

func (f *Face) timesPage(c *gin.Context, status int, pg Page, v api.RebuildView, p TimesPage) error {
	if !v.Open {
		return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
	}
	if !v.Writes {
		return seeOther(c, "/rebuilds/%s/read-over", v.Rebuild.ID)
	}
	pg.Title = "Times and remarks"
	p.Page, p.View, p.Latest = pg, v, v.Now.In(f.app.Zone()).Format(local)
	p.Prev = "steps/" + v.Plan.Stations[len(v.Plan.Stations)-1].Step.ID
	return f.render(c, status, "times", p)
}

func (f *Face) saveTimes(c *gin.Context) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	if !v.Open {
		return f.sheetClosed(c)
	}
	p := TimesPage{Started: c.PostForm("started"), Ended: c.PostForm("ended"), Remarks: strings.TrimSpace(c.PostForm("remarks"))}
	var e rebuild.Entry
	for _, t := range []struct{ text, what string }{{p.Started, "start"}, {p.Ended, "end"}} {
		at, err := time.ParseInLocation(local, t.text, f.app.Zone())
		if t.text != "" && err != nil {
			p.Message = "The " + t.what + " does not read. Write it like 2026-03-02T08:15. Nothing was kept."
			return f.timesPage(c, http.StatusUnprocessableEntity, pg, v, p)
		}
		if t.text == "" {
			continue
		}
		if t.what == "start" {
			e.Started = at.UTC().Format(time.RFC3339)
		} else {
			e.Ended = at.UTC().Format(time.RFC3339)
		}
	}
	err = errors.Join(f.keepEntry(c, v, rebuild.PlaceTimes, e, c.PostForm("times:rev")),
		f.keepEntry(c, v, rebuild.PlaceRemarks, rebuild.Entry{Note: p.Remarks}, c.PostForm("remarks:rev")))
	if api.KindOf(err) == api.Invalid {
		p.Message = "Not kept: " + edge.Known(err).Message
		return f.timesPage(c, http.StatusUnprocessableEntity, pg, v, p)
	}
	if err != nil {
		return err
	}
	if to := c.PostForm("go"); to == "read-over" || strings.HasPrefix(to, "steps/") {
		return seeOther(c, "/rebuilds/%s/%s", v.Rebuild.ID, to)
	}
	return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
}
