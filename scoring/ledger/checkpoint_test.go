package ledger

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
)

// The example of c2sp.org/signed-note, "Verifier keys".
const (
	exampleKey  = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"
	exampleNote = "This is an example message.\n\n— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n"
)

func TestExampleOfSignedNote(t *testing.T) {
	verifiers := must1[[]note.Verifier](t)(ReadKeys(exampleKey))
	if got := keyID(verifiers[0]); got != "example.com/foo+530d903a" {
		t.Errorf("key ID %s", got)
	}
	if n, err := note.Open([]byte(exampleNote), note.VerifierList(verifiers...)); err != nil || n.Text != "This is an example message.\n" {
		t.Errorf("%+v, %v", n, err)
	}
	if !exactly([]byte(exampleNote), verifiers[0]) {
		t.Error("the example is not taken for exactly signed")
	}
}

// The example of c2sp.org/tlog-checkpoint. Its key is not printed there, so only the
// form is checked.
func TestExampleOfCheckpoint(t *testing.T) {
	c, err := ParseCheckpoint([]byte("example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n\n" +
		"— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n"))
	if err != nil || c.Origin != "example.com/behind-the-sofa" || c.Size != 20852163 || c.Root.String() != "CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=" {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestCheckpointGolden(t *testing.T) {
	b := newBook(t).append(3)
	golden(t, "checkpoint.golden", b.newest())
	c, err := OpenCheckpoint(b.newest(), verifiersOf(t, b.keys.Current()))
	if err != nil || c.Origin != origin || c.Size != 3 || c.Root != b.head.Root {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestOpenCheckpointRefuses(t *testing.T) {
	b := newBook(t).append(5)
	key, other := b.keys.Current(), second2(newKey(t, origin, 99))
	elsewhere, elsewhereKey := newKey(t, "elsewhere.example/ledger", 7)
	sound := string(b.newest())
	lines := strings.SplitAfter(sound, "\n")
	foreign := string(must1[[]byte](t)(note.Sign(&note.Note{Text: strings.Join(lines[:3], "")}, signerOf(t, elsewhere))))
	for name, c := range map[string]struct {
		text, key string
		want      Fault
	}{
		"sound":              {sound, key, ""},
		"another key":        {sound, other, OtherKey},
		"another size":       {strings.Replace(sound, "\n5\n", "\n4\n", 1), key, Forged},
		"another root":       {lines[0] + lines[1] + emptyRoot().String() + "\n" + lines[3] + lines[4], key, Forged},
		"another signature":  {strings.Replace(sound, "— ", "— ", 1)[:len(sound)-8] + "AAAAAA=\n", key, Forged},
		"another's name":     {foreign, elsewhereKey, OtherKey},
		"size with a zero":   {strings.Replace(sound, "\n5\n", "\n05\n", 1), key, Malformed},
		"size below zero":    {strings.Replace(sound, "\n5\n", "\n-5\n", 1), key, Malformed},
		"size past all":      {strings.Replace(sound, "\n5\n", "\n9000000000000000000\n", 1), key, Malformed},
		"root that is none":  {strings.Replace(sound, lines[2], "abc=\n", 1), key, Malformed},
		"no root":            {strings.Replace(sound, lines[2], "", 1), key, Malformed},
		"no origin":          {strings.Replace(sound, lines[0], "\n", 1), key, Malformed},
		"no signature":       {strings.Join(lines[:4], ""), key, Malformed},
		"cut short":          {sound[:len(sound)-1], key, Malformed},
		"nothing":            {"", key, Malformed},
		"not a note":         {"hello\n", key, Malformed},
		"a blank line in it": {lines[0] + "\n" + lines[1] + lines[2] + lines[3] + lines[4], key, Malformed},
	} {
		_, err := OpenCheckpoint([]byte(c.text), verifiersOf(t, c.key))
		if got := told(t, asUnsound(err)); got != string(c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

func second2[A, B any](_ A, b B) B { return b }

// A witness may sign too; its signature does not stand in the way.
func TestCheckpointWithWitness(t *testing.T) {
	b := newBook(t).append(2)
	witness, _ := newKey(t, "witness.example", 9)
	n := must1[*note.Note](t)(note.Open(b.newest(), verifiersOf(t, b.keys.Current())))
	text := must1[[]byte](t)(note.Sign(n, signerOf(t, witness)))
	if c, err := OpenCheckpoint(text, verifiersOf(t, b.keys.Current())); err != nil || c.Size != 2 {
		t.Errorf("%+v, %v", c, err)
	}
	if exactly(text, must1[[]note.Verifier](t)(ReadKeys(b.keys.Current()))...) {
		t.Error("a note with another signature is taken for exactly signed")
	}
}

func TestSignCheckpointRefuses(t *testing.T) {
	b := newBook(t)
	elsewhere, _ := newKey(t, "elsewhere.example", 7)
	for name, signers := range map[string][]note.Signer{
		"nobody":      nil,
		"two ledgers": {signerOf(t, b.signer), signerOf(t, elsewhere)},
	} {
		if text, err := SignCheckpoint(b.head, signers...); err == nil {
			t.Errorf("%s: %q", name, text)
		}
	}
}

// No byte of a note can be changed so that it is still taken for exactly signed,
// not even the spare bits at the end of its base64.
func TestExactly(t *testing.T) {
	b := newBook(t).append(3).rotate()
	handover := b.keys[1].Handover
	verifiers := must1[[]note.Verifier](t)(ReadKeys(b.keys[0].Verifier, b.keys[1].Verifier))
	if !exactly(handover, verifiers...) {
		t.Fatal("a handover is not taken for exactly signed")
	}
	for i := range handover {
		for _, c := range []byte{handover[i] ^ 1, handover[i] ^ 2, handover[i] ^ 16, '\n', '\r', ' ', 'A', '='} {
			changed := bytes.Clone(handover)
			if changed[i] = c; c != handover[i] && exactly(changed, verifiers...) {
				t.Errorf("byte %d from %q to %q", i, handover[i], c)
			}
		}
	}
	slices.Reverse(verifiers)
	if exactly(handover, verifiers...) || exactly(handover, verifiers[0]) {
		t.Error("signatures in another order, or one more, are taken for exact")
	}
}
