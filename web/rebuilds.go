package web

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

func (f *Face) rebuildRoutes(r router) {
	r.get("/rebuilds", f.rebuilds)
	r.post("/rebuilds", f.beginRebuild)
	r.get("/rebuilds/:rebuild", f.rebuild)
	r.get("/rebuilds/:rebuild/text", f.rebuildText)
	r.get("/rebuilds/:rebuild/steps/:step", f.station)
	r.post("/rebuilds/:rebuild/steps/:step", f.saveStation)
	r.get("/rebuilds/:rebuild/times", f.times)
	r.post("/rebuilds/:rebuild/times", f.saveTimes)
	r.get("/rebuilds/:rebuild/read-over", f.readOver)
	r.post("/rebuilds/:rebuild/finish", f.finishRebuild)
	r.post("/rebuilds/:rebuild/abandonment", f.abandonRebuild)
	r.get("/rebuilds/:rebuild/sign/:meaning", f.signPage)
	r.post("/rebuilds/:rebuild/sign/:meaning", f.signRebuild)
	r.post("/rebuilds/:rebuild/void", f.voidRebuild)
	r.get("/wrenches", f.wrenches)
	r.post("/wrenches", f.addWrench)
	r.get("/wrenches/:wrench", f.wrench)
	r.post("/wrenches/:wrench/calibrations", f.calibrate)
}

// RebuildsPage lists whom one could observe, the open sheets, what waits for one's
// signature, and what is done.
type RebuildsPage struct {
	Page
	Observe []api.Observable
	Open    []api.RebuildLine
	Sign    []api.RebuildLine
	Done    []api.RebuildLine
	Before  int // where the part before begins; 0: this is the first
	After   int
	All     bool // everybody's
	Message string
}

func (f *Face) rebuilds(c *gin.Context) error { return f.rebuildsPage(c, http.StatusOK, "") }

func (f *Face) rebuildsPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "Observed rebuilds", "rebuilds")
	if err != nil {
		return err
	}
	pg.Styles = []string{"rebuild"}
	first, err := beginning(c)
	if err != nil {
		return err
	}
	p := RebuildsPage{Page: pg, All: c.Query("of") == "all", Message: message}
	ctx, who := c.Request.Context(), edge.Caller(c)
	list, err := f.app.Rebuilds(ctx, who, p.All)
	if err != nil {
		return err
	}
	mine := list.Finished
	if pg.Person.Role.May(api.ApproveRebuild) && !p.All {
		all, err := f.app.Rebuilds(ctx, who, true)
		if err != nil {
			return err
		}
		mine = all.Finished
	}
	for _, l := range mine {
		if f.waitsFor(l, *pg.Person) {
			p.Sign = append(p.Sign, l)
		}
	}
	p.Open = list.Open
	p.Before, p.After = around(first, len(list.Finished))
	p.Done = list.Finished[min(first-1, len(list.Finished)):min(first-1+shown, len(list.Finished))]
	if p.Observe, err = f.app.Observables(ctx, who); err != nil {
		return err
	}
	return f.render(c, status, "rebuilds", p)
}

// waitsFor reports whether a rebuild waits for a person's signature.
func (f *Face) waitsFor(l api.RebuildLine, p api.Person) bool {
	switch l.Waits {
	case "technician":
		return l.FinishedRebuild.Technician == p.ID
	case "assessor":
		return l.FinishedRebuild.Assessor == p.ID
	case string(api.SafetyOfficer):
		return p.Role.May(api.ApproveRebuild) && l.FinishedRebuild.Technician != p.ID && l.FinishedRebuild.Assessor != p.ID
	}
	return false
}

// Meaning is what somebody signs whose signature a rebuild waits for.
func (p RebuildsPage) Meaning(l api.RebuildLine) clearance.Meaning {
	return map[string]clearance.Meaning{"technician": clearance.Performed, "assessor": clearance.Observed}[l.Waits]
}

