package ledger

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Checkpoint is a signed head: origin, size and root. Kept outside the program it
// is what tells that the end of a record was cut off.
type Checkpoint struct {
	Origin string
	Size   int64
	Root   tlog.Hash
	Text   []byte // the signed note
}

// SignCheckpoint returns the checkpoint of the head as a signed note. The origin is
// the name of the signers, who must all have the same; one is enough. Only its size
// and root are looked at. Whoever signs must never sign two heads of which the
// larger does not continue the smaller.
func SignCheckpoint(head Head, signers ...note.Signer) ([]byte, error) {
	if len(signers) == 0 {
		return nil, errors.New("sign checkpoint: there is nobody to sign")
	}
	origin := signers[0].Name()
	for _, s := range signers {
		if s.Name() != origin {
			return nil, fmt.Errorf("sign checkpoint: the signers are of two ledgers, %s and %s", origin, s.Name())
		}
	}
	text := fmt.Sprintf("%s\n%d\n%s\n", origin, head.Size, head.Root)
	signed, err := note.Sign(&note.Note{Text: text}, signers...)
	if err != nil {
		return nil, fmt.Errorf("sign checkpoint of size %d: %w", head.Size, err)
	}
	return signed, nil
}

// OpenCheckpoint reads a checkpoint and verifies its signature by a known key of
// the same name as its origin. As the note specification asks, signatures by
// unknown keys are ignored, so it may carry those of witnesses. The error is a
// *[Defect] of fault [Malformed], [OtherKey] or [Forged].
func OpenCheckpoint(text []byte, known note.Verifiers) (Checkpoint, error) {
	c, err := ParseCheckpoint(text)
	if err != nil {
		return Checkpoint{}, err
	}
	n, err := note.Open(text, known)
	var unverified *note.UnverifiedNoteError
	switch {
	case errors.As(err, &unverified):
		return Checkpoint{}, general(OtherKey, "The checkpoint of %d entries is signed by another key than the one given: %s.", c.Size, signedBy(unverified.Note.UnverifiedSigs))
	case err != nil:
		return Checkpoint{}, general(Forged, "The checkpoint of %d entries was altered after it was signed: its signature does not fit its text.", c.Size)
	case !slices.ContainsFunc(n.Sigs, func(s note.Signature) bool { return s.Name == c.Origin }):
		return Checkpoint{}, general(OtherKey, "The checkpoint is of %s, but signed by %s.", c.Origin, signedBy(n.Sigs))
	}
	return c, nil
}

func signedBy(sigs []note.Signature) string {
	var names []string
	for _, s := range sigs {
		names = append(names, fmt.Sprintf("%s+%08x", s.Name, s.Hash))
	}
	return strings.Join(names, ", ")
}

// ParseCheckpoint reads a checkpoint without verifying its signature; nothing in it
// may be believed before somebody has.
func ParseCheckpoint(text []byte) (Checkpoint, error) {
	// With no known key, Open checks the form of the note and of its signatures.
	_, err := note.Open(text, nil)
	var unverified *note.UnverifiedNoteError
	if !errors.As(err, &unverified) {
		return Checkpoint{}, general(Malformed, "This is not a signed checkpoint.")
	}
	lines := strings.Split(unverified.Note.Text, "\n")
	if len(lines) < 4 || lines[0] == "" || slices.Contains(lines[:len(lines)-1], "") {
		return Checkpoint{}, general(Malformed, "This is not a signed checkpoint: it does not begin with the lines origin, size and root.")
	}
	size, ok := number(lines[1])
	root, err := parseHash(lines[2])
	if !ok || err != nil {
		return Checkpoint{}, general(Malformed, "This is not a signed checkpoint: its size or its root cannot be read.")
	}
	return Checkpoint{Origin: lines[0], Size: size, Root: root, Text: bytes.Clone(text)}, nil
}

// number reads a decimal number from 0 to maxSize, without sign or leading zeros.
func number[T string | []byte](s T) (int64, bool) {
	n, err := strconv.ParseInt(string(s), 10, 64)
	return n, err == nil && n >= 0 && n <= maxSize && strconv.FormatInt(n, 10) == string(s)
}

// hashText is the length of a hash in base64.
const hashText = 44

// parseHash reads a hash in base64. Unlike tlog.ParseHash it refuses a second way
// to write the same hash.
func parseHash[T string | []byte](s T) (tlog.Hash, error) {
	b, err := base64.StdEncoding.Strict().DecodeString(string(s))
	if err != nil || len(b) != tlog.HashSize || len(s) != hashText {
		return tlog.Hash{}, errors.New("not the base64 of a hash")
	}
	return tlog.Hash(b), nil
}

// exactly reports whether text is a note that carries the signatures of the
// verifiers, in their order, and no others, written the one way there is. What a
// note leaves open (other signatures, spare bits of base64) would let a byte of an
// export be changed unnoticed.
func exactly(text []byte, verifiers ...note.Verifier) bool {
	n, err := note.Open(text, note.VerifierList(verifiers...))
	if err != nil || len(n.Sigs) != len(verifiers) {
		return false
	}
	var b strings.Builder
	b.WriteString(n.Text + "\n")
	for i, sig := range n.Sigs {
		raw, err := base64.StdEncoding.DecodeString(sig.Base64)
		if err != nil || sig.Name != verifiers[i].Name() || sig.Hash != verifiers[i].KeyHash() {
			return false
		}
		b.WriteString("— " + sig.Name + " " + base64.StdEncoding.EncodeToString(raw) + "\n")
	}
	return b.String() == string(text)
}
