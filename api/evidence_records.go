package api

import (
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// Evidence is the whole trail of a clearance, or of the road so far, as the
// record stood at the end of a day. The same record gives the same evidence. It
// shows no key.
type Evidence struct {
	Person     EvidencePerson     `json:"person"`
	Procedure  string             `json:"procedure"`
	Title      string             `json:"title"`
	On         content.Date       `json:"on"`
	Standing   clearance.Standing `json:"standing"`
	Trail      clearance.Trail    `json:"trail"`
	Revision   EvidenceRevision   `json:"revision"` // that the standing is about
	Policy     EvidencePolicy     `json:"policy"`
	Sittings   []EvidenceSitting  `json:"sittings"` // every qualifying, confirming and delta sitting, oldest first
	Facts      []EvidenceFact     `json:"facts"`    // every fact missed in one of them
	Read       []EvidenceRead     `json:"read"`     // facts that were read and signed for
	Rebuilds   []EvidenceRebuild  `json:"rebuilds"` // oldest first
	Acts       []EvidenceAct      `json:"acts"`     // whatever else bears on it, oldest first
	Entries    []EvidenceEntry    `json:"entries"`  // of the ledger, that attest all of this
	Checkpoint string             `json:"checkpoint"`
	Keys       []string           `json:"keys"`     // public keys of the ledger, in the order in which they signed
	Recorded   time.Time          `json:"recorded"` // time of the last entry under the checkpoint
}

// EvidencePerson is somebody by id, and by the name and role of today's account.
type EvidencePerson struct {
	ID   string `json:"id"` // "" for the program, or whoever runs it
	Name string `json:"name"`
	Role Role   `json:"role,omitempty"`
}

// EvidenceRevision is a revision as it was imported.
type EvidenceRevision struct {
	Revision  string       `json:"revision"`
	Issued    content.Date `json:"issued,omitzero"`
	Imported  time.Time    `json:"imported,omitzero"`
	Adopted   time.Time    `json:"adopted,omitzero"`
	Digest    string       `json:"digest"`              // SHA-256 of text and blueprint as imported, hex
	Blueprint string       `json:"blueprint,omitempty"` // SHA-256 of the blueprint as imported, hex; empty: the program's default
}

// EvidencePolicy is the policy that decided: at the last signature, or without
// one, at the end of the day asked about.
type EvidencePolicy struct {
	Policy clearance.Policy `json:"policy"`
	At     time.Time        `json:"at"`             // when it decided
	Set    time.Time        `json:"set,omitzero"`   // when it was set; zero: never, it is the default
	Site   bool             `json:"site,omitempty"` // set for the whole site
}

// EvidenceSitting is a sitting with its form, hand-in and outcome.
type EvidenceSitting struct {
	ID        string        `json:"id"`
	Mode      Mode          `json:"mode"`
	Confirms  string        `json:"confirms,omitempty"`
	Revision  string        `json:"revision"`
	Build     string        `json:"build,omitempty"`
	Opened    time.Time     `json:"opened"`
	HandedIn  time.Time     `json:"handed_in"`
	TimeUp    bool          `json:"time_up,omitempty"`
	Items     int           `json:"items"`
	Form      string        `json:"form"`      // SHA-256 of the form as set, hex
	Blueprint string        `json:"blueprint"` // SHA-256 of its blueprint, hex; empty: the program's default
	Answers   string        `json:"answers"`   // SHA-256 of the answers as handed in, hex
	Outcome   string        `json:"outcome,omitempty"`
	Marked    time.Time     `json:"marked,omitzero"`
	Marking   int           `json:"marking,omitempty"`  // number of the marking that stands
	Remarked  string        `json:"remarked,omitempty"` // why it was marked again
	Rules     int           `json:"rules,omitempty"`
	Total     quiz.Fraction `json:"total,omitzero"` // marks, exact
	Cut       content.Cut   `json:"cut,omitempty"`  // percent
	Percent   int           `json:"percent,omitempty"`
	Critical  int           `json:"critical,omitempty"` // critical facts missed
	Verdict   string        `json:"verdict,omitempty"`  // of the marking
	Final     string        `json:"final,omitempty"`    // with the confirming step; empty where none is on record
	Carries   bool          `json:"carries,omitempty"`  // the standing rests on it
	Void      *EvidenceVoid `json:"void,omitempty"`
}

// EvidenceVoid says that something was struck out.
type EvidenceVoid struct {
	At     time.Time      `json:"at"`
	By     EvidencePerson `json:"by"`
	Reason string         `json:"reason"`
}

// EvidenceFact is a fact that was missed, and when it was right again.
type EvidenceFact struct {
	Fact     content.FactID `json:"fact"`
	Text     string         `json:"text"`
	Critical bool           `json:"critical,omitempty"`
	Missed   []time.Time    `json:"missed"`         // hand-ins in which it was wrong or blank
	Right    time.Time      `json:"right,omitzero"` // first hand-in after the last miss in which all of it was right
}

// EvidenceRead is a set of facts that a revision removed, or changed and no
// question asks about, read and signed for.
type EvidenceRead struct {
	ID         string              `json:"id,omitempty"` // of the reading
	Removed    bool                `json:"removed"`      // no longer stated; else added or changed
	Revision   string              `json:"revision"`
	At         time.Time           `json:"at"`
	Facts      []content.FactID    `json:"facts"`
	Texts      []string            `json:"texts"`
	Shown      string              `json:"shown,omitempty"` // what was shown and signed
	Digest     string              `json:"digest"`          // SHA-256 of it, hex
	Entry      int64               `json:"entry"`
	Signatures []EvidenceSignature `json:"signatures"`
}

// EvidenceAct is another act on the record that bears on the standing.
type EvidenceAct struct {
	At    time.Time      `json:"at"`
	Kind  clearance.Kind `json:"kind"`
	What  string         `json:"what"` // a sentence without a full stop
	By    EvidencePerson `json:"by"`
	Entry int64          `json:"entry"`

	Signature *EvidenceSignature `json:"signature,omitempty"` // of an exception
}

// EvidenceEntry is an entry of the ledger, with the proof that it is on record.
type EvidenceEntry struct {
	N     int64       `json:"n"`
	Kind  ledger.Kind `json:"kind"`
	ID    string      `json:"id"`
	At    time.Time   `json:"at"`
	About string      `json:"about"`
	Leaf  string      `json:"leaf"`  // its RFC 6962 leaf hash, base64
	Proof string      `json:"proof"` // a C2SP tlog-proof under the checkpoint
}
