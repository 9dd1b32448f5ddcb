package ledger

import (
	"bytes"
	"encoding/base64"
	"fmt"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

const (
	proofFormat  = "c2sp.org/tlog-proof@v1\n"
	growthFormat = "old "
	// longestProof is the most hashes that a proof can have; see maxSize.
	longestProof = 64
)

// Inclusion shows that an entry is in the record that a checkpoint was signed for.
type Inclusion struct {
	Index      int64
	Entry      []byte
	Proof      tlog.RecordProof
	Checkpoint []byte // the signed note
}

// ProveInclusion makes the proof for the entry at this index under a signed
// checkpoint. It reads O(log size) stored hashes and does not check them: whoever
// verifies the proof does.
func ProveInclusion(checkpoint []byte, index int64, entry []byte, r tlog.HashReader) (Inclusion, error) {
	c, err := ParseCheckpoint(checkpoint)
	if err != nil {
		return Inclusion{}, fmt.Errorf("prove entry %d: %w", index, err)
	}
	if index < 0 || index >= c.Size {
		return Inclusion{}, fmt.Errorf("prove entry %d: the checkpoint is signed for %d entries", index, c.Size)
	}
	p, err := tlog.ProveRecord(c.Size, index, r)
	if err != nil {
		return Inclusion{}, fmt.Errorf("prove entry %d of %d: %w", index, c.Size, err)
	}
	return Inclusion{Index: index, Entry: entry, Proof: p, Checkpoint: checkpoint}, nil
}

// MarshalText returns the proof as a C2SP tlog-proof.
func (p Inclusion) MarshalText() ([]byte, error) {
	b := fmt.Appendf(nil, "%sextra %s\nindex %d\n", proofFormat, base64.StdEncoding.EncodeToString(p.Entry), p.Index)
	return appendProof(b, p.Proof, p.Checkpoint), nil
}

// ParseInclusion reads what MarshalText writes. It verifies nothing.
func ParseInclusion(text []byte) (Inclusion, error) {
	fail := general(Malformed, "This is not a proof of an entry (c2sp.org/tlog-proof with the entry as its extra data).")
	rest, ok := bytes.CutPrefix(text, []byte(proofFormat))
	if !ok {
		return Inclusion{}, fail
	}
	extra, rest, ok1 := cutLine(rest, "extra ")
	index, rest, ok2 := cutLine(rest, "index ")
	entry, err := base64.StdEncoding.Strict().DecodeString(string(extra))
	n, ok3 := number(index)
	proof, checkpoint, ok4 := cutProof(rest)
	if !ok1 || !ok2 || !ok3 || !ok4 || err != nil || bytes.ContainsAny(extra, "\r\n") {
		return Inclusion{}, fail
	}
	return Inclusion{Index: n, Entry: entry, Proof: proof, Checkpoint: checkpoint}, nil
}

// Verify returns the checkpoint if it is signed by a known key and the entry, in
// the form of one, stands at its place in the record that it was signed for. The
// error is a *[Defect].
func (p Inclusion) Verify(known note.Verifiers) (Checkpoint, error) {
	c, err := OpenCheckpoint(p.Checkpoint, known)
	if err != nil {
		return Checkpoint{}, err
	}
	if _, err := Parse(p.Entry); err != nil {
		return Checkpoint{}, defect(Malformed, p.Index, p.Index, "What the proof carries as entry %d is not in the form of an entry.", p.Index)
	}
	if err := tlog.CheckRecord(p.Proof, c.Size, c.Root, p.Index, tlog.RecordHash(p.Entry)); err != nil {
		return Checkpoint{}, defect(Altered, p.Index, p.Index, "The proof does not hold: entry %d of the record that was signed has another text than this one, or the proof was altered.", p.Index)
	}
	return c, nil
}

// Growth shows that a record only grew from an older size to that of a checkpoint.
type Growth struct {
	Old        int64
	Proof      tlog.TreeProof
	Checkpoint []byte // the later one, a signed note
}

// ProveGrowth makes the proof from an older size to a signed checkpoint. It reads
// O(log size) stored hashes and does not check them.
func ProveGrowth(old int64, checkpoint []byte, r tlog.HashReader) (Growth, error) {
	c, err := ParseCheckpoint(checkpoint)
	if err != nil {
		return Growth{}, fmt.Errorf("prove growth from %d: %w", old, err)
	}
	if old < 0 || old > c.Size {
		return Growth{}, fmt.Errorf("prove growth from %d: the checkpoint is signed for %d entries", old, c.Size)
	}
	g := Growth{Old: old, Checkpoint: checkpoint}
	if old > 0 { // every tree continues the empty one, and its proof is empty
		if g.Proof, err = tlog.ProveTree(c.Size, old, r); err != nil {
			return Growth{}, fmt.Errorf("prove growth from %d to %d: %w", old, c.Size, err)
		}
	}
	return g, nil
}

// MarshalText returns the proof as c2sp.org/tlog-witness writes it.
func (g Growth) MarshalText() ([]byte, error) {
	return appendProof(fmt.Appendf(nil, "%s%d\n", growthFormat, g.Old), g.Proof, g.Checkpoint), nil
}

// ParseGrowth reads what MarshalText writes. It verifies nothing.
func ParseGrowth(text []byte) (Growth, error) {
	old, rest, ok1 := cutLine(text, growthFormat)
	n, ok2 := number(old)
	proof, checkpoint, ok3 := cutProof(rest)
	if !ok1 || !ok2 || !ok3 {
		return Growth{}, general(Malformed, "This is not a proof of growth (the text that c2sp.org/tlog-witness specifies).")
	}
	return Growth{Old: n, Proof: proof, Checkpoint: checkpoint}, nil
}

// Verify returns the later checkpoint if it is signed by a known key and continues
// the older one, whose signature is left to whoever opened it. The error is a *[Defect].
func (g Growth) Verify(older Checkpoint, known note.Verifiers) (Checkpoint, error) {
	c, err := OpenCheckpoint(g.Checkpoint, known)
	switch {
	case err != nil:
		return Checkpoint{}, err
	case older.Origin != c.Origin:
		return Checkpoint{}, otherOrigin(older, c.Origin)
	case older.Size > c.Size:
		return Checkpoint{}, rewound(older, c.Size)
	case older.Size != g.Old:
		return Checkpoint{}, general(Malformed, "The proof is about growth from %d entries, and the older checkpoint is of %d.", g.Old, older.Size)
	case g.Old == 0 && len(g.Proof) == 0 && older.Root == emptyRoot():
		return c, nil
	}
	if err := tlog.CheckTree(g.Proof, c.Size, c.Root, older.Size, older.Root); err != nil {
		return Checkpoint{}, forked(older)
	}
	return c, nil
}

func emptyRoot() tlog.Hash {
	h, _ := tlog.TreeHash(0, nil) // reads nothing, so it cannot fail
	return h
}

func otherOrigin(kept Checkpoint, origin string) *Defect {
	return general(OtherOrigin, "The older checkpoint is of another ledger, %s; this is %s.", kept.Origin, origin)
}

func rewound(kept Checkpoint, size int64) *Defect {
	return defect(Rewound, size, kept.Size-1, "The end of the record was cut off: the older checkpoint was signed for %d entries, and now there are %d.", kept.Size, size)
}

func forked(kept Checkpoint) *Defect {
	return defect(Forked, 0, kept.Size-1, "The record does not continue the older checkpoint: among its first %d entries, something is not as it was when that was signed.", kept.Size)
}

func appendProof(b []byte, proof []tlog.Hash, checkpoint []byte) []byte {
	for _, h := range proof {
		b = append(b, h.String()+"\n"...)
	}
	b = append(b, '\n')
	return append(b, checkpoint...)
}

// cutProof reads lines of hashes up to a blank line; what follows is a checkpoint.
func cutProof(text []byte) (proof []tlog.Hash, checkpoint []byte, ok bool) {
	for {
		line, rest, ended := bytes.Cut(text, newline)
		if !ended || len(proof) > longestProof {
			return nil, nil, false
		}
		if len(line) == 0 {
			return proof, rest, true
		}
		h, err := parseHash(line)
		if err != nil {
			return nil, nil, false
		}
		proof, text = append(proof, h), rest
	}
}

// cutLine cuts off a line that begins with prefix, and returns what follows it on the line.
func cutLine(text []byte, prefix string) (value, rest []byte, ok bool) {
	line, rest, ended := bytes.Cut(text, newline)
	value, begins := bytes.CutPrefix(line, []byte(prefix))
	return value, rest, ended && begins
}
