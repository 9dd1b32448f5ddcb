package api

import (
	"context"
	"time"

	"soloright/content"
	"soloright/scoring"
)

// ResponseReader is the port through which analysis reads history: what every
// marked sitting that is not void says, as its last marking has it. It follows
// from forms, hand-ins, marks and voids and proves nothing: what is decided is
// decided on those.
type ResponseReader interface {
	// Responses returns at most limit sittings after a place, by place; 0 is before
	// the first. Whoever sees a sitting sees every one before it. One that is marked
	// again or struck out comes again at a later place, and what was read of it
	// before counts no more: so a memory can read on from the last place it knows.
	Responses(ctx context.Context, after int64, limit int) ([]SittingResponses, error)
	// ResponsesOf returns what is kept of one sitting.
	ResponsesOf(ctx context.Context, sitting string) (SittingResponses, error)
	// WithoutResponses returns the ids of at most limit marked sittings, after the
	// given id in the order of their ids, whose last marking is not to be read here.
	WithoutResponses(ctx context.Context, after string, limit int) ([]string, error)
}

// ResponseWriter is the port's other side.
type ResponseWriter interface {
	// PutResponses keeps what a sitting says in place of what was kept of it, at the
	// end of the order; N, Void and Sheets are what counts, the rest is read off the
	// sitting. The caller holds the ledger's head, so that places are in the order of
	// the commits. ErrNone where the sitting is not handed in.
	PutResponses(ctx context.Context, s SittingResponses) error
}

// SittingResponses is what one sitting says.
type SittingResponses struct {
	Place     int64 // in the order of reading
	Sitting   string
	Person    string
	Crew      string // the person's, when it is read
	Procedure string
	Revision  string
	Build     string
	Mode      Mode
	Confirms  string // the sitting whose missed critical facts it confirms; else empty
	HandedIn  time.Time
	N         int  // the number of the marking; 0 where it was struck out
	Void      bool // it counts no more, and Sheets is empty
	Sheets    []Response
}

// Response is one marked sheet.
type Response struct {
	Sheet   int             `json:"sheet"`
	Item    string          `json:"item"`
	Model   string          `json:"model"`
	Version int             `json:"version"` // of the model
	Lead    content.FactID  `json:"lead"`
	Topic   content.Topic   `json:"topic"`
	Mark    float64         `json:"mark"`   // 0 to 1, nearest to the exact one
	Chance  float64         `json:"chance"` // of full marks, of a random answer
	Mean    float64         `json:"mean"`   // mark expected of a random answer
	Blank   bool            `json:"blank,omitempty"`
	Left    bool            `json:"left,omitempty"` // its item was withdrawn: this marking leaves the sheet out
	Millis  int64           `json:"ms,omitempty"`   // on the sheet, as the client told; 0 unknown
	Facts   []FactResponse  `json:"facts"`          // every listed fact, the lead first
	Options []OfferedOption `json:"options,omitempty"`
	Said    []string        `json:"said,omitempty"`   // the mistakes that the answer shows, each a sentence
	Number  string          `json:"number,omitempty"` // as it was typed, with its unit
}

// Full reports full marks.
func (r Response) Full() bool { return r.Mark == 1 }

// FactResponse is what a sheet says of one fact.
type FactResponse struct {
	Fact  content.FactID `json:"fact"`
	State scoring.State  `json:"state"` // right: its part is fully right
}

// OfferedOption is one answer that could be given: an option of a choice, or in
// a match one row in the bin it was put in. Text says the same thing in the same
// words whatever the arrangement of the sheet.
type OfferedOption struct {
	Text   string         `json:"text"`
	Fact   content.FactID `json:"fact,omitempty"`
	Right  bool           `json:"right,omitempty"`
	Chosen bool           `json:"chosen,omitempty"`
}
