package ledger

import (
	"bytes"
	"fmt"
	"io"
	"runtime"
	"slices"
	"sync"
)

const (
	// blockSize is about how much of an export is read and hashed at a time, in bytes.
	blockSize = 256 << 10
	// longestBlock bounds what is held where no entry ends: longer than any entry, its hashes and a checkpoint.
	longestBlock = 4 << 20
)

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
	buf := append(slices.Grow((*c.pool.Get().(*[]byte))[:0], len(c.carry)+c.size), c.carry...)
	c.carry = nil
	for !c.ended {
		n := len(buf)
		buf = slices.Grow(buf, c.size)
		read, err := io.ReadFull(c.r, buf[n:n+c.size])
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
