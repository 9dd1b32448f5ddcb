package web

import (
	"net/http"
	"strings"
	"testing"

	"soloright/api"
	"soloright/scoring/clearance"
)

// Each step of the road leads to where it is done, or is somebody else's to do.
func TestTheNextStepLeadsToWhereItIsDone(t *testing.T) {
	road := func(tasks ...clearance.Task) api.Road {
		r := api.Road{Sit: clearance.Sit{May: true}}
		r.Procedure, r.Missing, r.Tasks = "pump", "isolation", tasks
		for _, task := range tasks {
			r.Next = append(r.Next, string(task)+" outstanding")
		}
		return r
	}
	for task, to := range map[clearance.Task]string{
		clearance.TaskPrerequisite: "/procedures/isolation", clearance.TaskSitting: "/procedures/pump", clearance.TaskDelta: "/procedures/pump/catch-up",
		clearance.TaskRead: "/procedures/pump/catch-up", clearance.TaskObserveAgain: "/rebuilds", clearance.TaskRebuild: "/rebuilds", clearance.TaskPerformed: "/rebuilds",
		clearance.TaskObserved: "/rebuilds", clearance.TaskApproved: "/rebuilds", clearance.TaskReinstate: "",
	} {
		if n := next(road(task)); n.To.To != to || (n.To.Text == "") != (to == "") || n.Text == "" {
			t.Errorf("%s leads to %q with %q: %q, want %q", task, n.To.To, n.To.Text, n.Text, to)
		}
	}
	if n := next(api.Road{}); n.Text != "" || n.To.To != "" {
		t.Errorf("with nothing missing: %+v", n)
	}
	waiting := road(clearance.TaskSitting)
	waiting.Sit = clearance.Sit{Failed: 1, Reason: "the next try may begin on 2026-03-05"}
	if n := next(waiting); n.To.To != "" || n.Text != waiting.Sit.Reason {
		t.Errorf("before the next try: %+v", n)
	}
	for n, want := range map[int]string{0: "ask a safety officer", 2: "could be observed by A, A", 6: "A, A, A, A and others"} {
		r := road(clearance.TaskRebuild)
		for range n {
			r.Signers = append(r.Signers, api.Signer{Name: "A", May: true})
		}
		if got := next(r).Text; !strings.Contains(got, want) {
			t.Errorf("with %d assessors: %s", n, got)
		}
	}
}

// The road of somebody new, step by step on the bench, to a link that leads on.
func TestTheBenchShowsWhatIsNext(t *testing.T) {
	s := newSite(t)
	tech := s.token[api.Technician]
	wants(t, "the bench of somebody new", s.text("/", tech, 200), "May not work alone", "Not cleared: qualifying sitting outstanding. The way so far Sit for it")
	if w := s.send(http.MethodGet, "/", s.token[api.Administrator], nil); strings.Contains(w.Body.String(), "May not work alone") {
		t.Error("somebody who does not sit has a road")
	}
}
