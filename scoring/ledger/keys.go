package ledger

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Key is a verifier key and the size from which on it signs.
type Key struct {
	Verifier string // name+hash+key, as c2sp.org/signed-note writes it
	From     int64
	Handover []byte // the checkpoint of size From, signed by the key before and this one; nil for the first key
}

// Keys are the keys of one ledger, in the order in which they signed. The first is
// valid from 0 on, each until the next.
type Keys []Key

// NewKey makes a key pair for the ledger with this origin: a name without spaces
// and plus signs, best like an address without a scheme, "workshop.example/ledger".
// Who has the signer key can sign for the ledger; the verifier key is public.
func NewKey(random io.Reader, origin string) (signer, verifier string, err error) {
	signer, verifier, err = note.GenerateKey(random, origin)
	if err != nil {
		return "", "", fmt.Errorf("make a key: %w", err)
	}
	if _, err := note.NewVerifier(verifier); err != nil {
		return "", "", fmt.Errorf("make a key for %q: not a name of a ledger: it is empty or has a space or a plus sign", origin)
	}
	return signer, verifier, nil
}

// VerifierKey returns the verifier key that belongs to a signer key.
func VerifierKey(signer string) (string, error) {
	if _, err := note.NewSigner(signer); err != nil {
		return "", fmt.Errorf("read signer key: %w", err)
	}
	// PRIVATE+KEY+name+hash+key, and the key itself may hold plus signs.
	parts := strings.SplitN(signer, "+", 5)
	raw, err := base64.StdEncoding.DecodeString(parts[4])
	if err != nil {
		return "", fmt.Errorf("read signer key: %w", err)
	}
	public := ed25519.NewKeyFromSeed(raw[1:]).Public().(ed25519.PublicKey)
	return note.NewEd25519VerifierKey(parts[2], public)
}

// KeyDigest is the SHA-256, in hexadecimal, of a verifier key's text: what the
// entry of kind [KeyRotated] says of the new key.
func KeyDigest(verifier string) string {
	sum := sha256.Sum256([]byte(verifier))
	return hex.EncodeToString(sum[:])
}

// ReadKeys parses the verifier keys, of whatever ledgers. It refuses a second way to
// write the same key.
func ReadKeys(texts ...string) ([]note.Verifier, error) {
	var verifiers []note.Verifier
	for _, text := range texts {
		v, err := note.NewVerifier(text)
		if err != nil {
			return nil, fmt.Errorf("read verifier key %q: %w", text, err)
		}
		_, key, _ := strings.Cut(text[len(v.Name())+1:], "+")
		if raw, err := base64.StdEncoding.DecodeString(key); err != nil ||
			fmt.Sprintf("%s+%08x+%s", v.Name(), v.KeyHash(), base64.StdEncoding.EncodeToString(raw)) != text {
			return nil, fmt.Errorf("read verifier key %q: it is not written as keys are", text)
		}
		verifiers = append(verifiers, v)
	}
	return verifiers, nil
}

// Check reports whether these can be the keys of one ledger: the first from 0 on,
// each of the others later than the one before and handed over to. That the entry
// before a handover names the key is checked where the entries are: by [VerifyExport].
func (k Keys) Check() error {
	verifiers, err := k.verifiers()
	if err != nil {
		return err
	}
	for i := 1; i < len(k); i++ {
		c, err := OpenCheckpoint(k[i].Handover, note.VerifierList(verifiers[i-1]))
		if err != nil {
			return fmt.Errorf("key %d takes over at size %d: %w", i, k[i].From, err)
		}
		if c.Size != k[i].From || !exactly(k[i].Handover, verifiers[i-1], verifiers[i]) {
			return fmt.Errorf("key %d takes over at size %d, and the checkpoint of that size is not signed by just it and the key before", i, k[i].From)
		}
	}
	return nil
}

// verifiers parses the keys and checks all that can be checked without handovers.
func (k Keys) verifiers() ([]note.Verifier, error) {
	if len(k) == 0 {
		return nil, errors.New("a ledger has at least one key")
	}
	if k[0].From != 0 {
		return nil, fmt.Errorf("the first key is valid from 0 on, not from %d", k[0].From)
	}
	var verifiers []note.Verifier
	for i, key := range k {
		v, err := ReadKeys(key.Verifier)
		switch {
		case err != nil:
			return nil, err
		case i > 0 && key.From <= k[i-1].From:
			return nil, fmt.Errorf("key %d is valid from %d on, and the one before from %d", i, key.From, k[i-1].From)
		case i > 0 && v[0].Name() != verifiers[0].Name():
			return nil, fmt.Errorf("the keys are of two ledgers, %s and %s", verifiers[0].Name(), v[0].Name())
		}
		verifiers = append(verifiers, v[0])
	}
	return verifiers, nil
}

// VerifierFor returns the key that signs the checkpoint of this size.
func (k Keys) VerifierFor(size int64) (note.Verifier, error) {
	verifiers, err := k.verifiers()
	if err != nil {
		return nil, err
	}
	if size < 0 {
		return nil, fmt.Errorf("no checkpoint has the size %d", size)
	}
	last := 0
	for i := range k {
		if k[i].From <= size {
			last = i
		}
	}
	return verifiers[last], nil
}

// Current returns the verifier key that signs now, the last.
func (k Keys) Current() string { return k[len(k)-1].Verifier }

// Open is [OpenCheckpoint] with the key that signs checkpoints of its size, or the
// one before where it takes over at just that size.
func (k Keys) Open(text []byte) (Checkpoint, error) {
	c, err := ParseCheckpoint(text)
	if err != nil {
		return Checkpoint{}, err
	}
	verifiers, err := k.verifiers()
	if err != nil {
		return Checkpoint{}, err
	}
	var known []note.Verifier
	for i := range k {
		if k[i].From <= c.Size && (i+1 == len(k) || c.Size <= k[i+1].From) {
			known = append(known, verifiers[i])
		}
	}
	return OpenCheckpoint(text, note.VerifierList(known...))
}
