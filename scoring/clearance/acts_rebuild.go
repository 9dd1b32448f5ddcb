package clearance

import (
	"encoding/hex"
	"errors"
	"fmt"
	"time"
)

// Outcome is what the assessor recorded at a hold point.
type Outcome string

// The outcomes.
const (
	Unaided       Outcome = "unaided"
	Prompted      Outcome = "prompted"
	Stopped       Outcome = "stopped"        // by the assessor
	NotDone       Outcome = "not done"       // passed without stopping
	NotApplicable Outcome = "not applicable" // on the condition that the procedure gives
)

// HoldRecord is one hold point of a rebuild. Conditional and Critical are as the
// procedure has them.
type HoldRecord struct {
	Step        string  `json:"step"`
	Outcome     Outcome `json:"outcome"`
	Conditional bool    `json:"conditional,omitempty"`
	Critical    bool    `json:"critical,omitempty"`
	Condition   string  `json:"condition,omitempty"` // why it did not apply, as found
}

// RebuildFinished: an observed rebuild is finished, as its sheet says. The times
// are as the two people state them.
type RebuildFinished struct {
	Rebuild       string       `json:"rebuild"`
	Technician    string       `json:"technician"`
	Assessor      string       `json:"assessor"`
	Procedure     string       `json:"procedure"`
	Revision      string       `json:"revision"`
	Build         string       `json:"build,omitempty"`
	Started       time.Time    `json:"started"`
	Ended         time.Time    `json:"ended"`
	Holds         []HoldRecord `json:"holds"`
	InTolerance   bool         `json:"in_tolerance"`      // every reading is there and within its limits
	InCalibration bool         `json:"in_calibration"`    // every wrench was, on the day
	Partial       bool         `json:"partial,omitempty"` // only hold points to be observed again after a revision
	Digest        string       `json:"digest"`            // SHA-256 of the sheet as shown for signing, hex
}

// Counts reports whether the rebuild is good as its sheet stands: every hold
// point unaided, or not applicable where the procedure gives a condition and the
// one found is recorded, never on a critical one; every reading in tolerance and
// every wrench in calibration. Otherwise reason is the first thing that is not
// so. A sheet without hold points does not count. Who assessed, and when, is not
// judged here.
func (a RebuildFinished) Counts() (ok bool, reason string) {
	if len(a.Holds) == 0 {
		return false, "no hold point was observed"
	}
	for _, h := range a.Holds {
		if why := h.fault(); why != "" {
			return false, "hold point " + h.Step + " " + why
		}
	}
	switch {
	case !a.InTolerance:
		return false, "a reading is missing or out of tolerance"
	case !a.InCalibration:
		return false, "a wrench was out of calibration"
	}
	return true, ""
}

func (h HoldRecord) fault() string {
	switch {
	case h.Outcome == Unaided:
		return ""
	case h.Outcome == Prompted:
		return "was prompted"
	case h.Outcome == Stopped:
		return "was stopped by the assessor"
	case h.Outcome != NotApplicable:
		return "was not done"
	case h.Critical:
		return "is critical and always applies"
	case !h.Conditional:
		return "has no condition on which it may not apply"
	case h.Condition == "":
		return "is put down as not applicable without the condition found"
	}
	return ""
}

// RebuildVoided: a finished rebuild is struck out, from here on.
type RebuildVoided struct {
	Rebuild string `json:"rebuild"`
	Reason  string `json:"reason"`
}

// Meaning is what a signature says.
type Meaning string

// The meanings.
const (
	Performed Meaning = "performed" // the technician's
	Observed  Meaning = "observed"  // the assessor's
	Approved  Meaning = "approved"  // the safety officer's
	Exception Meaning = "exception" // the safety officer's, under an exception
	Read      Meaning = "read"      // one's own, under what was read: the revision in force says so
)

// CoversRebuild is the kind of thing under which the signatures of the road stand.
const CoversRebuild = "rebuild"

// CoversReading is what was read and signed for after a revision.
const CoversReading = "reading"

// CoversException is an exception from the training window.
const CoversException = "exception"

// Covered is the thing that a signature stands under, with the digest of exactly
// what was shown to the signer.
type Covered struct {
	Kind   string `json:"kind"`
	ID     string `json:"id"`
	Digest string `json:"digest"` // SHA-256, hex
}

// Signed: somebody signed. Its time is the event's; the name as printed is kept
// with the signer's account.
type Signed struct {
	Covers     Covered `json:"covers"`
	Signer     string  `json:"signer"`
	Role       string  `json:"role"` // at signing, as printed
	Meaning    Meaning `json:"meaning"`
	Technician string  `json:"technician"`
	Proof      string  `json:"proof"` // how the signer showed who he or she is at signing, "password"
}

// The kinds.
func (RebuildFinished) Kind() Kind { return "rebuild finished" }
func (RebuildVoided) Kind() Kind   { return "rebuild voided" }
func (Signed) Kind() Kind          { return "signed" }

func (a RebuildVoided) check() error {
	return required("the rebuild", a.Rebuild, "the reason", a.Reason)
}

func (a RebuildFinished) check() error {
	if a.Technician == a.Assessor && a.Technician != "" {
		return errors.New("technician and assessor are one person")
	}
	if a.Started.IsZero() || a.Ended.Before(a.Started) {
		return errors.New("the rebuild has no start or ends before it")
	}
	if err := checkHolds(a.Holds); err != nil {
		return err
	}
	if _, err := parseDigest(a.Digest); err != nil {
		return err
	}
	return required("the rebuild", a.Rebuild, "the technician", a.Technician, "the assessor", a.Assessor, "the procedure", a.Procedure, "the revision", a.Revision)
}

func checkHolds(holds []HoldRecord) error {
	seen := map[string]bool{}
	for _, h := range holds {
		if h.Step == "" || seen[h.Step] {
			return fmt.Errorf("hold point %q is empty or twice on the sheet", h.Step)
		}
		seen[h.Step] = true
		switch h.Outcome {
		case Unaided, Prompted, Stopped, NotDone, NotApplicable:
		default:
			return fmt.Errorf("hold point %s: there is no outcome %q", h.Step, string(h.Outcome))
		}
	}
	return nil
}

func (a Signed) check() error {
	switch a.Meaning {
	case Performed, Observed, Approved, Exception, Read:
	default:
		return fmt.Errorf("there is no meaning %q", string(a.Meaning))
	}
	if own := a.Meaning == Performed || a.Meaning == Read; own != (a.Signer == a.Technician) {
		return errors.New("the technician signs as who performed or read, and nobody signs for himself or herself")
	}
	if _, err := parseDigest(a.Covers.Digest); err != nil {
		return err
	}
	return required("what is signed", a.Covers.Kind, "what is signed", a.Covers.ID, "the signer", a.Signer, "the role", a.Role, "the technician", a.Technician, "the proof", a.Proof)
}

func parseDigest(s string) (d [32]byte, err error) {
	if len(s) != hex.EncodedLen(len(d)) {
		return d, fmt.Errorf("%q is no SHA-256 digest in hex", s)
	}
	if _, err = hex.Decode(d[:], []byte(s)); err != nil {
		return d, fmt.Errorf("%q is no SHA-256 digest in hex: %w", s, err)
	}
	return d, nil
}
