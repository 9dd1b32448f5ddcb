package ledger

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"golang.org/x/mod/sumdb/note"
)

func TestNewKey(t *testing.T) {
	signer, verifier := newKey(t, origin, 1)
	if got := must1[string](t)(VerifierKey(signer)); got != verifier {
		t.Errorf("the verifier key of the signer key is %s, want %s", got, verifier)
	}
	text := must1[[]byte](t)(SignCheckpoint(Head{}, signerOf(t, signer)))
	if _, err := OpenCheckpoint(text, verifiersOf(t, verifier)); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"", "a b", "a+b", "a\u00a0b", "a\nb"} {
		if _, _, err := NewKey(bytes.NewReader(make([]byte, 64)), name); err == nil {
			t.Errorf("a key for %q", name)
		}
	}
	if _, _, err := NewKey(iotest.ErrReader(errors.New("no randomness")), origin); err == nil {
		t.Error("a key without randomness")
	}
	if _, err := VerifierKey(verifier); err == nil {
		t.Error("a verifier key is taken for a signer key")
	}
}

// A key has plus signs in its base64 as often as not.
func TestVerifierKeyOfAnySeed(t *testing.T) {
	var plus bool
	for seed := range 256 {
		signer, verifier := newKey(t, origin, byte(seed))
		if got := must1[string](t)(VerifierKey(signer)); got != verifier {
			t.Errorf("seed %d: %s, want %s", seed, got, verifier)
		}
		plus = plus || strings.Count(signer, "+") > 4
	}
	if !plus {
		t.Error("no key had a plus sign in its base64: more seeds are needed")
	}
}

func TestReadKeysRefuses(t *testing.T) {
	for _, text := range []string{
		"", "x", exampleKey[1:], exampleKey[:len(exampleKey)-1], exampleKey + "\n", exampleKey + "=",
		strings.Replace(exampleKey, "530d903a", "530D903A", 1), strings.Replace(exampleKey, "530d903a", "530d903b", 1),
	} {
		if _, err := ReadKeys(text); err == nil {
			t.Errorf("%q is read", text)
		}
	}
}

func TestVerifierFor(t *testing.T) {
	b := newBook(t).append(4).rotate().append(2).rotate() // the keys sign from 0, 5 and 8 on
	for size, want := range map[int64]int{0: 0, 4: 0, 5: 1, 7: 1, 8: 2, 9: 2, 1000: 2} {
		v := must1[note.Verifier](t)(b.keys.VerifierFor(size))
		if w := must1[[]note.Verifier](t)(ReadKeys(b.keys[want].Verifier)); keyID(v) != keyID(w[0]) {
			t.Errorf("size %d: %s, want key %d, %s", size, keyID(v), want, keyID(w[0]))
		}
	}
	if _, err := b.keys.VerifierFor(-1); err == nil {
		t.Error("a key for size −1")
	}
	if _, err := (Keys)(nil).VerifierFor(0); err == nil {
		t.Error("a key of no keys")
	}
}

// Every checkpoint opens with the key of its size, and with no other but at a handover.
func TestKeysOpen(t *testing.T) {
	b := newBook(t).append(3).rotate().append(3)
	for size, text := range b.signed {
		if c, err := b.keys.Open(text); err != nil || c.Size != int64(size) {
			t.Errorf("size %d: %+v, %v", size, c, err)
		}
	}
	old, _ := newKey(t, origin, 1)
	if _, err := b.keys.Open(b.keys[1].Handover); err != nil {
		t.Errorf("the handover: %v", err)
	}
	late := must1[[]byte](t)(SignCheckpoint(b.head, signerOf(t, old)))
	if _, err := b.keys.Open(late); err == nil {
		t.Error("the old key signs after it was handed over")
	}
	early := must1[[]byte](t)(SignCheckpoint(b.at(2).head, signerOf(t, b.signer)))
	if _, err := b.keys.Open(early); err == nil {
		t.Error("the new key signs before it took over")
	}
}

func TestRotate(t *testing.T) {
	b := newBook(t).append(3).rotate()
	if err := b.keys.Check(); err != nil {
		t.Fatal(err)
	}
	e := must1[Entry](t)(Parse(b.rows[3]))
	if e.Kind != KeyRotated || e.Attributes["key"] != KeyDigest(b.keys[1].Verifier) || b.keys[1].From != 4 {
		t.Errorf("%+v, valid from %d", e, b.keys[1].From)
	}
	elsewhere, _ := newKey(t, "elsewhere.example", 7)
	if _, err := Rotate(b.head, Entry{ID: "1", At: begun}, b.signer, elsewhere); err == nil {
		t.Error("handed over to the key of another ledger")
	}
	if _, err := Rotate(b.head, Entry{At: begun}, b.signer, b.signer); err == nil {
		t.Error("rotated with an entry that has no id")
	}
	if _, err := Rotate(b.head, Entry{ID: "1", At: begun}, b.keys.Current(), b.signer); err == nil {
		t.Error("rotated by who has no signer key")
	}
}

func TestKeysCheckRefuses(t *testing.T) {
	sound := newBook(t).append(3).rotate().append(1).rotate().keys
	_, foreign := newKey(t, "elsewhere.example", 7)
	b := newBook(t).append(3)
	before := b.signer
	b.rotate()
	alone := must1[[]byte](t)(SignCheckpoint(b.head, signerOf(t, before)))
	for name, change := range map[string]func(k Keys) Keys{
		"no keys":              func(k Keys) Keys { return nil },
		"first not from 0":     func(k Keys) Keys { return k[1:] },
		"not in order":         func(k Keys) Keys { k[1], k[2] = k[2], k[1]; return k },
		"two from one size":    func(k Keys) Keys { k[2].From = k[1].From; return k },
		"no handover":          func(k Keys) Keys { k[1].Handover = nil; return k },
		"signed by one":        func(k Keys) Keys { k[1].Handover = alone; return k[:2] },
		"another's handover":   func(k Keys) Keys { k[1].Handover = k[2].Handover; return k },
		"handover elsewhere":   func(k Keys) Keys { k[1].From--; return k },
		"one left out":         func(k Keys) Keys { return append(k[:1], k[2]) },
		"another ledger's key": func(k Keys) Keys { k[1].Verifier = foreign; return k },
		"not a key":            func(k Keys) Keys { k[1].Verifier += "="; return k },
	} {
		if err := change(slices.Clone(sound)).Check(); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
