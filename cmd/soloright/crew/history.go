package crew

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"time"

	"soloright/api"
)

// Days is how long the whole history is. A shorter one ends earlier in the
// invented time: it lacks who joined later and what was corrected later.
const Days = 730

// flangeCorrected is the day on which the corrected flange procedure was adopted.
const flangeCorrected = 395

// Works is where the history is played.
type Works struct {
	Store api.Store
	// Open makes the application with a clock and a source of ids, tokens and seeds.
	Open func(clock api.Clock, entropy io.Reader) *api.App
	Now  time.Time // the end of the history
	Days int       // how long it is
	Zone *time.Location
}

// history plays. Its clock stands in the past and moves on with each act; its
// randomness is fixed, so everybody sees the same works.
type history struct {
	works    Works
	app      *api.App
	now      time.Time
	end      time.Time
	rnd      *rand.Rand
	queue    []event // by time
	staff    map[api.Role]*worker
	crew     map[string]*worker // technicians by sign-in
	assessor *worker
}

// event is something that happens at a time.
type event struct {
	at time.Time
	do func(context.Context) error
}

// worker is a person of the history with an account.
type worker struct {
	Person
	id     string
	as     api.Caller
	mind   *mind
	failed map[string]int // tries not passed since the last training or pass
	passed map[string]int
	next   int // place in Works of the procedure to be learned next
	gone   bool
}

// Play plays the history into an empty database. It takes two or three seconds for
// the whole one.
func Play(ctx context.Context, w Works) error {
	noon := w.Now.In(w.Zone)
	begin := time.Date(noon.Year(), noon.Month(), noon.Day(), 7, 0, 0, 0, w.Zone).AddDate(0, 0, -w.Days)
	h := &history{works: w, now: begin, end: w.Now.Add(-20 * time.Hour), rnd: rand.New(rand.NewPCG(7, 11)), staff: map[api.Role]*worker{}, crew: map[string]*worker{}}
	h.app = w.Open(func() time.Time { return h.now }, rand.NewChaCha8([32]byte([]byte("the invented works, day and night"))))
	if err := h.app.BeginLedger(ctx); err != nil {
		return err
	}
	if err := h.begin(ctx, begin); err != nil {
		return err
	}
	for len(h.queue) > 0 {
		e := h.queue[0]
		h.queue = h.queue[1:]
		if e.at.After(h.now) {
			h.now = e.at
		}
		if err := e.do(ctx); err != nil {
			return fmt.Errorf("play %s: %w", h.now.Format(time.DateTime), err)
		}
	}
	return nil
}

// begin imports the procedures as they were, takes on the staff and notes when the
// others join.
func (h *history) begin(ctx context.Context, day0 time.Time) error {
	if err := importEarlier(ctx, h.app); err != nil {
		return err
	}
	if err := h.takeOnStaff(ctx); err != nil {
		return err
	}
	for _, p := range Technicians {
		joins := day0.AddDate(0, 0, p.Joined).Add(time.Duration(h.rnd.IntN(300)) * time.Minute)
		h.at(joins, func(ctx context.Context) error { return h.joinAndLearn(ctx, p) })
	}
	h.at(day0.AddDate(0, 0, flangeCorrected), h.correctFlange)
	h.at(h.end.AddDate(0, 0, -9), h.decide)
	h.at(h.end.AddDate(0, 0, -2), h.offerPump)
	return nil
}

// takeOnStaff takes on whoever runs the works, and notes when the two new
// technicians join.
func (h *history) takeOnStaff(ctx context.Context) error {
	for _, p := range Staff {
		switch p.SignIn {
		case "newhire":
			h.at(h.end.AddDate(0, 0, -6), func(ctx context.Context) error { _, err := h.join(ctx, p); return err })
			continue
		case "ready":
			h.at(h.end.AddDate(0, 0, -20), func(ctx context.Context) error { return h.joinAndWait(ctx, p) })
			continue
		}
		w, err := h.join(ctx, p)
		if err != nil {
			return err
		}
		h.staff[p.Role] = w
	}
	var err error
	if h.assessor, err = h.join(ctx, assessor); err != nil {
		return err
	}
	return h.fitOut(ctx)
}

// at notes an event; one after the end of the history never happens.
func (h *history) at(t time.Time, do func(context.Context) error) {
	if t.After(h.end) {
		return
	}
	i, _ := slices.BinarySearchFunc(h.queue, t, func(e event, t time.Time) int {
		if e.at.After(t) {
			return 1
		}
		return -1 // behind those of the same time
	})
	h.queue = slices.Insert(h.queue, i, event{t, do})
}

// in notes an event some days from now, at some time of a shift.
func (h *history) in(days, spread int, do func(context.Context) error) {
	if spread > 0 {
		days += h.rnd.IntN(spread)
	}
	d := h.now.In(h.works.Zone).AddDate(0, 0, days)
	h.at(time.Date(d.Year(), d.Month(), d.Day(), 7, h.rnd.IntN(480), 0, 0, h.works.Zone), do)
}
