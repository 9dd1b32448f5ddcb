package ledger

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"
)

func newSigner(t testing.TB, seed byte) *Signer {
	key, _ := newKey(t, origin, seed)
	return must1[*Signer](t)(NewSigner(key))
}

func TestSigner(t *testing.T) {
	s, other := newSigner(t, 1), newSigner(t, 2)
	key, verifier := newKey(t, origin, 1)
	if s.Verifier() != verifier || s.Origin() != origin {
		t.Errorf("it has the public key %s and the name %s", s.Verifier(), s.Origin())
	}
	secret := key[strings.LastIndex(key, "+")+1:]
	for _, verb := range []string{"%v", "%+v", "%#v", "%s"} {
		if got := fmt.Sprintf(verb, s); strings.Contains(got, secret) || !strings.Contains(verifier, got) {
			t.Errorf("%s prints %q", verb, got)
		}
	}
	b := newBook(t).append(5)
	checkpoint := must1[[]byte](t)(s.Sign(b.head))
	if err := s.Vouches(b.head, checkpoint); err != nil {
		t.Errorf("its own head: %v", err)
	}
	for name, err := range map[string]error{
		"another key":  other.Vouches(b.head, checkpoint),
		"another head": s.Vouches(b.at(4).head, checkpoint),
		"another root": s.Vouches(newBook(t).append(4).rotate().head, checkpoint),
		"no signature": s.Vouches(b.head, nil),
	} {
		if err == nil {
			t.Errorf("%s: it vouches for it", name)
		}
	}
	if _, err := NewSigner(verifier); err == nil {
		t.Error("a public key is taken for a private one")
	}
}

// Every stored hash has its place beside an entry, and each place one hash.
func TestPlace(t *testing.T) {
	const size = 1000
	next := int64(0)
	for n := range int64(size) {
		for which := range HashesWith(n) {
			if entry, w := Place(next); entry != n || w != which {
				t.Fatalf("hash %d stands at %d/%d, want %d/%d", next, entry, w, n, which)
			}
			next++
		}
	}
	if want := tlog.StoredHashCount(size); next != want {
		t.Errorf("%d hashes with %d entries, want %d", next, size, want)
	}
	if got := fmt.Sprint(PeakEntries(13)); got != "[7 11 12]" {
		t.Errorf("the peaks of 13 entries stand with %s", got)
	}
}
