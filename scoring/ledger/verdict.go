package ledger

import (
	"bytes"
	"cmp"
	"slices"
)

// verdict gathers what is wrong, once everything has been read.
func (a *audit) verdict() error {
	last, err := a.last()
	size := a.size
	if err == nil {
		size, a.report.Size, a.report.Checkpoint = last.Size, last.Size, last.Text
	}
	sound := err == nil && !a.broken && a.next == size && a.forest.root() == last.Root
	for _, next := range a.junk {
		a.found.add(defect(Malformed, next, next, "Entry %d cannot be read, or something was put in before it that is no entry.", next))
	}
	moved := a.contents(sound)
	a.order(size, moved)
	if err == nil && !sound && len(a.found.Defects) == 0 {
		a.found.add(a.somewhere(size))
	}
	a.takeovers()
	if err != nil {
		a.found.add(err)
	}
	for _, c := range a.kept {
		if d := a.keptOne(c, size); d != nil && (d.Fault != Forked || sound || !a.found.before(c.Size)) {
			a.found.add(d)
		}
	}
	return a.found.orNil()
}

// takeovers reports what is wrong with how one key took over from another.
func (a *audit) takeovers() {
	for _, c := range a.tookOver {
		if root, ok := a.roots[c.Size]; ok && root != c.Root && !a.found.before(c.Size) {
			a.found.add(defect(RootDiffers, 0, c.Size-1, "Among the first %d entries something is not as it was when the key changed.", c.Size))
		}
	}
	for _, d := range a.handovers {
		if !a.found.covers(d.Entry) { // or it is only what follows from that
			a.found.add(d)
		}
	}
	if a.takeover < len(a.keys) && !a.truncated() {
		from := a.keys[a.takeover].From
		a.found.add(defect(Handover, from, from, "The key valid from entry %d on never took over from the one before.", from))
	}
}

// truncated reports whether the file ends before the end of its last checkpoint: in
// the middle of something, or after a checkpoint in which a key took over.
func (a *audit) truncated() bool {
	if a.final == nil || a.cut || !bytes.HasSuffix(a.final, newline) || !bytes.Contains(a.final, []byte("\n\n—")) {
		return true
	}
	_, size := cutWord(a.final)
	return a.takeover < len(a.keys) && size == a.keys[a.takeover].From && size <= a.size && a.next < a.size
}

// last checks the checkpoint at the end.
func (a *audit) last() (Checkpoint, *Defect) {
	if a.truncated() {
		return Checkpoint{}, defect(Truncated, a.next, max(a.next, a.size-1), "The export is cut short: it ends after %d of %d entries, without its checkpoint.", a.report.Entries, a.size)
	}
	signed, size := cutWord(a.final)
	signer := a.verifiers[len(a.verifiers)-1]
	c, err := ParseCheckpoint(signed)
	switch {
	case err != nil:
		return Checkpoint{}, general(Malformed, "The checkpoint at the end cannot be read: it was altered or cut short.")
	case !exactly(signed, signer):
		return Checkpoint{}, general(Forged, "The checkpoint at the end is not as the key %s signed it.", keyID(signer))
	case c.Origin != a.origin || c.Size != a.size || c.Size != size:
		return Checkpoint{}, general(Malformed, "The first lines of the export are altered: they say %d entries of %s, and the checkpoint %d of %s.", a.size, a.origin, c.Size, c.Origin)
	}
	return c, nil
}

// contents reports entries and hashes that are not what was recorded. It returns by
// how many places entries were moved up (more than 0) or down, texts only.
func (a *audit) contents(sound bool) (moved int64) {
	if sound {
		for _, m := range a.mismatches {
			a.found.add(hashDefect(m))
		}
		return 0
	}
	slices.SortStableFunc(a.mismatches, func(x, y mismatch) int { return cmp.Compare(x.first(), y.first()) })
	rest := a.mismatches.swaps(&a.found)
	rest, moved = rest.moves(a.next-1, &a.found)
	for i := 0; i < len(rest); i++ {
		m := rest[i]
		switch {
		case m.healed:
			a.found.add(hashDefect(m))
		case m.level > 0:
			a.found.add(defect(Altered, m.first(), m.last(), "Among %s at least one was altered together with its hash.", entries(m.first(), m.last())))
		default:
			through := m.n
			for ; i+1 < len(rest) && !rest[i+1].healed && rest[i+1].level == 0 && rest[i+1].n == through+1; i++ {
				through++
			}
			a.found.add(alteredDefect(m.n, through))
		}
	}
	return moved
}

