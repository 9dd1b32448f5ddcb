package ledger

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// MaxEntry is the greatest length of an entry, in bytes.
const MaxEntry = 64 << 10

const (
	entryFormat = "soloright entry 1 "
	maxID       = 200
	maxValue    = 1000
	// instant is time.RFC3339Nano with six decimals always, so that one instant has one text.
	instant = "2006-01-02T15:04:05.000000Z"
)

// Entry attests one act. Its text is specified in the package comment.
type Entry struct {
	Kind       Kind
	ID         string            // of the record that it attests
	At         time.Time         // whole microseconds
	Attributes map[string]string // ids, digests, words and numbers; never a name
}

// MarshalText returns the text of the entry, the one that goes into the tree. It
// refuses whatever [Parse] would not read back as the same entry; nothing is
// mended, shortened or rounded.
func (e Entry) MarshalText() ([]byte, error) {
	if err := e.check(); err != nil {
		return nil, fmt.Errorf("write entry %q %q: %w", e.Kind, e.ID, err)
	}
	b := fmt.Appendf(nil, "%s%s %s %s\n", entryFormat, e.Kind, e.ID, e.At.UTC().Format(instant))
	for _, key := range slices.Sorted(maps.Keys(e.Attributes)) {
		b = fmt.Appendf(b, "%s: %s\n", key, e.Attributes[key])
	}
	if len(b) > MaxEntry {
		return nil, fmt.Errorf("write entry %q %q: %w", e.Kind, e.ID, errLong)
	}
	return b, nil
}

func (e Entry) check() error {
	at := e.At.UTC()
	switch {
	case !words(e.Kind, ".-"):
		return errKind
	case !validID(e.ID):
		return errID
	case !at.Equal(at.Truncate(time.Microsecond)), at.Year() < 0, at.Year() > 9999:
		return errInstant
	}
	for key, value := range e.Attributes {
		if !words(key, "-") {
			return fmt.Errorf("attribute %q: %w", key, errKey)
		}
		if !validValue(value) {
			return fmt.Errorf("attribute %q: %w", key, errValue)
		}
	}
	return nil
}

// Parse reads the text of an entry. It is strict: what it accepts, MarshalText
// gives back byte for byte.
func Parse(text []byte) (Entry, error) {
	e := Entry{}
	head, err := scan(text, func(key, value []byte) {
		if e.Attributes == nil {
			e.Attributes = map[string]string{}
		}
		e.Attributes[string(key)] = string(value)
	})
	if err != nil {
		return Entry{}, fmt.Errorf("read entry: %w", err)
	}
	e.Kind, e.ID, e.At = Kind(head.kind), string(head.id), head.at
	return e, nil
}

var (
	errFormat  = errors.New("it does not begin with " + strings.TrimSpace(entryFormat))
	errHead    = errors.New("its first line is not kind, id and instant")
	errKind    = errors.New("the kind is not words of a–z and 0–9 joined by full stops or hyphens")
	errID      = errors.New("the id is not 1 to 200 visible ASCII characters")
	errInstant = errors.New("the instant is not UTC in whole microseconds in the years 0000 to 9999")
	errKey     = errors.New("the key is not words of a–z and 0–9 joined by hyphens")
	errValue   = errors.New("the value is not 1 to 1000 bytes of printable text without spaces at its ends")
	errLine    = errors.New("an attribute is not a line of key, colon, space and value")
	errOrder   = errors.New("the attributes are not sorted, or one stands twice")
	errLong    = errors.New("it is too long")
)
