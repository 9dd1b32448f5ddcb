package clearance

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"soloright/content"
)

// Verdict is the outcome of a sitting when nothing is left to confirm.
type Verdict string

// The verdicts.
const (
	Passed Verdict = "passed"
	Failed Verdict = "failed"
)

func (v Verdict) check() error {
	if v != Passed && v != Failed {
		return fmt.Errorf("the verdict is %q; it must be %q or %q", string(v), Passed, Failed)
	}
	return nil
}

// SittingMarked: a qualifying sitting has its final verdict. One that is to
// confirm has it with its confirming step, within the same try.
type SittingMarked struct {
	Sitting    string    `json:"sitting"`
	Person     string    `json:"person"`
	Procedure  string    `json:"procedure"`
	Revision   string    `json:"revision"`
	HandedIn   time.Time `json:"handed_in"`
	Verdict    Verdict   `json:"verdict"`
	Confirming string    `json:"confirming,omitempty"` // the sitting of the confirming step
	Digest     string    `json:"digest,omitempty"`     // SHA-256 of the outcome, hex
}

// SittingRemarked: a sitting, qualifying or delta, has another verdict from here on.
type SittingRemarked struct {
	Sitting string  `json:"sitting"`
	Verdict Verdict `json:"verdict"`
	Reason  string  `json:"reason"`
}

// SittingVoided: a sitting, qualifying or delta, counts no more from here on.
type SittingVoided struct {
	Sitting string `json:"sitting"`
	Reason  string `json:"reason"`
}

// DeltaMarked: a delta sitting on the facts changed between two revisions is marked.
type DeltaMarked struct {
	Sitting   string    `json:"sitting"`
	Person    string    `json:"person"`
	Procedure string    `json:"procedure"`
	From      string    `json:"from"` // revision
	To        string    `json:"to"`
	HandedIn  time.Time `json:"handed_in"`
	Verdict   Verdict   `json:"verdict"`
	Digest    string    `json:"digest,omitempty"` // SHA-256 of the outcome, hex

	// What it asked, as the new revision states it; none: all that changed between the two.
	Facts []content.FactID `json:"facts,omitempty"`
}

// RemovedRead: the person read and signed that facts are no longer stated.
type RemovedRead struct {
	Person    string           `json:"person"`
	Procedure string           `json:"procedure"`
	Revision  string           `json:"revision"` // that no longer states them
	Facts     []content.FactID `json:"facts"`
	Digest    string           `json:"digest"`            // SHA-256 of what was shown, hex
	Shown     string           `json:"shown,omitempty"`   // what was shown
	Reading   string           `json:"reading,omitempty"` // under which the signature stands
}

// ChangedRead: the person read and signed facts that were added or changed and
// that no question asks him or her: no model writes on them, or they hold for
// another build than the person sat on. They need not be shown in a delta sitting.
type ChangedRead struct {
	Person    string           `json:"person"`
	Procedure string           `json:"procedure"`
	Revision  string           `json:"revision"` // that states them
	Facts     []content.FactID `json:"facts"`
	Digest    string           `json:"digest"`            // SHA-256 of what was shown, hex
	Shown     string           `json:"shown,omitempty"`   // what was shown
	Reading   string           `json:"reading,omitempty"` // under which the signature stands
}

// The kinds.
func (SittingMarked) Kind() Kind   { return "sitting marked" }
func (SittingRemarked) Kind() Kind { return "sitting re-marked" }
func (SittingVoided) Kind() Kind   { return "sitting voided" }
func (DeltaMarked) Kind() Kind     { return "delta sitting marked" }
func (RemovedRead) Kind() Kind     { return "removed facts read" }
func (ChangedRead) Kind() Kind     { return "changed facts read" }

func (a SittingMarked) check() error {
	if err := a.Verdict.check(); err != nil {
		return err
	}
	if a.HandedIn.IsZero() {
		return errors.New("the hand-in is missing")
	}
	return required("the sitting", a.Sitting, "the person", a.Person, "the procedure", a.Procedure, "the revision", a.Revision)
}

func (a SittingRemarked) check() error {
	if err := a.Verdict.check(); err != nil {
		return err
	}
	return required("the sitting", a.Sitting, "the reason", a.Reason)
}

func (a SittingVoided) check() error {
	return required("the sitting", a.Sitting, "the reason", a.Reason)
}

func (a DeltaMarked) check() error {
	if err := a.Verdict.check(); err != nil {
		return err
	}
	if a.HandedIn.IsZero() {
		return errors.New("the hand-in is missing")
	}
	return required("the sitting", a.Sitting, "the person", a.Person, "the procedure", a.Procedure, "the old revision", a.From, "the new revision", a.To)
}

func (a RemovedRead) check() error {
	return checkRead(a)
}

func (a ChangedRead) check() error {
	return checkRead(RemovedRead(a))
}

func checkRead(a RemovedRead) error {
	if len(a.Facts) == 0 {
		return errors.New("no fact is named")
	}
	d, err := parseDigest(a.Digest)
	if err != nil {
		return err
	}
	if a.Shown != "" && sha256.Sum256([]byte(a.Shown)) != d {
		return errors.New("the digest is not that of what was shown")
	}
	return required("the person", a.Person, "the procedure", a.Procedure, "the revision", a.Revision)
}
