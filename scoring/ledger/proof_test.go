package ledger

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// Proofs of the published tree (see vectorLeaves), as proof/verify_test.go of
// transparency-dev/merkle prints them, there with leaves counted from 1.
var (
	publishedInclusion = []struct {
		leaf, size int64
		proof      []string
	}{
		{0, 1, nil},
		{0, 8, []string{"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7", "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e", "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"}},
		{5, 8, []string{"bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b", "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0", "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"}},
		{2, 3, []string{"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125"}},
		{1, 5, []string{"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d", "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e", "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b"}},
	}
	publishedConsistency = []struct {
		old, size int64
		proof     []string
	}{
		{1, 1, nil},
		{1, 8, []string{"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7", "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e", "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"}},
		{6, 8, []string{"0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a", "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0", "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"}},
		{2, 5, []string{"5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e", "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b"}},
		{6, 7, []string{"0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a", "b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f", "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"}},
	}
)

func hashesHex(t *testing.T, texts []string) []tlog.Hash {
	var out []tlog.Hash
	for _, s := range texts {
		out = append(out, hashHex(t, s))
	}
	return out
}

// From the hashes that Append has stored, the published proofs come out, at sizes
// that the tree had long ago too.
func TestPublishedProofs(t *testing.T) {
	heads, stored := vectorHeads(t)
	signer, _ := newKey(t, origin, 1)
	b := &book{t: t, hashes: stored}
	for _, c := range publishedInclusion {
		at := must1[[]byte](t)(SignCheckpoint(heads[c.size], signerOf(t, signer)))
		p, err := ProveInclusion(at, c.leaf, nil, b)
		if diff := cmp.Diff(hashesHex(t, c.proof), []tlog.Hash(p.Proof), cmpopts.EquateEmpty()); err != nil || diff != "" {
			t.Errorf("leaf %d of %d: %v\n%s", c.leaf, c.size, err, diff)
		}
	}
	for _, c := range publishedConsistency {
		at := must1[[]byte](t)(SignCheckpoint(heads[c.size], signerOf(t, signer)))
		g, err := ProveGrowth(c.old, at, b)
		if diff := cmp.Diff(hashesHex(t, c.proof), []tlog.Hash(g.Proof), cmpopts.EquateEmpty()); err != nil || diff != "" {
			t.Errorf("from %d to %d: %v\n%s", c.old, c.size, err, diff)
		}
	}
}

func TestProofGoldens(t *testing.T) {
	b := newBook(t).append(3)
	p := must1[Inclusion](t)(ProveInclusion(b.newest(), 1, b.rows[1], b))
	golden(t, "inclusion.golden", must1[[]byte](t)(p.MarshalText()))
	g := must1[Growth](t)(ProveGrowth(2, b.newest(), b))
	golden(t, "growth.golden", must1[[]byte](t)(g.MarshalText()))
}

