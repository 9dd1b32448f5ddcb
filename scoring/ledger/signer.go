package ledger

import (
	"fmt"
	"math/bits"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Hash is a hash of the tree, and HashReader whatever gives the stored ones by
// tlog.StoredHashIndex: for who keeps a record and needs nothing else of tlog.
type (
	Hash           = tlog.Hash
	HashReader     = tlog.HashReader
	HashReaderFunc = tlog.HashReaderFunc
)

// HashesWith returns how many hashes are stored with entry n.
func HashesWith(n int64) int { return hashesWith(n) }

// Place returns the entry with which the hash of this tlog.StoredHashIndex is
// stored, and which of that entry's hashes it is, counted from 0.
func Place(index int64) (entry int64, which int) {
	level, n := tlog.SplitStoredHashIndex(index)
	return (n+1)<<level - 1, level
}

// PeakEntries returns the entries with which the peaks of a tree are stored, from
// the left: the last entry of each.
func PeakEntries(size int64) []int64 {
	var entries []int64
	for _, index := range peakIndexes(size) {
		entry, _ := Place(index)
		entries = append(entries, entry)
	}
	return entries
}

// RecordHash is the leaf hash of an entry.
func RecordHash(entry []byte) Hash { return tlog.RecordHash(entry) }

// A Signer holds the private key of a ledger. It is safe for concurrent use.
type Signer struct {
	key      string
	verifier string
	signer   note.Signer
	known    note.Verifiers
}

// NewSigner reads a signer key as [NewKey] makes it. Its errors do not repeat the key.
func NewSigner(key string) (*Signer, error) {
	s, err := note.NewSigner(key)
	if err != nil {
		return nil, fmt.Errorf("this is not the private key of a ledger: %w", err)
	}
	text, err := VerifierKey(key)
	if err != nil {
		return nil, err
	}
	v, err := ReadKeys(text)
	if err != nil {
		return nil, err
	}
	return &Signer{key: key, verifier: text, signer: s, known: note.VerifierList(v...)}, nil
}

// Verifier returns the public key.
func (s *Signer) Verifier() string { return s.verifier }

// Origin returns the name of the ledger.
func (s *Signer) Origin() string { return s.signer.Name() }

// String names the key by its name and id; it never shows the private key.
func (s *Signer) String() string { return fmt.Sprintf("%s+%08x", s.signer.Name(), s.signer.KeyHash()) }

// GoString is String, so that no way to print a Signer shows the key.
func (s *Signer) GoString() string { return s.String() }

// Sign returns the checkpoint of a head; see [SignCheckpoint].
func (s *Signer) Sign(head Head) ([]byte, error) { return SignCheckpoint(head, s.signer) }

// Vouches returns nil if the checkpoint is one that this key signed for just this
// head. Who signs a head that continues one it does not vouch for signs whatever
// somebody else wrote. The error is a *[Defect].
func (s *Signer) Vouches(head Head, checkpoint []byte) error {
	c, err := OpenCheckpoint(checkpoint, s.known)
	if err != nil {
		return err
	}
	if c.Origin != s.Origin() || c.Size != head.Size || c.Root != head.Root {
		return general(RootDiffers, "The head of the record is of %d entries, and the checkpoint beside it was signed for %d entries or for others.", head.Size, c.Size)
	}
	return nil
}

// Rotate is [Rotate] from this key to the next.
func (s *Signer) Rotate(head Head, e Entry, next *Signer) (Rotation, error) {
	return Rotate(head, e, s.key, next.key)
}

// Complete reports whether these are as many peaks as a tree of the size has.
func (h Head) Complete() bool {
	return h.Size >= 0 && h.Size <= maxSize && bits.OnesCount64(uint64(h.Size)) == len(h.Peaks)
}

// Known is the list of one or more verifiers, to open a checkpoint with.
func Known(v ...note.Verifier) note.Verifiers { return note.VerifierList(v...) }
