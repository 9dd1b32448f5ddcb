package ledger

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"runtime"
	"strings"
	"sync"
)

const (
	// blockSize is about how much of an export is read and hashed at a time, in bytes.
	blockSize = 256 << 10
	// longestBlock bounds what is held where no entry ends: longer than any entry, its hashes and a checkpoint.
	longestBlock = 4 << 20
)

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
	h := header{}
	var ok bool
	if h.origin, ok = strings.CutPrefix(lines[1], "origin "); !ok {
		return header{}, bad(2, "the origin")
	}
	size, ok := strings.CutPrefix(lines[2], "size ")
	if h.size, ok = number(size); !ok || size == lines[2] {
		return header{}, bad(3, "the number of entries")
	}
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
	for length := 0; length < longestBlock; {
		line, err := r.ReadSlice('\n')
		switch {
		case err == io.EOF:
			return nil, general(Truncated, "The export is cut short: it ends before its first entry.")
		case err == bufio.ErrBufferFull:
			length = longestBlock
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

// A block is a piece of the export on its way: parts comes when it has been read.
type block struct {
	data  []byte
	parts chan []part
	err   error // instead of data: reading failed
}

// readParts reads the rest of an export in blocks of about this size, hashes them on every core and
// hands their parts to take, in the order of the file. It returns the error of
// reading, if any. At most a few blocks a core are held.
func readParts(r io.Reader, size int, stops []int64, take func([]part)) error {
	workers := runtime.GOMAXPROCS(0)
	jobs, inOrder := make(chan *block, workers), make(chan *block, 2*workers)
	pool := sync.Pool{New: func() any { return new([]byte) }}
	var hashing sync.WaitGroup
	for range workers {
		hashing.Go(func() {
			for b := range jobs {
				b.parts <- readChunk(b.data, stops)
				pool.Put(&b.data) // the parts hold nothing of it
			}
		})
	}
	go func() {
		defer close(inOrder)
		defer close(jobs)
		cut := cutter{r: r, size: size, pool: &pool}
		for {
			data, err := cut.next()
			if err == io.EOF {
				return
			}
			b := &block{data: data, parts: make(chan []part, 1), err: err}
			inOrder <- b
			if err != nil {
				return
			}
			jobs <- b
		}
	}()
	var err error
	for b := range inOrder {
		if err = b.err; err == nil {
			take(<-b.parts)
		}
	}
	hashing.Wait()
	return err
}

// cutter cuts an export into blocks, each beginning where an entry does.
type cutter struct {
	r     io.Reader
	size  int // about that of a block
	pool  *sync.Pool
	carry []byte // what was read and comes after the last cut
	ended bool
}

// next returns the next block, or io.EOF.
func (c *cutter) next() ([]byte, error) {
	buf := append((*c.pool.Get().(*[]byte))[:0], c.carry...)
	c.carry = nil
	for !c.ended {
		n := len(buf)
		buf = append(buf, make([]byte, c.size)...)
		read, err := io.ReadFull(c.r, buf[n:])
		buf = buf[:n+read]
		switch {
		case err == io.EOF || err == io.ErrUnexpectedEOF:
			c.ended = true
		case err != nil:
			return nil, fmt.Errorf("read the export: %w", err)
		}
		if at := lastEntry(buf); !c.ended && at > 0 {
			c.carry = bytes.Clone(buf[at:])
			return buf[:at], nil
		}
		if len(buf) > longestBlock {
			return nil, general(Malformed, "The export cannot be read: for %d bytes no entry ends.", len(buf))
		}
	}
	if len(buf) == 0 {
		return nil, io.EOF
	}
	return buf, nil
}

// lastEntry returns where the last entry of a block begins, after a blank line and
// with the first digit of its number; 0 if nowhere.
func lastEntry(b []byte) int {
	for end := len(b) - 1; end > 0; {
		i := bytes.LastIndex(b[:end], blank)
		if i < 0 {
			return 0
		}
		if c := b[i+len(blank)]; '0' <= c && c <= '9' {
			return i + len(blank)
		}
		end = i + 1
	}
	return 0
}
