package ledger

import (
	"bytes"
	"slices"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

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
