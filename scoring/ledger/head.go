package ledger

import (
	"fmt"
	"math/bits"

	"golang.org/x/mod/sumdb/tlog"
)

// maxSize bounds the sizes that are read, far above any record and far below where
// the arithmetic of tlog overflows.
const maxSize = 1 << 48

// Head is the state of the tree after so many entries. With its peaks it is all
// that [Append] needs. The empty ledger's is NewHead(0, nil).
type Head struct {
	Size  int64       // entries
	Root  tlog.Hash   // of RFC 6962 §2.1
	Peaks []tlog.Hash // the roots of the complete subtrees that make up the tree, from the left, largest first
}

// NewHead returns the head with these peaks, of which there must be one for each
// one bit of size. It works out the root.
func NewHead(size int64, peaks []tlog.Hash) (Head, error) {
	if size < 0 || size > maxSize {
		return Head{}, fmt.Errorf("a tree cannot have %d entries", size)
	}
	if n := bits.OnesCount64(uint64(size)); n != len(peaks) {
		return Head{}, fmt.Errorf("a tree of %d entries has %d peaks, not %d", size, n, len(peaks))
	}
	h := Head{Size: size, Peaks: peaks}
	root, err := tlog.TreeHash(size, h)
	if err != nil {
		return Head{}, fmt.Errorf("hash the tree of %d entries: %w", size, err)
	}
	h.Root = root
	return h, nil
}

// UnpackHead is [NewHead] with the peaks as [Head.Pack] gives them.
func UnpackHead(size int64, packed []byte) (Head, error) {
	var peaks []tlog.Hash
	for ; len(packed) >= tlog.HashSize; packed = packed[tlog.HashSize:] {
		peaks = append(peaks, tlog.Hash(packed[:tlog.HashSize]))
	}
	if len(packed) > 0 {
		return Head{}, fmt.Errorf("the peaks are not whole hashes: %d bytes left over", len(packed))
	}
	return NewHead(size, peaks)
}

// Pack returns the peaks one after another, 32 bytes each, to be stored beside the size.
func (h Head) Pack() []byte {
	var b []byte
	for _, peak := range h.Peaks {
		b = append(b, peak[:]...)
	}
	return b
}

// ReadHashes gives, by tlog.StoredHashIndex, the hashes that are peaks and no
// others. These are exactly the ones that are read to append an entry and to hash
// the tree; so a Head is the tlog.HashReader of its own size.
func (h Head) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, index := range indexes {
		level, n := tlog.SplitStoredHashIndex(index)
		// A subtree is a peak if it ends where the size, cut off at its level, ends.
		if size := h.Size >> level; size&1 == 0 || n != size-1 {
			return nil, fmt.Errorf("hash %d is no peak of the tree of %d entries", index, h.Size)
		}
		before := bits.OnesCount64(uint64(h.Size >> level >> 1))
		if before >= len(h.Peaks) {
			return nil, fmt.Errorf("the head of size %d has only %d peaks", h.Size, len(h.Peaks))
		}
		out[i] = h.Peaks[before]
	}
	return out, nil
}

// Append returns the head after the entries, in their order, and the hashes to be
// stored: the first goes to tlog.StoredHashIndex(0, head.Size), each of the others
// to the place after the one before. It reads nothing but the head. Its cost is
// that of hashing the entries and O(log size) for each; without entries it gives
// the head back.
//
// An entry that [Parse] would refuse is refused here.
func Append(head Head, entries ...[]byte) (Head, []tlog.Hash, error) {
	leaves := make([]tlog.Hash, len(entries))
	for i, entry := range entries {
		if _, err := scan(entry, nil); err != nil {
			return Head{}, nil, fmt.Errorf("append entry %d: %w", head.Size+int64(i), err)
		}
		leaves[i] = tlog.RecordHash(entry)
	}
	return appendLeaves(head, leaves)
}

func appendLeaves(head Head, leaves []tlog.Hash) (Head, []tlog.Hash, error) {
	head, err := NewHead(head.Size, head.Peaks) // what was given may be no head
	if err != nil {
		return Head{}, nil, fmt.Errorf("append to the ledger: %w", err)
	}
	var stored []tlog.Hash
	for _, leaf := range leaves {
		hashes, err := tlog.StoredHashesForRecordHash(head.Size, leaf, head)
		if err != nil {
			return Head{}, nil, fmt.Errorf("append entry %d: %w", head.Size, err)
		}
		stored = append(stored, hashes...)
		// The last of them is a peak now, in the place of all that it is made of.
		kept := len(head.Peaks) - (len(hashes) - 1)
		peaks := append(head.Peaks[:kept:kept], hashes[len(hashes)-1])
		head = Head{Size: head.Size + 1, Peaks: peaks}
	}
	head, err = NewHead(head.Size, head.Peaks)
	return head, stored, err
}

// CheckHead reports whether the stored hashes give the head: its peaks are those
// that are stored and its root is theirs. It reads O(log size) hashes and no entry;
// [Audit] reads everything.
func CheckHead(head Head, r tlog.HashReader) error {
	peaks, err := r.ReadHashes(peakIndexes(head.Size))
	if err != nil {
		return fmt.Errorf("read the peaks of the tree: %w", err)
	}
	stored, err := NewHead(head.Size, peaks)
	switch {
	case err != nil:
		return err
	case len(head.Peaks) != len(peaks):
		return defect(RootDiffers, 0, head.Size-1, "The head of the record has %d peaks for %d entries, where %d are stored.", len(head.Peaks), head.Size, len(peaks))
	}
	for i, index := range peakIndexes(head.Size) {
		if peaks[i] != head.Peaks[i] {
			level, n := tlog.SplitStoredHashIndex(index)
			return defect(RootDiffers, n<<level, (n+1)<<level-1, "The head of the record and the stored hashes do not agree on entries %d to %d.", n<<level, (n+1)<<level-1)
		}
	}
	if stored.Root != head.Root {
		return defect(RootDiffers, 0, head.Size-1, "The root in the head of the record is not that of its %d entries.", head.Size)
	}
	return nil
}

// peakIndexes returns where the peaks of a tree are stored, from the left.
func peakIndexes(size int64) []int64 {
	var indexes []int64
	for level := bits.Len64(uint64(size)) - 1; level >= 0; level-- {
		if size>>level&1 == 1 {
			indexes = append(indexes, tlog.StoredHashIndex(level, size>>level-1))
		}
	}
	return indexes
}
