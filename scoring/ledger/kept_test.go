package ledger

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Who holds the key and rewrites everything is found by a checkpoint kept elsewhere,
// and by nothing else.
func TestRewritten(t *testing.T) {
	b := newBook(t).append(30)
	rewritten := b.at(12)
	rewritten.rows = append(rewritten.rows, []byte(forge))
	head, stored, err := Append(rewritten.head, []byte(forge))
	rewritten.head, rewritten.hashes = head, append(rewritten.hashes, stored...)
	if err != nil {
		t.Fatal(err)
	}
	rewritten.sign()
	rewritten.append(17)
	for size, want := range map[int]string{0: "", 12: "", 13: "forked 0-12", 30: "forked 0-29"} {
		if got := told(t, second(b.verify(rewritten.text(), b.checkpoint(size)))); got != want {
			t.Errorf("kept at %d: %q, want %q", size, got, want)
		}
	}
	if err := second(b.verify(rewritten.text())); err != nil {
		t.Errorf("without a checkpoint kept elsewhere there is nothing to find it by: %v", err)
	}
}

// Cutting off the end of a record together with its head leaves a record that was
// sound once. Only a checkpoint kept elsewhere tells.
func TestTailCutOffWithItsHead(t *testing.T) {
	b := newBook(t).append(30)
	for size := range 30 {
		cut := b.at(size)
		if err := second(b.verify(cut.text())); err != nil {
			t.Errorf("cut to %d, without a checkpoint kept elsewhere: %v", size, err)
		}
		if err := CheckHead(cut.head, cut); err != nil {
			t.Errorf("cut to %d: %v", size, err)
		}
		if got, want := told(t, second(b.verify(cut.text(), b.checkpoint(30)))), fmt.Sprintf("rewound %d-29", size); got != want {
			t.Errorf("cut to %d: %s, want %s", size, got, want)
		}
	}
}

// Checkpoints that cannot be of this ledger.
func TestKeptCheckpoints(t *testing.T) {
	b := newBook(t).append(9).rotate().append(5)
	stranger := newBook(t)
	stranger.signer, stranger.keys[0].Verifier = newKey(t, origin, 77)
	stranger.append(5)
	elsewhere := b.checkpoint(5)
	elsewhere.Origin = "elsewhere.example"
	late := must1[[]byte](t)(SignCheckpoint(b.head, signerOf(t, first(newKey(t, origin, 1)))))
	for name, c := range map[string]struct {
		kept Checkpoint
		want string
	}{
		"another ledger's":                   {elsewhere, "other origin"},
		"another key's":                      {stranger.checkpoint(5), "other key"},
		"the old key's after it handed over": {must1[Checkpoint](t)(ParseCheckpoint(late)), "other key"},
		"the handover":                       {must1[Checkpoint](t)(ParseCheckpoint(b.keys[1].Handover)), ""},
	} {
		if got := told(t, second(b.verify(b.text(), c.kept))); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

func first[A, B any](a A, _ B) A { return a }

// An export by another key is refused, even one that states the right key too.
func TestExportByAnotherKey(t *testing.T) {
	b, stranger := newBook(t).append(5), newBook(t)
	stranger.signer, stranger.keys[0].Verifier = newKey(t, origin, 77)
	stranger = stranger.at(0)
	stranger.signer, stranger.keys[0].Verifier = newKey(t, origin, 77)
	stranger.signed = nil
	stranger.sign()
	stranger.append(5)
	if got := told(t, second(b.verify(stranger.text()))); got != "other key" {
		t.Errorf("another key: %q", got)
	}
	s := takeApart(t, stranger.text())
	s.header = strings.Replace(s.header, stranger.keys[0].Verifier, b.keys[0].Verifier, 1)
	if got := told(t, second(b.verify([]byte(s.String())))); got != "forged" {
		t.Errorf("another key under the name of the right one: %q", got)
	}
	// A made-up handover: the right key, then one that it never named.
	s = takeApart(t, stranger.text())
	s.header = strings.Replace(s.header, "key 0 ", "key 0 "+b.keys[0].Verifier+"\nkey 3 ", 1)
	both := must1[[]byte](t)(SignCheckpoint(stranger.at3(), signerOf(t, stranger.signer)))
	s.records[2].handover = "checkpoint 3\n" + string(both) + "\n"
	if got := told(t, second(b.verify([]byte(s.String())))); got != "handover 3-3" {
		t.Errorf("a handover that the right key did not sign: %q", got)
	}
}

// What both keys sign has to be a checkpoint of this ledger.
func TestSignedForAnotherOrigin(t *testing.T) {
	b := newBook(t).append(5).rotate()
	old, next := signerOf(t, first(newKey(t, origin, 1))), signerOf(t, b.signer)
	text := fmt.Sprintf("elsewhere\n6\n%s\n", b.head.Root)
	b.keys[1].Handover = must1[[]byte](t)(note.Sign(&note.Note{Text: text}, old, next))
	if got := told(t, second(b.verify(b.text()))); got != "handover 6-6" {
		t.Errorf("the handover: %q", got)
	}
	if b.keys.Check() == nil {
		t.Error("a handover of another ledger passes")
	}
	b = newBook(t).append(6)
	text = fmt.Sprintf("elsewhere\n6\n%s\n", b.head.Root)
	signed := must1[[]byte](t)(note.Sign(&note.Note{Text: text}, signerOf(t, b.signer)))
	s := takeApart(t, b.text())
	s.end = "checkpoint 6\n" + string(signed)
	if got := told(t, second(b.verify([]byte(s.String())))); got != "malformed" {
		t.Errorf("the last: %q", got)
	}
}

func (b *book) at3() Head {
	h, _ := NewHead(3, must1[[]tlog.Hash](b.t)(b.ReadHashes(peakIndexes(3))))
	return h
}

// A key that both sign for, but that no entry names, has not taken over: a signature
// can be added to any note.
func TestHandoverWithoutEntry(t *testing.T) {
	b := newBook(t).append(5)
	next, verifier := newKey(t, origin, 2)
	both := must1[[]byte](t)(SignCheckpoint(b.head, signerOf(t, b.signer), signerOf(t, next)))
	b.keys = append(b.keys, Key{Verifier: verifier, From: 5, Handover: both})
	b.signer = next
	b.append(3)
	if got := told(t, second(b.verify(b.text()))); got != "handover 4-4" {
		t.Errorf("%q", got)
	}
}
