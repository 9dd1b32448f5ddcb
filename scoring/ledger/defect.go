package ledger

import (
	"fmt"
	"slices"
	"strings"
)

// Fault says what kind of defect was found.
type Fault string

// The faults. Where it says "entry", [Defect] names which.
const (
	Altered     Fault = "altered"      // the text of an entry is not what was recorded
	Missing     Fault = "missing"      // an entry is not there
	Repeated    Fault = "repeated"     // an entry stands there more than once
	Misplaced   Fault = "misplaced"    // entries stand in another order
	PutIn       Fault = "put in"       // an entry was put in that was not recorded
	HashAltered Fault = "hash altered" // a stored hash is not that of its entries, and they are intact
	Truncated   Fault = "truncated"    // the file ends too early
	Malformed   Fault = "malformed"    // what stands there cannot be read
	RootDiffers Fault = "root differs" // the entries are not those that the checkpoint was signed for
	OtherKey    Fault = "other key"    // signed by another key than the one given
	Forged      Fault = "forged"       // the signature is not that of its key on its text
	OtherOrigin Fault = "other origin" // of another ledger
	Handover    Fault = "handover"     // a key took over without being named by the one before
	Rewound     Fault = "rewound"      // the record is shorter than a checkpoint that it was signed for
	Forked      Fault = "forked"       // the record does not continue a checkpoint that it was signed for
)

// Defect is one thing that is wrong, where, and in a sentence for whoever has to
// judge it.
type Defect struct {
	Fault    Fault
	Entry    int64 // the first entry that it concerns, counted from 0; -1 if none
	Through  int64 // the last one
	sentence string
}

// Error returns the sentence.
func (d *Defect) Error() string { return d.sentence }

// Unsound says that something was checked and is not sound. It holds at least one defect.
type Unsound struct {
	Defects []*Defect // in the order in which they were found
	More    int       // defects beyond those listed
}

// Error returns the sentences, one after another.
func (u *Unsound) Error() string {
	sentences := make([]string, len(u.Defects))
	for i, d := range u.Defects {
		sentences[i] = d.Error()
	}
	if u.More > 0 {
		sentences = append(sentences, fmt.Sprintf("There are %d more like it.", u.More))
	}
	return strings.Join(sentences, " ")
}

// Unwrap returns the defects.
func (u *Unsound) Unwrap() []error {
	errs := make([]error, len(u.Defects))
	for i, d := range u.Defects {
		errs[i] = d
	}
	return errs
}

// mostDefects is how many defects are listed; past that, more tell nothing new.
const mostDefects = 20

func (u *Unsound) add(d *Defect) {
	if len(u.Defects) == mostDefects {
		u.More++
		return
	}
	u.Defects = append(u.Defects, d)
}

// before reports whether a defect concerns an entry before this one.
func (u *Unsound) before(end int64) bool {
	return slices.ContainsFunc(u.Defects, func(d *Defect) bool { return d.Entry >= 0 && d.Entry < end })
}

// covers reports whether a defect concerns this entry.
func (u *Unsound) covers(entry int64) bool {
	return slices.ContainsFunc(u.Defects, func(d *Defect) bool { return d.Entry <= entry && entry <= d.Through })
}

// orNil returns the error, or nil where there is no defect.
func (u *Unsound) orNil() error {
	if len(u.Defects) == 0 {
		return nil
	}
	return u
}

func defect(f Fault, entry, through int64, sentence string, args ...any) *Defect {
	return &Defect{Fault: f, Entry: entry, Through: through, sentence: fmt.Sprintf(sentence, args...)}
}

// general is a defect that concerns no entry.
func general(f Fault, sentence string, args ...any) *Defect {
	return defect(f, -1, -1, sentence, args...)
}

// entries names a range of entries: "entry 7" or "entries 7 to 9".
func entries(from, through int64) string {
	if from == through {
		return fmt.Sprintf("entry %d", from)
	}
	return fmt.Sprintf("entries %d to %d", from, through)
}

// sentence returns s with its first letter in upper case, for a range that begins one.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
