package api

import (
	"context"
	"crypto/rand"
	"strings"
	"testing"
)

func TestPasswordsAreKeptAsPHCStrings(t *testing.T) {
	h := newHasher(1, rand.Reader)
	a, err := h.Hash(t.Context(), "lock and bleed")
	if err != nil {
		t.Fatal(err)
	}
	b, err := h.Hash(t.Context(), "lock and bleed")
	if err != nil {
		t.Fatal(err)
	}
	// The form of the PHC string format, with the parameters of RFC 9106's argon2id.
	if !strings.HasPrefix(a, "$argon2id$v=19$m=19456,t=2,p=1$") || a == b {
		t.Errorf("kept as %s and %s", a, b)
	}
	for password, want := range map[string]bool{"lock and bleed": true, "lock and bleed ": false, "": false} {
		if ok, err := h.Verify(t.Context(), a, password); err != nil || ok != want {
			t.Errorf("%q: %v, %v; want %v", password, ok, err, want)
		}
	}
	if ok, err := h.Verify(t.Context(), "", ""); err != nil || ok {
		t.Errorf("an account without a password lets the empty one in: %v, %v", ok, err)
	}
	if _, err := h.Verify(t.Context(), strings.Replace(a, "t=2", "t=1", 1), "lock and bleed"); err == nil {
		t.Error("other parameters are read as if they were ours")
	}
}

// Where too many wait already, the next one is told so at once and costs nothing.
func TestTooManySignIns(t *testing.T) {
	h := newHasher(1, rand.Reader)
	for range cap(h.queue) {
		h.queue <- struct{}{}
	}
	_, err := h.Verify(t.Context(), "", "anything")
	if KindOf(err) != TooMany {
		t.Errorf("error %v, want too many", err)
	}
	<-h.queue
	h.turn <- struct{}{} // somebody has the turn
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := h.Verify(ctx, "", "anything"); err != context.Canceled {
		t.Errorf("given up while waiting: %v", err)
	}
	if len(h.queue) != cap(h.queue)-1 {
		t.Error("who gave up still stands in the queue")
	}
}
