package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
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

// heading is the first line of an entry. Its slices are parts of the text.
type heading struct {
	kind, id []byte
	at       time.Time
}

// scan walks over the text of an entry, checks all of it and calls each, if there
// is one, for every attribute. It keeps nothing.
func scan(text []byte, each func(key, value []byte)) (heading, error) {
	if len(text) > MaxEntry {
		return heading{}, errLong
	}
	line, rest, ended := bytes.Cut(text, newline)
	if !ended {
		return heading{}, errHead
	}
	head, err := scanHeading(line)
	if err != nil {
		return heading{}, err
	}
	var before []byte
	for len(rest) > 0 {
		line, rest, ended = bytes.Cut(rest, newline)
		colon := bytes.IndexByte(line, ':')
		if !ended || colon < 0 || colon+1 >= len(line) || line[colon+1] != ' ' {
			return heading{}, errLine
		}
		key, value := line[:colon], line[colon+2:]
		switch {
		case !words(key, "-"):
			return heading{}, errKey
		case !validValue(value):
			return heading{}, errValue
		case bytes.Compare(before, key) >= 0:
			return heading{}, errOrder
		}
		before = key
		if each != nil {
			each(key, value)
		}
	}
	return head, nil
}

var (
	newline = []byte("\n")
	space   = []byte(" ")
	blank   = []byte("\n\n") // the end of an entry or of what a checkpoint signs
)

func scanHeading(line []byte) (heading, error) {
	line, ok := bytes.CutPrefix(line, []byte(entryFormat))
	if !ok {
		return heading{}, errFormat
	}
	kind, line, ok1 := bytes.Cut(line, space)
	id, at, ok2 := bytes.Cut(line, space)
	switch {
	case !ok1 || !ok2:
		return heading{}, errHead
	case !words(kind, ".-"):
		return heading{}, errKind
	case !validID(id):
		return heading{}, errID
	case len(at) != len(instant), at[19] != '.', at[26] != 'Z':
		return heading{}, errInstant
	}
	// This layout has a fast path of its own in package time.
	t, err := time.Parse(time.RFC3339Nano, string(at))
	if err != nil {
		return heading{}, errInstant
	}
	return heading{kind, id, t}, nil
}

// words reports whether s is one or more words of a–z and 0–9, joined by single
// characters of joints.
func words[T ~string | []byte](s T, joints string) bool {
	joint := true // so that s cannot begin with one
	for i := range len(s) {
		c := s[i]
		switch {
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9':
			joint = false
		case joint || strings.IndexByte(joints, c) < 0:
			return false
		default:
			joint = true
		}
	}
	return !joint
}

func validID[T string | []byte](s T) bool {
	for i := range len(s) {
		if s[i] <= ' ' || s[i] > '~' {
			return false
		}
	}
	return len(s) > 0 && len(s) <= maxID
}

// validValue reports whether s is fit for a value. What cannot be seen in print, a
// line break, a NUL or a mark that turns the direction of writing, is not.
func validValue[T string | []byte](s T) bool {
	n := len(s)
	if n == 0 || n > maxValue || s[0] == ' ' || s[n-1] == ' ' {
		return false
	}
	for i := range n {
		if s[i] < ' ' || s[i] > '~' {
			return printable(string(s[i:]))
		}
	}
	return true
}

func printable(s string) bool {
	for _, r := range s {
		if !unicode.IsPrint(r) {
			return false
		}
	}
	return utf8.ValidString(s)
}