// Every proof that can be made of a ledger holds after it has been written and read.
func TestEveryProofHolds(t *testing.T) {
	b := newBook(t).append(6).rotate().append(10)
	keys := verifiersOf(t, b.keys[0].Verifier, b.keys[1].Verifier)
	for size, at := range b.signed {
		for i := range size {
			p := must1[Inclusion](t)(ProveInclusion(at, int64(i), b.rows[i], b))
			back := must1[Inclusion](t)(ParseInclusion(must1[[]byte](t)(p.MarshalText())))
			if diff := cmp.Diff(p, back, cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if c, err := back.Verify(keys); err != nil || c.Size != int64(size) {
				t.Errorf("entry %d of %d: %v", i, size, err)
			}
		}
		for old := range size + 1 {
			g := must1[Growth](t)(ProveGrowth(int64(old), at, b))
			back := must1[Growth](t)(ParseGrowth(must1[[]byte](t)(g.MarshalText())))
			if diff := cmp.Diff(g, back, cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if c, err := back.Verify(b.checkpoint(old), keys); err != nil || c.Size != int64(size) {
				t.Errorf("from %d to %d: %v", old, size, err)
			}
		}
	}
}

func TestProveRefuses(t *testing.T) {
	b := newBook(t).append(3)
	for name, err := range map[string]error{
		"beyond the end":    second(ProveInclusion(b.newest(), 3, nil, b)),
		"before the start":  second(ProveInclusion(b.newest(), -1, nil, b)),
		"no checkpoint":     second(ProveInclusion(nil, 0, nil, b)),
		"missing hashes":    second(ProveInclusion(b.newest(), 0, nil, newBook(t))),
		"from a later size": second(ProveGrowth(4, b.newest(), b)),
		"from less than 0":  second(ProveGrowth(-1, b.newest(), b)),
		"from no hashes":    second(ProveGrowth(1, b.newest(), newBook(t))),
	} {
		if err == nil {
			t.Errorf("%s: proved", name)
		}
	}
}

func TestProofsRefused(t *testing.T) {
	b, other := newBook(t).append(7), newBook(t).append(2).rotate().append(4)
	keys := verifiersOf(t, b.keys.Current())
	inclusion := func(change func(*Inclusion)) error {
		p := must1[Inclusion](t)(ProveInclusion(b.newest(), 2, b.rows[2], b))
		change(&p)
		return second(p.Verify(keys))
	}
	growth := func(older Checkpoint, change func(*Growth)) error {
		g := must1[Growth](t)(ProveGrowth(3, b.newest(), b))
		change(&g)
		return second(g.Verify(older, keys))
	}
	foreign := b.checkpoint(3)
	foreign.Origin = "elsewhere.example"
	for name, c := range map[string]struct {
		err  error
		want string
	}{
		"sound":               {inclusion(func(p *Inclusion) {}), ""},
		"another entry":       {inclusion(func(p *Inclusion) { p.Entry = b.rows[3] }), "altered 2-2"},
		"another index":       {inclusion(func(p *Inclusion) { p.Index = 3 }), "altered 3-3"},
		"beyond the end":      {inclusion(func(p *Inclusion) { p.Index = 7 }), "altered 7-7"},
		"a hash less":         {inclusion(func(p *Inclusion) { p.Proof = p.Proof[1:] }), "altered 2-2"},
		"a hash more":         {inclusion(func(p *Inclusion) { p.Proof = append(p.Proof, tlog.Hash{}) }), "altered 2-2"},
		"no entry":            {inclusion(func(p *Inclusion) { p.Entry = []byte("hello\n") }), "malformed 2-2"},
		"another key":         {inclusion(func(p *Inclusion) { p.Checkpoint = other.newest() }), "other key"},
		"an older checkpoint": {inclusion(func(p *Inclusion) { p.Checkpoint = b.signed[6] }), "altered 2-2"},
		"growth":              {growth(b.checkpoint(3), func(g *Growth) {}), ""},
		"growth forked":       {growth(other.checkpoint(3), func(g *Growth) {}), "forked 0-2"},
		"growth backwards":    {growth(b.checkpoint(7), func(g *Growth) { g.Checkpoint = b.signed[6] }), "rewound 6-6"},
		"growth from another": {growth(b.checkpoint(2), func(g *Growth) {}), "malformed"},
		"growth elsewhere":    {growth(foreign, func(g *Growth) {}), "other origin"},
		"growth, a hash less": {growth(b.checkpoint(3), func(g *Growth) { g.Proof = g.Proof[1:] }), "forked 0-2"},
		"growth of another":   {growth(b.checkpoint(3), func(g *Growth) { g.Checkpoint = other.newest() }), "other key"},
		"growth from nothing": {growth(Checkpoint{Origin: origin}, func(g *Growth) { g.Old, g.Proof = 0, nil }), "forked 0--1"},
	} {
		if got := told(t, asUnsound(c.err)); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// No byte of a proof can be changed unnoticed, but for what the two specifications
// leave to the reader: spare bits of a signature's base64.
func TestEveryByteOfAProofCounts(t *testing.T) {
	b := newBook(t).append(7)
	keys := verifiersOf(t, b.keys.Current())
	inclusion := must1[[]byte](t)(must1[Inclusion](t)(ProveInclusion(b.newest(), 2, b.rows[2], b)).MarshalText())
	growth := must1[[]byte](t)(must1[Growth](t)(ProveGrowth(3, b.newest(), b)).MarshalText())
	everyByte(t, inclusion, func(text []byte) error {
		p, err := ParseInclusion(text)
		if err != nil {
			return err
		}
		return second(p.Verify(keys))
	})
	everyByte(t, growth, func(text []byte) error {
		g, err := ParseGrowth(text)
		if err != nil {
			return err
		}
		return second(g.Verify(b.checkpoint(3), keys))
	})
}

// The base64 of an entry has spare bits where its length is no multiple of three.
func TestOneWayToWriteAProof(t *testing.T) {
	b := newBook(t).append(7)
	text := string(must1[[]byte](t)(must1[Inclusion](t)(ProveInclusion(b.newest(), 0, b.rows[0][:len(b.rows[0])/3*3-2], b)).MarshalText()))
	at := strings.Index(text, "==\n")
	if at < 0 {
		t.Fatal("no spare bits in this one")
	}
	if _, err := ParseInclusion([]byte(text)); err != nil {
		t.Fatal(err)
	}
	for _, change := range []string{text[:at-1] + string(text[at-1]+1) + text[at:], strings.Replace(text, "==\n", "=\n", 1), strings.Replace(text, "extra ", "extra \r", 1)} {
		if _, err := ParseInclusion([]byte(change)); err == nil {
			t.Errorf("read:\n%s", change)
		}
	}
}

func everyByte(t *testing.T, text []byte, verify func([]byte) error) {
	t.Helper()
	if err := verify(text); err != nil {
		t.Fatal(err)
	}
	for i := range text[:len(text)-3] { // the last are the spare bits, "=" and the end
		for _, flip := range []byte{1, 2, 32, 128} {
			changed := bytes.Clone(text)
			if changed[i] ^= flip; verify(changed) == nil {
				t.Errorf("byte %d from %q to %q goes unnoticed in\n%s", i, text[i], changed[i], text)
			}
		}
	}
}

// What is read as a proof is written back byte for byte, so there is one way to write it.
func FuzzParseProofs(f *testing.F) {
	b := newBook(f).append(5)
	for i := range 5 {
		f.Add(must1[[]byte](f)(must1[Inclusion](f)(ProveInclusion(b.newest(), int64(i), b.rows[i], b)).MarshalText()))
		f.Add(must1[[]byte](f)(must1[Growth](f)(ProveGrowth(int64(i), b.newest(), b)).MarshalText()))
	}
	keys, older := verifiersOf(f, b.keys.Current()), b.checkpoint(3)
	f.Fuzz(func(t *testing.T, text []byte) {
		if p, err := ParseInclusion(text); err == nil {
			if back := must1[[]byte](t)(p.MarshalText()); !bytes.Equal(back, text) {
				t.Errorf("read %q, wrote %q", text, back)
			}
			p.Verify(keys)
		}
		if g, err := ParseGrowth(text); err == nil {
			if back := must1[[]byte](t)(g.MarshalText()); !bytes.Equal(back, text) {
				t.Errorf("read %q, wrote %q", text, back)
			}
			g.Verify(older, keys)
		}
	})
}

// Two ledgers that share a beginning are told apart from the first difference on.
func TestForksAreFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		shared, ours, theirs := rapid.IntRange(0, 9).Draw(rt, "shared"), rapid.IntRange(1, 9).Draw(rt, "ours"), rapid.IntRange(1, 9).Draw(rt, "theirs")
		b := newBook(t).append(shared)
		fork := b.at(shared)
		b.append(ours)
		fork.rows = append(fork.rows, nil) // so that its entries get other numbers
		fork.append(theirs)
		keys := verifiersOf(t, b.keys.Current())
		for old := range shared + theirs + 1 {
			older := fork.checkpoint(min(old, len(fork.signed)-1))
			if older.Size > b.head.Size {
				break
			}
			g := must1[Growth](t)(ProveGrowth(older.Size, b.newest(), b))
			_, err := g.Verify(older, keys)
			if got, want := fmt.Sprint(err), older.Size > int64(shared); (err != nil) != want {
				rt.Fatalf("shared %d, from %d: %s", shared, older.Size, got)
			}
		}
	})
}

// A size past all sense is refused, and not worked on until the end of time.
func TestHugeSizesAreRefused(t *testing.T) {
	signer, key := newKey(t, origin, 1)
	at := must1[[]byte](t)(SignCheckpoint(Head{Size: 1<<63 - 1}, signerOf(t, signer)))
	p := Inclusion{Entry: []byte("x"), Index: 1 << 61, Checkpoint: at}
	if _, err := p.Verify(verifiersOf(t, key)); err == nil || !strings.Contains(err.Error(), "size") {
		t.Error(err)
	}
}
