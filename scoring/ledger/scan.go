package ledger

import (
	"bytes"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
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
