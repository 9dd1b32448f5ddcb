package web

import (
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
)

// Next is the next step of somebody's road: what it is and where it is done.
type Next struct {
	Text string // a sentence without its full stop; "" where nothing is missing
	To   Link   // where it is done; no text: somebody else does it
}

// roads puts on the bench where one is with each procedure, and what is next.
func (f *Face) roads(c *gin.Context, p *BenchPage) error {
	if !p.May(string(api.Sit)) {
		return nil
	}
	all, err := f.app.Roads(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		at := slices.IndexFunc(all, func(r api.Road) bool { return r.Procedure == l.Procedure.ID })
		if at >= 0 {
			l.Road, l.Next = &all[at], next(all[at])
			l.Changed = l.Next.To.Text != seeChanged &&
				(slices.Contains(l.Road.Tasks, clearance.TaskDelta) || slices.Contains(l.Road.Tasks, clearance.TaskRead))
			if strings.Contains(l.Road.Reason, l.Next.Text) { // said already
				l.Next.Text = ""
			}
		}
	}
	return nil
}

const seeChanged = "See what changed"

// next says what comes next on a road. A link leads to where the step is done.
func next(r api.Road) Next {
	switch r.Task() {
	case clearance.TaskPrerequisite:
		return Next{r.Next[0], Link{"/procedures/" + r.Missing, "See what it takes"}}
	case clearance.TaskSitting:
		return sitNext(r)
	case clearance.TaskRebuild, clearance.TaskObserveAgain:
		return Next{r.Next[0] + observers(r), Link{"/rebuilds", "Your rebuilds"}}
	case clearance.TaskDelta, clearance.TaskRead:
		return Next{r.Next[0], Link{"/procedures/" + r.Procedure + "/catch-up", seeChanged}}
	case clearance.TaskPerformed:
		return Next{r.Next[0], Link{"/rebuilds", "Read and sign"}}
	case clearance.TaskObserved, clearance.TaskApproved:
		return Next{r.Next[0], Link{"/rebuilds", "See what was signed"}}
	}
	if len(r.Next) == 0 {
		return Next{}
	}
	return Next{Text: r.Next[0]}
}

func sitNext(r api.Road) Next {
	if !r.Sit.May && r.Sit.Failed > 0 {
		return Next{Text: r.Sit.Reason}
	}
	return Next{r.Next[0], Link{"/procedures/" + r.Procedure, "Sit for it"}}
}

// observers names who could observe.
func observers(r api.Road) string {
	var names []string
	for _, s := range r.Signers {
		names = append(names, s.Name)
	}
	const most = 4
	switch {
	case len(names) == 0:
		return "; nobody could observe you just now: ask a safety officer to appoint an assessor"
	case len(names) > most:
		return "; could be observed by " + strings.Join(names[:most], ", ") + " and others"
	}
	return "; could be observed by " + strings.Join(names, ", ")
}