func (f *Face) beginRebuild(c *gin.Context) error {
	o, err := f.app.BeginRebuild(c.Request.Context(), edge.Caller(c), api.BeginRebuild{Technician: c.PostForm("technician"), Procedure: c.PostForm("procedure"), Build: c.PostForm("build")})
	if conflictState(err) != "" {
		return f.rebuildsPage(c, http.StatusConflict, edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/rebuilds/%s", o.ID)
}

// StationLine is a step on the sheet list of an open rebuild.
type StationLine struct {
	rebuild.Filled
	Hold    string // the outcome; "–" where none is written; "" where it is no hold point
	Written int    // readings with something written
	Of      int
	Faults  int // written, and not good
}

// RebuildPage is a rebuild: open, with its sheet list, or finished, a stamped sheet.
type RebuildPage struct {
	Page
	View    api.RebuildView
	Lines   []StationLine
	Times   rebuild.Entry
	Started time.Time
	Ended   time.Time
	Message string
}

func (f *Face) rebuild(c *gin.Context) error { return f.rebuildPage(c, http.StatusOK, "") }

func (f *Face) rebuildPage(c *gin.Context, status int, message string) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	p := RebuildPage{Page: pg, View: v, Message: message}
	if !v.Open {
		p.Started, p.Ended = v.Rebuild.Started, v.Rebuild.Ended
		return f.render(c, status, "rebuild", p)
	}
	p.Started, p.Ended = v.Entries[rebuild.PlaceTimes].Times()
	p.Lines = stationLines(v.Record)
	return f.render(c, status, "rebuild-open", p)
}

// rebuildView reads a rebuild and begins its page.
func (f *Face) rebuildView(c *gin.Context) (Page, api.RebuildView, error) {
	pg, err := f.page(c, "", "rebuilds")
	if err != nil {
		return pg, api.RebuildView{}, err
	}
	v, err := f.app.Rebuild(c.Request.Context(), edge.Caller(c), c.Param("rebuild"))
	pg.Title = "Rebuild of " + v.Technician.Name
	pg.Styles = []string{"rebuild"}
	return pg, v, err
}

func stationLines(r rebuild.Record) []StationLine {
	var out []StationLine
	for _, st := range r.Steps {
		l := StationLine{Filled: st}
		for _, x := range st.Lines {
			if x.Kind == rebuild.LineHold {
				if l.Hold = x.Found; l.Hold == "" {
					l.Hold = "–"
				}
			} else {
				l.Of++
				if x.Found != "" || x.Wrench != "" {
					l.Written++
				}
			}
			if x.Fault != "" && x.Found != "" {
				l.Faults++
			}
		}
		out = append(out, l)
	}
	return out
}

// rebuildText gives the canonical text, whose digest is signed, to keep.
func (f *Face) rebuildText(c *gin.Context) error {
	v, err := f.app.Rebuild(c.Request.Context(), edge.Caller(c), c.Param("rebuild"))
	if err != nil {
		return err
	}
	download(c, "rebuild-"+fileName(v.Rebuild.ID)+".txt")
	_, err = c.Writer.WriteString(v.Text)
	return err
}

// ReadOverPage is the whole sheet as it will be signed, before it is finished.
type ReadOverPage struct {
	Page
	View    api.RebuildView
	Message string
}

// Seen is when the page was made, for the server to say what changed since.
func (p ReadOverPage) Seen() string { return p.View.Now.Format(time.RFC3339Nano) }

// WhenText prints a time that a sheet holds as text, in the site's zone.
func (p ReadOverPage) WhenText(text string) string {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return text
	}
	return p.When(t)
}

func (f *Face) readOver(c *gin.Context) error { return f.readOverPage(c, http.StatusOK, "") }

func (f *Face) readOverPage(c *gin.Context, status int, message string) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	if !v.Open {
		return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
	}
	pg.Title = "Read the sheet over"
	return f.render(c, status, "read-over", ReadOverPage{Page: pg, View: v, Message: message})
}

func (f *Face) finishRebuild(c *gin.Context) error {
	seen, err := time.Parse(time.RFC3339Nano, c.PostForm("seen"))
	if err != nil {
		return &api.Error{Kind: api.Malformed, Message: "The form does not say when the sheet was shown.", Err: err}
	}
	id := c.Param("rebuild")
	_, err = f.app.FinishRebuild(c.Request.Context(), edge.Caller(c), api.FinishRebuild{Rebuild: id, Digest: c.PostForm("digest"), Seen: seen})
	if state := conflictState(err); state != "" && state != "finished" {
		return f.readOverPage(c, http.StatusConflict, edge.Known(err).Message)
	} else if err != nil && state == "" {
		return err
	}
	return seeOther(c, "/rebuilds/%s", id)
}

func (f *Face) abandonRebuild(c *gin.Context) error {
	err := f.app.AbandonRebuild(c.Request.Context(), edge.Caller(c), api.AbandonRebuild{Rebuild: c.Param("rebuild"), Reason: c.PostForm("reason")})
	if k := api.KindOf(err); k == api.Invalid {
		return f.rebuildPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/rebuilds")
}

func (f *Face) voidRebuild(c *gin.Context) error {
	id := c.Param("rebuild")
	err := f.app.VoidRebuild(c.Request.Context(), edge.Caller(c), api.VoidRebuildCommand{Rebuild: id, Reason: c.PostForm("reason")})
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.rebuildPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/rebuilds/%s", id)
}
