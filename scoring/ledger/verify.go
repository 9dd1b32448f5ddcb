package ledger

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Report says what was checked.
type Report struct {
	Origin      string
	Size        int64     // entries that the last checkpoint is signed for
	Entries     int64     // entries read
	First, Last time.Time // instants of the first entry and of the last, as they state them; zero if there is none
	Keys        Keys      // of the ledger, with their handovers
	Checkpoint  []byte    // the last one
}

// VerifyExport checks an export from the file alone. It works out every hash anew
// and holds the tree against the signed checkpoint at the end and against every
// checkpoint that was kept from before; it accepts the signature of a trusted
// verifier key, or of a later one to which a trusted one handed over.
//
// The error is an *[Unsound] with every defect found, each with its place as far as
// the file tells; or another error if a trusted key is none or reading failed, and
// then nothing is said about the record. The report holds as much as was read.
//
// It streams, hashes on every core and holds a few blocks of 256 KiB. If progress is
// not nil it is called now and then with the entries read so far and their number
// as the export states it.
func VerifyExport(r io.Reader, trusted []string, kept []Checkpoint, progress func(done, total int64)) (Report, error) {
	return verifyExport(r, blockSize, trusted, kept, progress)
}

// verifyExport is VerifyExport in blocks of about this many bytes.
func verifyExport(r io.Reader, block int, trusted []string, kept []Checkpoint, progress func(done, total int64)) (Report, error) {
	known, err := ReadKeys(trusted...)
	if err != nil {
		return Report{}, err
	}
	in := bufio.NewReaderSize(r, blockSize)
	head, err := readHeader(in)
	if err != nil {
		return Report{}, asUnsound(err)
	}
	if head.keys, err = trustFrom(head.keys, trusted, known); err != nil {
		return Report{Origin: head.origin}, asUnsound(err)
	}
	verifiers, err := head.keys.verifiers()
	if err != nil {
		return Report{}, fmt.Errorf("read the keys of the export: %w", err)
	}
	a := newAudit(head, verifiers, kept)
	err = readParts(in, block, a.stops, func(parts []part) {
		for _, p := range parts {
			a.take(p)
		}
		if progress != nil {
			progress(a.report.Entries, head.size)
		}
	})
	if err != nil {
		return a.report, asUnsound(err)
	}
	return a.report, a.verdict()
}

// asUnsound makes a single defect the error that VerifyExport promises.
func asUnsound(err error) error {
	var d *Defect
	if errors.As(err, &d) {
		return &Unsound{Defects: []*Defect{d}}
	}
	return err
}

// trustFrom returns the keys if one of them is trusted.
func trustFrom(keys Keys, trusted []string, known []note.Verifier) (Keys, error) {
	if slices.ContainsFunc(keys, func(k Key) bool { return slices.Contains(trusted, k.Verifier) }) {
		return keys, nil
	}
	yours := "none"
	if len(known) > 0 {
		yours = keyID(known[0])
	}
	signer, err := keys.VerifierFor(maxSize)
	if err != nil {
		return nil, err
	}
	return nil, general(OtherKey, "The export is signed by another key than the one given: it states %s, the one given is %s.", keyID(signer), yours)
}

// keyID is the name and the key ID of c2sp.org/signed-note, by which people tell keys apart.
func keyID(v note.Verifier) string { return fmt.Sprintf("%s+%08x", v.Name(), v.KeyHash()) }

// audit puts the parts of an export together.
type audit struct {
	header
	verifiers []note.Verifier
	kept      []Checkpoint
	stops     []int64 // the sizes at which the tree is looked at, sorted
	report    Report

	forest     forest
	next       int64 // the number that the next entry should have
	broken     bool  // it did not have it, so that there is no tree from there on
	sequence   sequence
	mismatches mismatches
	outOfStep  int64   // the first entry with the hashes of another place, +1
	junk       []int64 // the entries before which something stands that is none
	found      Unsound

	takeover  int                 // the key that has yet to take over
	tookOver  []Checkpoint        // the handovers, verified
	handovers []*Defect           // what is wrong with them
	lastText  []byte              // of the last entry taken
	final     []byte              // the checkpoint that nothing came after
	cut       bool                // the file ends within something
	roots     map[int64]tlog.Hash // of the tree at the sizes that matter, as long as it is not broken
}

