package ledger

import (
	"bytes"
	"errors"
	"io"
	"iter"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/note"
	"pgregory.net/rapid"
)

func TestExportGolden(t *testing.T) {
	b := newBook(t).append(1).rotate().append(1)
	golden(t, "export.golden", b.text())
	report, err := b.verify(b.text(), b.checkpoint(1))
	if err != nil {
		t.Fatal(err)
	}
	want := Report{Origin: origin, Size: 3, Entries: 3, First: entryAt(0).At, Last: entryAt(2).At, Keys: b.keys, Checkpoint: b.newest()}
	if diff := cmp.Diff(want, report); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// Any ledger's export is sound, however it is cut into blocks, by any of its keys,
// and continues every checkpoint that was ever signed.
func TestEveryExportIsSound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := newBook(t)
		for _, n := range rapid.SliceOfN(rapid.IntRange(0, 40), 1, 4).Draw(rt, "entries between rotations") {
			b.append(n)
			if rapid.Bool().Draw(rt, "rotate") {
				b.rotate()
			}
		}
		var kept []Checkpoint
		for _, size := range rapid.SliceOf(rapid.IntRange(0, len(b.rows))).Draw(rt, "kept") {
			kept = append(kept, b.checkpoint(size))
		}
		key := rapid.SampledFrom(b.keys).Draw(rt, "key")
		block := rapid.SampledFrom([]int{1, 50, 300, 2000, blockSize}).Draw(rt, "block")
		report, err := verifyExport(bytes.NewReader(b.text()), block, []string{exampleKey, key.Verifier}, kept, nil)
		if err != nil || report.Size != b.head.Size || report.Entries != b.head.Size {
			rt.Fatalf("%v: %+v", err, report)
		}
		if err := report.Keys.Check(); err != nil {
			rt.Fatalf("the keys of the report: %v", err)
		}
		if _, err := Audit(b.export(), nil); err != nil {
			rt.Fatalf("audit: %v", err)
		}
	})
}

// Whoever else has signed the newest checkpoint, the key before it in a handover or a
// witness, the export ends with the signature of the last key alone.
func TestExportOfWhatOthersSigned(t *testing.T) {
	b := newBook(t).append(3).rotate()
	want := b.text()
	witness, _ := newKey(t, "witness.example", 9)
	n := must1[*note.Note](t)(note.Open(b.newest(), verifiersOf(t, b.keys.Current())))
	for name, text := range map[string][]byte{"handover": b.keys[1].Handover, "witness": must1[[]byte](t)(note.Sign(n, signerOf(t, witness)))} {
		b.signed[len(b.signed)-1] = text
		if diff := cmp.Diff(string(want), string(b.text())); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// Readers and writers that do their work in odd portions, or fail.
func TestExportThroughOddStreams(t *testing.T) {
	b := newBook(t).append(600) // more than a batch of hashes
	text, keys := b.text(), []string{b.keys.Current()}
	for name, r := range map[string]io.Reader{
		"one byte":       iotest.OneByteReader(bytes.NewReader(text)),
		"half":           iotest.HalfReader(bytes.NewReader(text)),
		"error and data": iotest.DataErrReader(bytes.NewReader(text)),
	} {
		if _, err := VerifyExport(r, keys, nil, nil); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	failed := errors.New("the disk is gone")
	for _, n := range []int{0, 10, 500, len(text) - 1} {
		_, err := VerifyExport(io.MultiReader(bytes.NewReader(text[:n]), iotest.ErrReader(failed)), keys, nil, nil)
		var u *Unsound
		if !errors.Is(err, failed) || errors.As(err, &u) {
			t.Errorf("failing after %d bytes: %v", n, err)
		}
	}
	if err := WriteExport(failingWriter{failed}, b.export()); !errors.Is(err, failed) {
		t.Errorf("failing to write: %v", err)
	}
}

type failingWriter struct{ err error }

func (w failingWriter) Write([]byte) (int, error) { return 0, w.err }

func TestProgress(t *testing.T) {
	b := newBook(t).append(50)
	var done []int64
	_, err := verifyExport(bytes.NewReader(b.text()), 1000, []string{b.keys.Current()}, nil, func(n, total int64) {
		if total != 50 {
			t.Errorf("total %d", total)
		}
		done = append(done, n)
	})
	if err != nil || len(done) < 5 || done[len(done)-1] != 50 {
		t.Errorf("%v: progress %v", err, done)
	}
}

// What cannot be written is an error of writing; what is wrong is left to be found.
func TestWriteExportRefuses(t *testing.T) {
	b, failed := newBook(t).append(3), errors.New("the database is gone")
	rows := func(list ...Row) func(*Export) {
		return func(e *Export) {
			e.Rows = func(yield func(Row, error) bool) {
				for _, r := range list {
					if !yield(r, nil) {
						return
					}
				}
			}
		}
	}
	for name, change := range map[string]func(*Export){
		"no checkpoint":    func(e *Export) { e.Checkpoint = nil },
		"no hashes":        func(e *Export) { e.Hashes = newBook(t) },
		"reading fails":    func(e *Export) { e.Rows = iter.Seq2[Row, error](func(y func(Row, error) bool) { y(Row{}, failed) }) },
		"index below 0":    rows(Row{Index: -1}),
		"index past sense": rows(Row{Index: maxSize + 1}),
	} {
		e := b.export()
		change(&e)
		if err := WriteExport(io.Discard, e); err == nil {
			t.Errorf("%s: written", name)
		}
		// A checkpoint that is none is a defect of the record; the rest says nothing about it.
		if _, err := Audit(e, nil); err == nil || errors.As(err, new(*Unsound)) != (e.Checkpoint == nil) {
			t.Errorf("%s: audited: %v", name, err)
		}
	}
	e := b.export()
	if e.Keys = nil; second(Audit(e, nil)) == nil {
		t.Error("audited without keys")
	}
}

func TestVerifyExportWantsAKey(t *testing.T) {
	b := newBook(t).append(1)
	if _, err := VerifyExport(bytes.NewReader(b.text()), []string{"abc"}, nil, nil); err == nil || errors.As(err, new(*Unsound)) {
		t.Errorf("what is no key gives a verdict: %v", err)
	}
	if _, err := VerifyExport(bytes.NewReader(b.text()), nil, nil, nil); told(t, err) != "other key" {
		t.Errorf("no key gives: %v", err)
	}
}

// Only the first few of many defects are listed.
func TestManyDefects(t *testing.T) {
	b := newBook(t).append(700)
	text := strings.ReplaceAll(string(b.text()), "by: person-3", "by: person-4") // every seventh
	_, err := b.verify([]byte(text))
	var u *Unsound
	if !errors.As(err, &u) || len(u.Defects) != mostDefects || u.More != 100-mostDefects {
		t.Fatalf("%v", err)
	}
	if !strings.HasSuffix(err.Error(), "There are 80 more like it.") {
		t.Error(err)
	}
}