func hashDefect(m mismatch) *Defect {
	return defect(HashAltered, m.first(), m.last(), "The hash that the export states for %s was altered; the entries themselves are as recorded.", entries(m.first(), m.last()))
}

func alteredDefect(from, through int64) *Defect {
	if from == through {
		return defect(Altered, from, from, "Entry %d was altered: its text is not the one that was recorded.", from)
	}
	return defect(Altered, from, through, "Entries %d to %d were altered: their texts are not those that were recorded.", from, through)
}

// order reports what is wrong with the numbers of the entries.
func (a *audit) order(size, moved int64) {
	missing, repeated := a.sequence.gaps(size)
	over := a.report.Entries - size
	if a.outOfStep > 0 {
		a.step(a.outOfStep-1, over)
	}
	for _, s := range missing {
		tail := s.end == size
		explained := tail && (a.outOfStep > 0 && over < 0 || moved > 0 && s.end-s.first == moved || a.truncated())
		unreadable := s.end-s.first == 1 && slices.Contains(a.junk, s.first)
		if !explained && !unreadable {
			a.found.add(defect(Missing, s.first, s.end-1, "%s %s missing.", sentence(entries(s.first, s.end-1)), plural(s, "is", "are")))
		}
	}
	for _, s := range repeated {
		a.found.add(defect(Repeated, s.first, s.end-1, "%s %s there more than once.", sentence(entries(s.first, s.end-1)), plural(s, "stands", "stand")))
	}
	if x, y, ok := a.sequence.swapped(); ok {
		a.found.add(swapDefect(x, y))
	} else {
		for _, s := range a.sequence.steps(repeated) {
			a.found.add(defect(Misplaced, s[1], s[1], "Entry %d is in the wrong place: it stands after entry %d.", s[1], s[0]))
		}
	}
	for _, s := range a.sequence {
		if s.end > size && a.outOfStep == 0 && moved == 0 {
			a.found.add(defect(PutIn, max(s.first, size), s.end-1, "%s %s put in: the checkpoint is signed for %d entries.", sentence(entries(max(s.first, size), s.end-1)), plural(span{max(s.first, size), s.end}, "was", "were"), size))
		}
	}
}

func plural(s span, one, more string) string {
	if s.end-s.first == 1 {
		return one
	}
	return more
}

// step reports that from an entry on the hashes are those of other places. Where k
// entries were taken out, that entry comes less than k after the place: from there on
// entry n has as many hashes as should n + k, and of any k neighbours one differs.
// Where they were put in, it comes less than 2k after it.
func (a *audit) step(at, over int64) {
	switch {
	case over < 0:
		from := max(0, at+over+1)
		a.found.add(defect(Missing, from, at, "At %s something was taken out, and the entries after it were numbered anew: %d are missing in all.", entries(from, at), -over))
	case over > 0:
		from := max(0, at-2*over+1)
		a.found.add(defect(PutIn, from, at, "At %s something was put in, and the entries after it were numbered anew: there are %d too many.", entries(from, at), over))
	default:
		a.found.add(defect(Misplaced, at, at, "Entry %d carries the hashes of another place in the record.", at))
	}
}

// somewhere says that the entries do not give the signed root although they agree
// with all the hashes beside them. Checkpoints in between narrow the place down.
func (a *audit) somewhere(size int64) *Defect {
	from, end := int64(0), size
	for _, c := range slices.Concat(a.kept, a.tookOver) {
		if root, ok := a.roots[c.Size]; ok && c.Size <= size {
			if root == c.Root {
				from = max(from, c.Size)
			} else {
				end = min(end, c.Size)
			}
		}
	}
	return defect(RootDiffers, from, end-1, "These are not the entries that the checkpoint was signed for: among %s something was altered, and every hash worked out anew to fit.", entries(from, end-1))
}

// keptOne checks a checkpoint that was kept.
func (a *audit) keptOne(c Checkpoint, size int64) *Defect {
	if c.Origin != a.origin {
		return otherOrigin(c, a.origin)
	}
	if _, err := a.keys.Open(c.Text); err != nil {
		return general(OtherKey, "The older checkpoint of %d entries is not signed by the key that the ledger had then.", c.Size)
	}
	if c.Size > size {
		return rewound(c, size)
	}
	if root, ok := a.roots[c.Size]; ok && root != c.Root {
		return forked(c)
	}
	return nil
}