// newAudit stops at the sizes of all checkpoints that the tree is held against.
func newAudit(h header, verifiers []note.Verifier, kept []Checkpoint) *audit {
	a := &audit{header: h, verifiers: verifiers, kept: kept, takeover: 1, roots: map[int64]tlog.Hash{0: emptyRoot()}}
	a.report = Report{Origin: h.origin, Keys: h.keys}
	for _, c := range kept {
		a.stops = append(a.stops, c.Size)
	}
	for _, k := range h.keys {
		a.stops = append(a.stops, k.From)
	}
	slices.Sort(a.stops)
	return a
}

func (a *audit) take(p part) {
	if a.final != nil { // so it was not the last
		a.handover(a.final)
		a.final = nil
	}
	if a.cut { // so the file does not end there
		a.cut, p.junk = false, true
	}
	if p.junk && len(a.junk) < mostDefects {
		a.junk = append(a.junk, a.next)
		a.broken = true
	}
	switch {
	case p.run != nil:
		a.entries(p.run)
	case p.checkpoint != nil:
		a.final = p.checkpoint
	case p.cut:
		a.cut = true
	}
}

// entries takes a run.
func (a *audit) entries(r *run) {
	if a.next == 0 && r.first == 0 {
		a.report.First = instantOf(r.firstText)
	}
	a.report.Entries += r.end - r.first
	a.report.Last = instantOf(r.lastText)
	a.lastText = r.lastText
	a.sequence.add(r.first, r.end)
	if r.outOfStep && a.outOfStep == 0 {
		a.outOfStep = r.end
	}
	if len(a.mismatches) < mostMismatches {
		a.mismatches = append(a.mismatches, r.mismatches...)
	}
	if r.first != a.next {
		a.broken = true
	}
	a.next = r.end
	if !a.broken {
		a.grow(r)
	}
	a.broken = a.broken || r.outOfStep
	if _, stop := slices.BinarySearch(a.stops, a.next); stop && !a.broken {
		a.roots[a.next] = a.forest.root()
	}
}

// grow joins the run to the tree.
func (a *audit) grow(r *run) {
	for _, s := range r.forest {
		a.forest = append(a.forest, s)
		for a.forest.merge() {
			top := a.forest[len(a.forest)-1]
			a.mismatches.compare(a.forest, r.across[top.level])
		}
	}
}

func instantOf(entry []byte) time.Time {
	e, err := Parse(entry)
	if err != nil {
		return time.Time{}
	}
	return e.At
}

// handover checks a checkpoint within the export: that of the next key to take over.
func (a *audit) handover(text []byte) {
	bad := func(entry int64, sentence string, args ...any) {
		a.handovers = append(a.handovers, defect(Handover, entry, entry, sentence, args...))
	}
	signed, size := cutWord(bytes.TrimSuffix(text, newline)) // without the blank line after it
	c, err := ParseCheckpoint(signed)
	i := a.takeover
	if a.takeover++; err != nil || i >= len(a.keys) || c.Size != a.keys[i].From || c.Size != size || c.Origin != a.origin || !exactly(signed, a.verifiers[i-1], a.verifiers[i]) {
		bad(a.next, "The checkpoint before entry %d is not that of a key handing over to the next, as both signed it.", a.next)
		return
	}
	a.keys[i].Handover = signed
	a.tookOver = append(a.tookOver, c)
	if a.next != c.Size {
		bad(a.next, "The checkpoint of %d entries stands before entry %d.", c.Size, a.next)
	} else if !names(a.lastText, a.keys[i].Verifier) {
		bad(c.Size-1, "Entry %d does not name the key that takes over after it.", c.Size-1)
	}
}

// cutWord cuts the line with its size off a checkpoint in an export; it returns nil
// where there is none.
func cutWord(text []byte) (signed []byte, size int64) {
	line, signed, ok := cutLine(text, checkpointWord)
	size, isSize := number(line)
	if !ok || !isSize {
		return nil, 0
	}
	return signed, size
}
