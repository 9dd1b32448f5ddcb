package ledger

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares what a format writes with the file that holds it to its word, and
// that with the example in the package comment.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s is a stored format, so it may not change (-want +got):\n%s", name, diff)
	}
	var shown strings.Builder
	for line := range strings.Lines(string(want)) {
		shown.WriteString(strings.TrimSuffix("//\t"+line, "\t\n"))
		if line == "\n" {
			shown.WriteString("\n")
		}
	}
	comment, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(comment), shown.String()) {
		t.Errorf("the package comment does not show %s as it is:\n%s", name, &shown)
	}
}

const origin = "workshop.example/ledger"

// must1 returns the value; an error in a fixture is an error of the test.
func must1[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// newKey makes the same key for the same seed.
func newKey(t testing.TB, name string, seed byte) (signer, verifier string) {
	t.Helper()
	signer, verifier, err := NewKey(bytes.NewReader(bytes.Repeat([]byte{seed}, 32)), name)
	if err != nil {
		t.Fatal(err)
	}
	return signer, verifier
}

func signerOf(t testing.TB, key string) note.Signer {
	return must1[note.Signer](t)(note.NewSigner(key))
}

func verifiersOf(t testing.TB, keys ...string) note.Verifiers {
	return note.VerifierList(must1[[]note.Verifier](t)(ReadKeys(keys...))...)
}

// book is a ledger in memory, kept as a database would keep it.
type book struct {
	t      testing.TB
	head   Head
	rows   [][]byte
	hashes []tlog.Hash // by tlog.StoredHashIndex
	keys   Keys
	signer string
	seed   byte
	signed [][]byte // the checkpoint of each size, when it was the newest
}

func newBook(t testing.TB) *book {
	b := &book{t: t, seed: 1, head: must1[Head](t)(NewHead(0, nil))}
	var verifier string
	b.signer, verifier = newKey(t, origin, 1)
	b.keys = Keys{{Verifier: verifier}}
	b.sign()
	return b
}

func (b *book) sign() {
	b.signed = append(b.signed, must1[[]byte](b.t)(SignCheckpoint(b.head, signerOf(b.t, b.signer))))
}

var begun = time.Date(2026, 11, 25, 13, 0, 0, 123456000, time.UTC)

// entryAt is the entry that a book has at an index, but where a key was rotated.
func entryAt(n int) Entry {
	kinds := []Kind{AccountAdded, SittingHandedIn, RebuildFinished, SignatureGiven}
	e := Entry{Kind: kinds[n%len(kinds)], ID: fmt.Sprintf("act-%d", n), At: begun.Add(time.Duration(n) * time.Minute)}
	e.Attributes = map[string]string{"by": fmt.Sprintf("person-%d", n%7), "digest": KeyDigest(e.ID)}
	return e
}

// append appends so many entries, one at a time.
func (b *book) append(n int) *book {
	for range n {
		text := must1[[]byte](b.t)(entryAt(len(b.rows)).MarshalText())
		head, stored, err := Append(b.head, text)
		b.take(head, text, stored, err)
		b.sign()
	}
	return b
}

func (b *book) take(head Head, text []byte, stored []tlog.Hash, err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
	b.head, b.rows, b.hashes = head, append(b.rows, text), append(b.hashes, stored...)
}

// rotate hands over to a new key.
func (b *book) rotate() *book {
	b.seed++
	next, _ := newKey(b.t, origin, b.seed)
	r, err := Rotate(b.head, Entry{ID: fmt.Sprint(b.seed), At: begun.Add(time.Duration(len(b.rows)) * time.Minute)}, b.signer, next)
	b.take(r.Head, r.Entry, r.Stored, err)
	b.signer, b.keys = next, append(b.keys, r.Key)
	b.sign()
	return b
}

// at returns the book as it was at an earlier size.
func (b *book) at(size int) *book {
	c := *b
	c.rows, c.signed = b.rows[:size:size], b.signed[:size+1:size+1]
	stored := tlog.StoredHashCount(int64(size))
	c.hashes = b.hashes[:stored:stored] // a fork must not write over the other's
	c.head = must1[Head](b.t)(NewHead(int64(size), must1[[]tlog.Hash](b.t)(b.ReadHashes(peakIndexes(int64(size))))))
	c.keys = slices.DeleteFunc(slices.Clone(b.keys), func(k Key) bool { return k.From > int64(size) })
	c.signer, _ = newKey(b.t, origin, byte(len(c.keys)))
	c.seed = byte(len(c.keys))
	return &c
}

// ReadHashes reads stored hashes.
func (b *book) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	var out []tlog.Hash
	for _, i := range indexes {
		if i >= int64(len(b.hashes)) {
			return nil, fmt.Errorf("no hash %d", i)
		}
		out = append(out, b.hashes[i])
	}
	return out, nil
}

func (b *book) iterate() iter.Seq2[Row, error] {
	return func(yield func(Row, error) bool) {
		for i, text := range b.rows {
			if !yield(Row{int64(i), text}, nil) {
				return
			}
		}
	}
}

func (b *book) newest() []byte { return b.signed[len(b.signed)-1] }

func (b *book) export() Export {
	return Export{Keys: b.keys, Checkpoint: b.newest(), Rows: b.iterate(), Hashes: b}
}

// text is the export as it is written.
func (b *book) text() []byte {
	var out bytes.Buffer
	if err := WriteExport(&out, b.export()); err != nil {
		b.t.Fatal(err)
	}
	return out.Bytes()
}

func (b *book) checkpoint(size int) Checkpoint {
	return must1[Checkpoint](b.t)(ParseCheckpoint(b.signed[size]))
}

// verify checks an export by the last key of the book, in blocks of a size that
// makes the cases differ.
func (b *book) verify(text []byte, kept ...Checkpoint) (Report, error) {
	block := []int{100, 1000, blockSize}[rand.IntN(3)]
	return verifyExport(bytes.NewReader(text), block, []string{b.keys.Current()}, kept, nil)
}

// told returns the defects as "fault first-through", joined by commas; "" is sound.
func told(t testing.TB, err error) string {
	t.Helper()
	if err == nil {
		return ""
	}
	var u *Unsound
	if !errors.As(err, &u) {
		t.Fatalf("no verdict: %v", err)
	}
	var all []string
	for _, d := range u.Defects {
		s := string(d.Fault)
		if d.Entry >= 0 {
			s += fmt.Sprintf(" %d-%d", d.Entry, d.Through)
		}
		all = append(all, s)
	}
	return strings.Join(all, ", ")
}
