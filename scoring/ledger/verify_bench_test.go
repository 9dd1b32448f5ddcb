package ledger

import (
	"bytes"
	"runtime"
	"sync"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/tlog"
)

// What it costs to check a million entries against what it costs to hash them, the
// leaves by tlog.RecordHash and the n − 1 nodes by tlog.NodeHash, in the same run on
// the same cores: "ratio" is the speed of checking over that of hashing on all
// cores, "ratio-to-one-core" over that of hashing on one.
func BenchmarkVerifyExport(b *testing.B) {
	n := 1_000_000
	if testing.Short() {
		n = 50_000
	}
	book := manyEntries(b, n)
	text := book.text()
	var checking, hashing, alone time.Duration
	for b.Loop() {
		begin := time.Now()
		if _, err := VerifyExport(bytes.NewReader(text), []string{book.keys.Current()}, nil, nil); err != nil {
			b.Fatal(err)
		}
		checking += time.Since(begin)
		begin = time.Now()
		hashAll(book.rows, runtime.GOMAXPROCS(0))
		hashing += time.Since(begin)
		begin = time.Now()
		hashAll(book.rows, 1)
		alone += time.Since(begin)
	}
	b.SetBytes(0)
	b.ReportMetric(float64(hashing)/float64(checking), "ratio")
	b.ReportMetric(float64(alone)/float64(checking), "ratio-to-one-core")
	b.ReportMetric(float64(checking.Nanoseconds())/float64(b.N*n), "ns/entry")
	b.ReportMetric(float64(len(text))/float64(n), "bytes/entry")
	b.ReportMetric(0, "ns/op") // three things are timed, so their sum says nothing
}

// manyEntries makes a book of n entries with one checkpoint, the last.
func manyEntries(b *testing.B, n int) *book {
	book := newBook(b)
	for i := range n {
		text, err := entryAt(i).MarshalText()
		if err != nil {
			b.Fatal(err)
		}
		book.rows = append(book.rows, text)
	}
	var err error
	if book.head, book.hashes, err = Append(book.head, book.rows...); err != nil {
		b.Fatal(err)
	}
	book.sign()
	return book
}

// hashAll hashes the entries and as many nodes, less one, on so many cores.
func hashAll(rows [][]byte, cores int) {
	var all sync.WaitGroup
	for core := range cores {
		part := rows[len(rows)*core/cores : len(rows)*(core+1)/cores]
		all.Go(func() {
			var h tlog.Hash
			for i, text := range part {
				leaf := tlog.RecordHash(text)
				if core > 0 || i > 0 {
					h = tlog.NodeHash(h, leaf)
				}
			}
		})
	}
	all.Wait()
}
