package ledger

import (
	"fmt"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Rotation is what [Rotate] made: all of it is to be stored at once.
type Rotation struct {
	Entry  []byte
	Stored []tlog.Hash // as of [Append]
	Head   Head
	Key    Key
}

// Rotate hands the ledger over from one signer key to the next. It completes the
// entry, of which ID and At are to be given, appends it and has both keys sign: so
// the handover is also the newest checkpoint.
func Rotate(head Head, e Entry, old, next string) (Rotation, error) {
	fail := func(err error) (Rotation, error) { return Rotation{}, fmt.Errorf("rotate the key: %w", err) }
	from, err := note.NewSigner(old)
	if err != nil {
		return fail(err)
	}
	to, err := note.NewSigner(next)
	if err != nil {
		return fail(err)
	}
	r := Rotation{}
	if r.Key.Verifier, err = VerifierKey(next); err != nil {
		return fail(err)
	}
	e.Kind, e.Attributes = KeyRotated, withKey(e.Attributes, r.Key.Verifier)
	if r.Entry, err = e.MarshalText(); err != nil {
		return fail(err)
	}
	if r.Head, r.Stored, err = Append(head, r.Entry); err != nil {
		return fail(err)
	}
	r.Key.From = r.Head.Size
	if r.Key.Handover, err = SignCheckpoint(r.Head, from, to); err != nil {
		return fail(err)
	}
	return r, nil
}

// keyAttribute is the attribute of an entry of kind KeyRotated that names the key.
const keyAttribute = "key"

func withKey(attributes map[string]string, verifier string) map[string]string {
	all := map[string]string{keyAttribute: KeyDigest(verifier)}
	for key, value := range attributes {
		if key != keyAttribute {
			all[key] = value
		}
	}
	return all
}

// names reports whether an entry hands the ledger over to this key.
func names(entry []byte, verifier string) bool {
	e, err := Parse(entry)
	return err == nil && e.Kind == KeyRotated && e.Attributes[keyAttribute] == KeyDigest(verifier)
}
