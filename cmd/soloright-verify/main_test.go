package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"soloright/scoring/ledger"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"soloright-verify": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   "testdata",
		Setup: func(env *testscript.Env) error { return writeLedger(env.WorkDir) },
		Cmds:  map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

// exits runs a command and wants just this exit code: exits CODE PROGRAM ARG…
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARG…")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := "0"
	if err != nil {
		code = err.Error()[len("exit status "):]
	}
	if code != args[0] {
		ts.Fatalf("exit code %s, want %s", code, args[0])
	}
}

// writeLedger writes what a ledger of 30 entries hands out, with its key handed over
// after 10 of them: all.export, its keys, the checkpoint of every size and proofs; and
// what a stranger's ledger of the same name hands out.
func writeLedger(dir string) error {
	l := &books{dir: dir}
	l.keep("first.key", l.begin(1))
	l.append(9)
	l.rotate(2)
	l.append(20)
	l.keep("last.key", []byte(l.keys.Current()+"\n"))
	l.export("all.export")
	l.prove()
	l.append(5)
	l.export("longer.export")
	stranger := &books{dir: filepath.Join(dir, "stranger")}
	stranger.must(os.Mkdir(stranger.dir, 0o700))
	stranger.keep("key", stranger.begin(9))
	stranger.append(30)
	stranger.export("export")
	return errors.Join(l.err, stranger.err)
}

// books is a ledger in memory that writes what it hands out. It stops at the first error.
type books struct {
	dir    string
	err    error
	head   ledger.Head
	rows   []ledger.Row
	hashes []tlog.Hash
	keys   ledger.Keys
	signer string
}

func (b *books) must(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *books) keep(name string, text []byte) {
	b.must(os.WriteFile(filepath.Join(b.dir, name), text, 0o600))
}

func (b *books) key(seed byte) (signer, verifier string) {
	signer, verifier, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{seed}, 32)), "workshop.example/ledger")
	b.must(err)
	return signer, verifier
}

func (b *books) begin(seed byte) []byte {
	signer, verifier := b.key(seed)
	b.signer, b.keys = signer, ledger.Keys{{Verifier: verifier}}
	return []byte(verifier + "\n")
}

func (b *books) entry() ledger.Entry {
	n := len(b.rows)
	return ledger.Entry{Kind: ledger.SignatureGiven, ID: fmt.Sprintf("signature-%d", n),
		At: time.Date(2026, 11, 1+n/2, 8, 0, 0, 0, time.UTC), Attributes: map[string]string{"meaning": "observed"}}
}

func (b *books) append(n int) {
	for range n {
		text, err := b.entry().MarshalText()
		b.must(err)
		head, stored, err := ledger.Append(b.head, text)
		b.must(err)
		b.take(head, text, stored)
	}
}

func (b *books) take(head ledger.Head, text []byte, stored []tlog.Hash) {
	b.rows = append(b.rows, ledger.Row{Index: b.head.Size, Entry: text})
	b.head, b.hashes = head, append(b.hashes, stored...)
	b.keep(fmt.Sprintf("%d.checkpoint", head.Size), b.checkpoint())
}

func (b *books) rotate(seed byte) {
	next, _ := b.key(seed)
	r, err := ledger.Rotate(b.head, b.entry(), b.signer, next)
	b.must(err)
	b.signer, b.keys = next, append(b.keys, r.Key)
	b.take(r.Head, r.Entry, r.Stored)
}

func (b *books) checkpoint() []byte {
	s, err := note.NewSigner(b.signer)
	b.must(err)
	text, err := ledger.SignCheckpoint(b.head, s)
	b.must(err)
	return text
}

func (b *books) ReadHashes(indexes []int64) (out []tlog.Hash, err error) {
	for _, i := range indexes {
		out = append(out, b.hashes[i])
	}
	return out, nil
}

func (b *books) export(name string) {
	var text bytes.Buffer
	b.must(ledger.WriteExport(&text, ledger.Export{Keys: b.keys, Checkpoint: b.checkpoint(), Hashes: b, Rows: func(yield func(ledger.Row, error) bool) {
		for _, r := range b.rows {
			if !yield(r, nil) {
				return
			}
		}
	}}))
	b.keep(name, text.Bytes())
}

// prove writes the proof of entry 17 and that of growth from 20.
func (b *books) prove() {
	p, err := ledger.ProveInclusion(b.checkpoint(), 17, b.rows[17].Entry, b)
	b.must(err)
	text, err := p.MarshalText()
	b.must(err)
	b.keep("17.tlog-proof", text)
	g, err := ledger.ProveGrowth(20, b.checkpoint(), b)
	b.must(err)
	text, err = g.MarshalText()
	b.must(err)
	b.keep("20.growth", text)
}
