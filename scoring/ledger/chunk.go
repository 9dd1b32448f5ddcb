package ledger

import (
	"bytes"
	"crypto/sha256"
	"slices"
)

// A part is what stands in one piece of an export, in its order. Exactly one of
// its fields is set.
type part struct {
	run        *run   // entries whose numbers follow one another
	checkpoint []byte // a checkpoint, with the line before it and the blank one after it, if any
	junk       bool   // something that is neither
	cut        bool   // the piece ends within an entry or a checkpoint
}

// A run is a row of entries, hashed.
type run struct {
	forest     forest
	first, end int64             // numbers from first up to end, which is no more of it
	across     [maxLevels][]byte // by level, the hash stated for the subtree that ends in the run and begins before it
	mismatches mismatches
	outOfStep  bool   // its last entry carries the hashes of another place, and is not in the forest
	firstText  []byte // of its first entry
	lastText   []byte // of its last one
}

// maxLevels is more than the levels of any tree; see maxSize.
const maxLevels = 64

// chunk reads a piece of an export that begins where an entry does, and hashes its
// entries. A run ends where the numbers do not go on, at a checkpoint and after so
// many entries as a size in stops, sorted, says.
//
// It is all that is done to an entry, in one place and with nothing shared, so any
// number of pieces can be read at once.
type chunk struct {
	rest  []byte
	stops []int64
	parts []part
	run   *run
}

func readChunk(data []byte, stops []int64) []part {
	c := chunk{rest: data, stops: stops}
	for len(c.rest) > 0 {
		c.next()
	}
	c.endRun()
	return c.parts
}

func (c *chunk) endRun() {
	if c.run == nil {
		return
	}
	c.run.firstText, c.run.lastText = bytes.Clone(c.run.firstText), bytes.Clone(c.run.lastText)
	for level, stated := range c.run.across {
		c.run.across[level] = bytes.Clone(stated)
	}
	c.parts = append(c.parts, part{run: c.run})
	c.run = nil
}

func (c *chunk) add(p part) {
	c.endRun()
	c.parts = append(c.parts, p)
}

// next reads an entry, a checkpoint or what is neither, up to its blank line.
func (c *chunk) next() {
	if bytes.HasPrefix(c.rest, []byte(checkpointWord)) {
		c.checkpoint()
		return
	}
	n, hashes, start := readNumbers(c.rest)
	start-- // to the end of that line, which a blank one may follow at once
	end := start + bytes.Index(c.rest[start:], blank)
	switch {
	case end < start:
		c.add(part{cut: true})
		c.rest = nil
		return
	case hashes == nil:
		c.add(part{junk: true})
	default:
		c.entry(n, hashes, c.rest[start:end+1])
	}
	c.rest = c.rest[end+len(blank):]
}

// checkpoint reads what is signed, up to a blank line, and its signatures, up to
// another or the end of the file.
func (c *chunk) checkpoint() {
	signed := bytes.Index(c.rest, blank)
	if signed < 0 {
		c.add(part{cut: true})
		c.rest = nil
		return
	}
	end := signed + len(blank)
	if bytes.HasPrefix(c.rest[end:], []byte("—")) {
		if n := bytes.Index(c.rest[end:], blank); n >= 0 {
			end += n + len(blank)
		} else {
			end = len(c.rest)
		}
	}
	c.add(part{checkpoint: bytes.Clone(c.rest[:end])})
	c.rest = c.rest[end:]
}

// readNumbers reads the line before an entry, its number and hashes, and returns
// where the next line begins, at least 1. Each hash, or what should be one, stands
// after a space; hashes is nil if the line is none of that.
func readNumbers(b []byte) (n int64, hashes []byte, next int) {
	i := 0
	for i < len(b) && i < 18 && '0' <= b[i] && b[i] <= '9' {
		n = 10*n + int64(b[i]-'0')
		i++
	}
	end := i + bytes.IndexByte(b[i:], '\n')
	if end < i {
		return 0, nil, len(b)
	}
	hashes = b[i:end]
	if i == 0 || i > 1 && b[0] == '0' || n > maxSize || len(hashes) == 0 || len(hashes)%(1+hashText) != 0 {
		return 0, nil, end + 1
	}
	for j := 0; j < len(hashes); j += 1 + hashText {
		if hashes[j] != ' ' {
			return 0, nil, end + 1
		}
	}
	return n, hashes, end + 1
}

// entry takes an entry into the run. The text comes with the byte before it, which
// gives way to the zero byte that RFC 6962 hashes before a leaf: so an entry is hashed
// where it lies.
func (c *chunk) entry(n int64, hashes, text []byte) {
	if c.run == nil || c.run.end != n {
		c.endRun()
		c.run = &run{first: n, end: n, firstText: text[1:]}
	}
	r := c.run
	r.end, r.lastText = n+1, text[1:]
	text[0] = 0
	r.forest = append(r.forest, subtree{n: n, hash: sha256.Sum256(text)})
	r.mismatches.compare(r.forest, hashAt(hashes, 0))
	if len(hashes) != hashesWith(n)*(1+hashText) {
		r.forest = r.forest[:len(r.forest)-1]
		r.outOfStep = true
		c.endRun()
		return
	}
	r.complete(hashes)
	if _, stop := slices.BinarySearch(c.stops, n+1); stop {
		c.endRun()
	}
}

func hashAt(hashes []byte, level int) []byte {
	return hashes[level*(1+hashText)+1 : (level+1)*(1+hashText)]
}

// complete makes the subtrees that the last entry completes, as far as they begin
// in the run, and keeps what is stated for the others.
func (r *run) complete(hashes []byte) {
	level := 1
	for ; level*(1+hashText) < len(hashes) && r.forest.merge(); level++ {
		r.mismatches.compare(r.forest, hashAt(hashes, level))
	}
	for ; level*(1+hashText) < len(hashes); level++ {
		r.across[level] = hashAt(hashes, level)
	}
}
