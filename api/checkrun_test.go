package api_test

import (
	"context"
	"testing"
	"time"

	"soloright/api"
)

// mine marks the context of who asks; a check has one of its own.
type mine struct{}

// gated is a store at which everybody waits who is not marked, until it opens.
type gated struct {
	api.Store
	open chan struct{}
}

func (g gated) Read(ctx context.Context, f func(api.Reader) error) error {
	if ctx.Value(mine{}) == nil {
		select {
		case <-g.open:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return g.Store.Read(ctx, f)
}

func TestACheckRunsBesideTheRequests(t *testing.T) {
	s := newSite(t)
	s.history()
	ctx := context.WithValue(t.Context(), mine{}, true)
	gate := gated{s.store, make(chan struct{})}
	a, other := s.on(gate), s.on(s.store)
	t.Cleanup(a.EndChecks)
	officer := s.role(api.SafetyOfficer)
	if _, there, err := other.LastCheck(ctx, officer); there || err != nil {
		t.Errorf("before any: %v, %v", there, err)
	}
	first, err := a.StartCheck(ctx, officer, nil)
	if s.do(err); !first.Runs || first.Sound() || first.BrokeOff() {
		t.Errorf("begun: %+v", first)
	}
	for _, app := range []*api.App{a, other} { // any instance knows that it runs
		if again, err := app.StartCheck(ctx, officer, nil); err != nil || again.ID != first.ID {
			t.Errorf("begun again: %+v, %v", again, err)
		}
	}
	close(gate.open)
	last := s.ended(ctx, other)
	if !last.Sound() || last.ID != first.ID || last.Entries < 10 || last.Records < 10 || last.By != s.people[api.SafetyOfficer].Name {
		t.Errorf("ended: %+v", last)
	}
	_, err = a.StartCheck(ctx, officer, []byte("no checkpoint"))
	wantKind(t, err, api.Invalid)
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		_, err = a.StartCheck(ctx, s.role(r), nil)
		wantKind(t, err, api.Forbidden)
		_, _, err = a.LastCheck(ctx, s.role(r))
		wantKind(t, err, api.Forbidden)
	}
}

// ended waits for the end of the check that was begun last.
func (s *site) ended(ctx context.Context, a *api.App) api.RecordCheckView {
	s.t.Helper()
	for begun := time.Now(); time.Since(begun) < time.Minute; time.Sleep(5 * time.Millisecond) {
		v, there, err := a.LastCheck(ctx, s.role(api.SafetyOfficer))
		if s.do(err); there && !v.Ended.IsZero() {
			return v
		}
	}
	s.t.Fatal("the check does not end")
	return api.RecordCheckView{}
}

// A check that the end of the program breaks off says nothing about the record,
// and neither does one that nothing was heard of for long.
func TestACheckThatBreaksOffSaysNothing(t *testing.T) {
	s := newSite(t)
	ctx := context.WithValue(t.Context(), mine{}, true)
	gate := gated{s.store, make(chan struct{})}
	a := s.on(gate)
	_, err := a.StartCheck(ctx, s.role(api.SafetyOfficer), nil)
	s.do(err)
	a.EndChecks()
	if v := s.ended(ctx, s.App); !v.BrokeOff() || v.Sound() || v.Broke == "" {
		t.Errorf("broken off: %+v", v)
	}
	s.wait(time.Minute)
	b := s.on(gate) // killed: it keeps nothing any more
	t.Cleanup(b.EndChecks)
	lost, err := b.StartCheck(ctx, s.role(api.SafetyOfficer), nil)
	s.do(err)
	s.wait(time.Minute)
	if v, _, err := s.LastCheck(ctx, s.role(api.SafetyOfficer)); err != nil || v.ID != lost.ID || v.Runs || !v.BrokeOff() {
		t.Errorf("lost: %+v, %v", v, err)
	}
	next, err := s.StartCheck(ctx, s.role(api.SafetyOfficer), nil)
	if s.do(err); next.ID == lost.ID {
		t.Error("one that was lost stands in the way of the next")
	}
	s.EndChecks()
}
