package quiz

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"soloright/content/torque"
)

// Answer is what a technician gave for one item. The zero Answer is blank.
type Answer struct {
	Options []string          `json:"options,omitempty"` // choice, hotspot: one; multiple: the ticked ones; order, sequence: in order; numeric: Other
	Rows    map[string]string `json:"rows,omitempty"`    // match: row to bin
	Number  string            `json:"number,omitempty"`  // numeric: as typed
}

// MaxNumber is the length in characters of the longest number that is read.
const MaxNumber = 40

// Blank reports whether nothing was given.
func (a Answer) Blank() bool {
	return len(a.Options) == 0 && len(a.Rows) == 0 && strings.TrimSpace(a.Number) == ""
}

// Canonical returns the one encoding of what was given, for digests and for the
// record: JSON with the fields options, rows and number in this order, the keys
// of rows sorted, what is empty left out, no spaces. A blank answer is {}:
//
//	{"options":["c","a"]}
//	{"rows":{"a":"b","b":"a"}}
//	{"number":"13,6"}
//
// encoding/json reads it back. Ticks stand as they were given: two answers with
// the same ticks in another order have another encoding and the same mark.
func (a Answer) Canonical() []byte {
	if strings.TrimSpace(a.Number) == "" {
		a.Number = ""
	}
	b, err := json.Marshal(a)
	if err != nil {
		return nil // strings and a map of strings always encode
	}
	return b
}

// AnswerError says what of an answer cannot be read. Nothing of such an answer
// is kept.
type AnswerError struct {
	Field   string // "options", "rows" or "number"
	Message string // what is wrong and what to do, in plain words
}

func (e *AnswerError) Error() string { return e.Field + ": " + e.Message }

func refuse(field, format string, args ...any) error {
	return &AnswerError{Field: field, Message: fmt.Sprintf(format, args...)}
}

// CheckAnswer reports, as an [*AnswerError], what of an answer to the
// interaction cannot be read: an unknown option, one given twice, more than one
// where one is asked for, a row or bin that does not exist, what is no number, a
// number where none belongs, a text that is too long. A blank, an order or
// sequence that is placed in part and a match that is filled in part can be
// read, and so can what is wrong, a wrong unit among it: it is kept and marked.
func CheckAnswer(in Interaction, a Answer) error {
	if len(a.Rows) > 0 && in.Kind != Match {
		return refuse("rows", "there are no rows here")
	}
	if a.Number != "" && in.Kind != Numeric {
		return refuse("number", "no number is asked for here")
	}
	switch in.Kind {
	case Choice, Hotspot:
		return checkOptions(in, a.Options, 1)
	case Multiple, Order, Sequence:
		return checkOptions(in, a.Options, len(in.Options))
	case Match:
		return checkMatch(in, a)
	case Numeric:
		return checkNumeric(in, a)
	}
	return refuse("options", "nothing can be answered here: unknown interaction %q", in.Kind)
}

func checkOptions(in Interaction, given []string, most int) error {
	for i, id := range given {
		if !has(in.Options, id) {
			return refuse("options", "there is no option %s", quote(id))
		}
		if slices.Contains(given[:i], id) {
			return refuse("options", "option %s is given twice", quote(id))
		}
	}
	if len(given) > most {
		return refuse("options", "%d options are given, at most %d can be", len(given), most)
	}
	return nil
}

func checkMatch(in Interaction, a Answer) error {
	if len(a.Options) > 0 {
		return refuse("options", "put each row in a bin; there is nothing to tick")
	}
	for _, row := range sortedKeys(a.Rows) {
		if !has(in.Rows, row) {
			return refuse("rows", "there is no row %s", quote(row))
		}
		if !has(in.Bins, a.Rows[row]) {
			return refuse("rows", "row %s: there is no bin %s", quote(row), quote(a.Rows[row]))
		}
	}
	return nil
}

func checkNumeric(in Interaction, a Answer) error {
	if err := checkOptions(in, a.Options, 1); err != nil {
		return err
	}
	if !utf8.ValidString(a.Number) || utf8.RuneCountInString(a.Number) > MaxNumber {
		return refuse("number", "too long, or no text: give a number of at most %d characters", MaxNumber)
	}
	if strings.TrimSpace(a.Number) == "" {
		return nil
	}
	if len(a.Options) > 0 {
		return refuse("number", "give either a number or the option beside it, not both")
	}
	if _, _, err := torque.ParseNumber(a.Number); err != nil {
		return refuse("number", "%v", err)
	}
	return nil
}

func has(options []Option, id string) bool {
	return slices.ContainsFunc(options, func(o Option) bool { return o.ID == id })
}

// quote quotes an id for a message, cut short: it may come from anywhere.
func quote(id string) string {
	if len(id) > 20 {
		id = id[:20] + "…"
	}
	return fmt.Sprintf("%q", id)
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
