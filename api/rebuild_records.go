package api

import (
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// RefusedPassword is a password that was given again before signing and was
// wrong. Nothing was signed.
type RefusedPassword struct {
	ID     string
	Person string
	At     time.Time
	About  string // what was to be signed
}

// Signature is a signature as it was given: who, by the name and in the role that
// were printed then, when, what it says, and under exactly what.
type Signature struct {
	Covers     clearance.Covered // its digest in hex is that of what was shown
	Meaning    clearance.Meaning
	Signer     string
	Name       string
	Role       Role
	Technician string // whose work it is about
	At         time.Time
}

// WrenchKind is how a torque wrench shows its torque.
type WrenchKind string

// The kinds of wrenches.
const (
	SettingWrench    WrenchKind = "setting"    // set beforehand, signals when it is reached
	IndicatingWrench WrenchKind = "indicating" // shows the torque, and the peak
)

// Wrench is a torque wrench, by the id that is engraved on it.
type Wrench struct {
	ID      string
	Kind    WrenchKind
	Lowest  string // of its scale, with the unit; empty: not stated
	Highest string
	Added   time.Time
	By      string // person id; empty: whoever runs the program
}

// Calibration is one calibration of a wrench. N counts them in the order in which
// they were recorded, from 1.
type Calibration struct {
	Wrench      string
	N           int
	Done        content.Date
	Due         content.Date // the last day on which it holds
	Good        bool         // as found; false: found out of tolerance
	Certificate string
	At          time.Time // when it was recorded
	By          string
}

// OpenRebuild is a rebuild that is being observed.
type OpenRebuild struct {
	ID         string
	Technician string
	Assessor   string
	Procedure  string
	Revision   string
	Build      string
	Holds      []string // of a partial one: the steps whose hold points a revision wants to be observed again; else empty
	Opened     time.Time
}

// KeptEntry is what is kept of one place of the sheet of an open rebuild: the
// newest client revision.
type KeptEntry struct {
	Place    string
	Revision int64  // the client's counter, as for a KeptAnswer
	Entry    []byte // canonical JSON of rebuild.Entry
	Kept     time.Time
}

// FinishedRebuild is an observed rebuild as it was finished, with what became of
// it since. Record and Sheet are left out of lists.
type FinishedRebuild struct {
	OpenRebuild
	Started  time.Time // as stated
	Ended    time.Time // as stated
	Finished time.Time
	Fault    string // why its sheet does not count; empty: it does
	Digest   []byte // SHA-256 of Sheet: what is signed
	Record   []byte // the filled sheet, JSON of rebuild.Record
	Sheet    []byte // its canonical text

	// When the signatures were given, and when it was struck out; zero: not.
	Performed, Observed, Approved, Voided time.Time
	Reason                                string // why it was struck out
	VoidedBy                              string
}

// RebuildVoid strikes a finished rebuild out, from its own entry on.
type RebuildVoid struct {
	Rebuild string
	At      time.Time
	By      string
	Reason  string
}

// AbandonedRebuild is one that was given up before it was finished, with what had
// been kept of its sheet.
type AbandonedRebuild struct {
	OpenRebuild
	At      time.Time
	Reason  string
	Entries []byte // JSON: KeptEntries by place
}

// RebuildFilter chooses finished rebuilds; zero fields do not filter.
type RebuildFilter struct {
	Person string // as technician or assessor
	Wrench string // used in it
	Limit  int    // 0: 500
}
