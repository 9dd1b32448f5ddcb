package api

import (
	"context"
	"time"
)

// Panel is an Angoff panel as it was opened: its judges rate the items of one
// form. What becomes of it are its ratings and the ends of its rounds.
type Panel struct {
	ID        string
	Procedure string
	Revision  string
	Build     string
	Judges    []string // person ids, as the chair named them
	Form      []byte   // the form as set, with its keys; not in lists
	Digest    []byte   // SHA-256 of Form
	Items     int
	Opened    time.Time
	By        string // the chair
}

// PanelRatings is what one judge said of every item in one round.
type PanelRatings struct {
	Panel   string
	Round   int // 1, 2 …
	Judge   string
	At      time.Time
	Percent []int // of each item, 0 to 100
}

// PanelEnd ends a round; the end that closes it ends the panel.
type PanelEnd struct {
	Panel  string
	Round  int
	Closed bool
	At     time.Time
	By     string
	Note   string // what was talked about; may be empty
}

// PanelReader is what may be read of panels.
type PanelReader interface {
	Panels(ctx context.Context) ([]Panel, error) // without their forms, the newest first
	Panel(ctx context.Context, id string) (Panel, error)
	// RatingsOf returns the ratings of a panel by round, then by when they came in.
	RatingsOf(ctx context.Context, panel string) ([]PanelRatings, error)
	EndsOf(ctx context.Context, panel string) ([]PanelEnd, error) // by round
}

// PanelWriter is what may be written of panels; all of it is append-only.
type PanelWriter interface {
	AddPanel(ctx context.Context, p Panel) error
	AddRatings(ctx context.Context, r PanelRatings) error // ErrExists where the judge rated in that round already
	AddPanelEnd(ctx context.Context, e PanelEnd) error    // ErrExists where the round is ended already
}
