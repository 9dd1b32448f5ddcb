package ledger

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// longestHeader is more than the header of a ledger with hundreds of keys, in bytes.
const longestHeader = 64 << 10

// header is what stands above the first blank line of an export.
type header struct {
	origin string
	size   int64
	keys   Keys // without handovers, which stand further down
}

// readHeader reads the header. What it returns is not signed: every line of it is
// held against the checkpoints later on.
func readHeader(r *bufio.Reader) (header, error) {
	lines, err := headerLines(r)
	if err != nil {
		return header{}, err
	}
	bad := func(line int, what string) error {
		return general(Malformed, "Line %d of the export cannot be read: it should be %s.", line, what)
	}
	if len(lines) < 1 || lines[0] != exportFormat {
		return header{}, general(Malformed, "This is not an export of a ledger: its first line is not %q.", exportFormat)
	}
	lines = append(lines, "", "", "") // so that a missing line is an empty one
	origin, isOrigin := strings.CutPrefix(lines[1], "origin ")
	size, isSize := strings.CutPrefix(lines[2], "size ")
	n, isNumber := number(size)
	if !isOrigin {
		return header{}, bad(2, "the origin")
	}
	if !isSize || !isNumber {
		return header{}, bad(3, "the number of entries")
	}
	h := header{origin: origin, size: n}
	for i := 3; lines[i] != "" || i == 3; i++ {
		text, ok := strings.CutPrefix(lines[i], "key ")
		from, verifier, _ := strings.Cut(text, " ")
		size, isSize := number(from)
		if h.keys = append(h.keys, Key{Verifier: verifier, From: size}); !ok || !isSize {
			return header{}, bad(i+1, "a key and the size from which on it is valid")
		}
		if verifiers, err := h.keys.verifiers(); err != nil || verifiers[0].Name() != h.origin {
			return header{}, bad(i+1, "a key of this ledger, valid from later on than those before it")
		}
	}
	return h, nil
}

// headerLines returns the lines up to the first blank one.
func headerLines(r *bufio.Reader) ([]string, error) {
	var lines []string
	for length := 0; length < longestHeader; {
		line, err := r.ReadSlice('\n')
		switch {
		case err == io.EOF:
			return nil, general(Truncated, "The export is cut short: it ends before its first entry.")
		case err == bufio.ErrBufferFull:
			length = longestHeader
		case err != nil:
			return nil, fmt.Errorf("read the export: %w", err)
		case len(line) == 1:
			return lines, nil
		}
		length += len(line)
		lines = append(lines, strings.TrimSuffix(string(line), "\n"))
	}
	return nil, general(Malformed, "This is not an export of a ledger: no blank line ends its first lines.")
}
