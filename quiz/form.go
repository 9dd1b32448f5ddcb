package quiz

import (
	"encoding/hex"
	"fmt"

	"soloright/content"
)

// AssemblerVersion counts up whenever the same arguments of [Assemble] would
// give another form.
const AssemblerVersion = 1

// Seed is what randomness grows from: 32 bytes from a cryptographic source,
// into ChaCha8. A short or guessable seed lets a candidate recompute the form.
type Seed [32]byte

// MarshalText writes the seed as 64 hexadecimal digits.
func (s Seed) MarshalText() ([]byte, error) { return []byte(hex.EncodeToString(s[:])), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Seed) UnmarshalText(b []byte) error {
	if len(b) != hex.EncodedLen(len(s)) {
		return fmt.Errorf("a seed has %d hexadecimal digits, not %d", hex.EncodedLen(len(s)), len(b))
	}
	if _, err := hex.Decode(s[:], b); err != nil {
		return fmt.Errorf("read seed: %w", err)
	}
	return nil
}

// Form is the items of one sitting, in order, with their keys: the form as set.
type Form struct {
	Procedure string      `json:"procedure"`
	Revision  string      `json:"revision"`
	Build     string      `json:"build,omitempty"`
	Assembler int         `json:"assembler"` // AssemblerVersion
	Seed      Seed        `json:"seed"`
	Cut       content.Cut `json:"cut"` // the cut it was set with
	Minutes   int         `json:"minutes"`
	Items     []Item      `json:"items"`
	// Without says what was withdrawn when the form was set: whoever sets it again
	// does so from [Bank.Without] of it.
	Without []Withdrawn `json:"without,omitempty"`
	Aim     *Aim        `json:"aim,omitempty"`   // what it was steered to, with the statistics
	Delta   *Delta      `json:"delta,omitempty"` // of a delta sitting: what it was set for
	// Weak are the facts that were to come up where there was room, see [History].
	Weak []content.FactID `json:"weak,omitempty"`
}

// History is what a person has met before, newest last. Assembly prefers what
// is not in it.
type History struct {
	Items  []string         // ids of items met
	Facts  []content.FactID // facts met
	Missed []content.FactID // facts missed on the last try: they come again as fresh items
	Weak   []content.FactID // facts that the person likely does not hold, weakest first: they come up where there is room
}

// Sheet is one item of a form as the technician sees it: no key, no facts, no
// feedback. It is what leaves the server before marking.
type Sheet struct {
	N           int           `json:"n"` // 1..Of
	Of          int           `json:"of"`
	Topic       content.Topic `json:"topic"`
	Stem        string        `json:"stem"`
	Figure      *Figure       `json:"figure,omitempty"`
	Interaction Interaction   `json:"interaction"`
	Critical    bool          `json:"critical"` // a flag note stands in the title block
}

// Sheet returns sheet n (1-based) of the form.
func (f *Form) Sheet(n int) Sheet {
	it := f.Items[n-1]
	s := Sheet{N: n, Of: len(f.Items), Topic: it.Topic, Stem: it.Stem, Figure: it.Figure, Interaction: it.Interaction}
	for _, t := range it.Facts {
		s.Critical = s.Critical || t.Critical
	}
	return s
}
