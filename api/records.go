package api

import (
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// Person is an account. Password is a PHC string, empty where nobody can sign in with it.
type Person struct {
	ID       string
	SignIn   string // lower case, unique
	Name     string // as printed
	Role     Role
	Password string
	Crew     string // the crew or shift, for the trainer's pages; may be empty
	Added    time.Time
	Left     time.Time // zero while with us
}

// Session is a sign-in on one device. The token itself is never stored.
type Session struct {
	Hash    []byte // SHA-256 of the token
	Person  string
	Begun   time.Time
	Seen    time.Time // written at most once a minute
	Expires time.Time
	Agent   string // what the browser calls itself, shortened
}

// Revision is one revision of a procedure as it was imported, never changed.
type Revision struct {
	Procedure string
	Revision  string
	Title     string
	Issued    content.Date
	Source    []byte // the file's text
	Blueprint []byte // the blueprint's text; empty: the default
	Digest    []byte // SHA-256 of Source, a zero byte, Blueprint
	Imported  time.Time
	By        string // person id; empty: whoever runs it
}

// Mode is the mode of a sitting.
type Mode string

// The modes.
const (
	Practice     Mode = "practice"   // answers explained at once
	Qualifying   Mode = "qualifying" // keys stay hidden
	DeltaSitting Mode = "delta"      // on the facts that a revision changed; keys stay hidden
)

// State is where a sitting is on its way.
type State string

// The states of a sitting.
const (
	StateOpen     State = "open"
	StateHandedIn State = "handed in"
	StateMarked   State = "marked"
	StateVoid     State = "void"
)

// Sitting is one person taking one form. All but State, HandedIn, Verdict and
// Voided is fixed when it opens.
type Sitting struct {
	ID        string
	Person    string
	Procedure string
	Revision  string
	Build     string
	Mode      Mode
	Confirms  string // the sitting whose missed critical facts this one confirms; else empty
	Opened    time.Time
	Deadline  time.Time
	Items     int
	Digest    []byte // SHA-256 of the form's bytes

	State    State
	HandedIn time.Time // zero while open
	Verdict  string    // of the marking that stands
	Percent  int       // of the marking that stands, rounded down
	Final    string    // the verdict with the confirming step taken into account; set by [App.Sittings] and [App.Result]
}

// SittingFilter chooses sittings; zero fields do not filter.
type SittingFilter struct {
	Person    string
	Procedure string
	Confirms  string
	Mode      Mode
	State     State
	Limit     int
}

// Open is an open sitting as the answering path reads it.
type Open struct {
	ID       string
	Person   string
	Mode     Mode
	Opened   time.Time
	Deadline time.Time
}

// KeptAnswer is the answer of one sheet as kept: the newest client revision.
type KeptAnswer struct {
	Sheet    int
	Revision int64  // the client's counter; an equal or lower one is acknowledged and not applied
	Answer   []byte // canonical JSON of quiz.Answer
	Kept     time.Time
	Fixed    bool  // practice: explained, so no longer to be changed
	Millis   int64 // time spent on the sheet so far, as the client tells; 0 unknown
}

// HandIn is the end of a sitting: the answers as they stood.
type HandIn struct {
	Sitting string
	At      time.Time // by the clock, or the deadline where the time was up
	TimeUp  bool
	Answers []byte // canonical JSON: KeptAnswers by sheet
	Digest  []byte // SHA-256 of Answers
}

// Marking is one marking of a hand-in.
type Marking struct {
	Sitting string
	N       int // 1 for the first; a re-mark follows it, never replaces it
	Rules   int
	At      time.Time
	Outcome []byte // canonical JSON of scoring.Outcome
	Verdict string
	Percent int
	Reason  string // of a re-mark
}

// MarkedFact is the state of one fact in one marked sheet.
type MarkedFact struct {
	Sheet int
	Fact  content.FactID
	State string // right, wrong, blank
}

// MetItem is one item that was set.
type MetItem struct {
	Sitting string
	Sheet   int
	Item    string
	Model   string
	Lead    content.FactID
	Topic   content.Topic
	Facts   []content.FactID
	Missed  []content.FactID // after marking; empty before
}

// Void strikes a sitting out, with a reason. It acts from its own entry on.
type Void struct {
	Sitting string
	At      time.Time
	By      string
	Reason  string
}

// LedgerHead is the head of the ledger with the checkpoint that was signed when
// it became that. The checkpoint is empty before the first entry.
type LedgerHead struct {
	ledger.Head
	Checkpoint []byte
}

// LedgerRow is one entry as it is stored. Kind, Subject and At are read off the
// text, to find it by; the text is what counts.
type LedgerRow struct {
	N       int64
	Kind    ledger.Kind
	Subject string
	At      time.Time
	Text    []byte
	Hashes  []ledger.Hash // stored with it: ledger.HashesWith(N) of them
}

// StoredAct is one act on the record, as it is stored. Person, Procedure and
// Subject are to find it by; Data is what counts.
type StoredAct struct {
	Seq       int64     // one more than the number of the ledger entry that attests it
	At        time.Time // by the server's clock
	By        string    // person id; empty: whoever runs the program, or the program itself
	Kind      clearance.Kind
	Person    string
	Procedure string
	Subject   string // the sitting, rebuild, appointment, revision or other person
	Data      []byte // as clearance.Encode writes it
}

// Event is the act for the fold.
func (s StoredAct) Event() (clearance.Event, error) {
	act, err := clearance.Decode(s.Kind, s.Data)
	return clearance.Event{Seq: s.Seq, At: s.At, By: s.By, Act: act}, err
}
