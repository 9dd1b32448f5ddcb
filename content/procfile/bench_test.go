package procfile_test

import (
	"testing"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/procfile"
)

func largest(b *testing.B) []byte {
	b.Helper()
	all, err := library.Procedures()
	if err != nil {
		b.Fatal(err)
	}
	var text []byte
	for _, p := range all {
		if source, err := library.Source(p.ID); err == nil && len(source) > len(text) {
			text = source
		}
	}
	return text
}

// Reading and checking the largest procedure of the library.
func BenchmarkRead(b *testing.B) {
	text := largest(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := procfile.Read("f.yaml", text); err != nil {
			b.Fatal(err)
		}
	}
}

// Reading it without checking, as a stored revision is read.
func BenchmarkStored(b *testing.B) {
	text := largest(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := procfile.Stored("f.yaml", text); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkValidate(b *testing.B) {
	p, err := procfile.Read("f.yaml", largest(b))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if len(content.Validate(p)) > 0 {
			b.Fatal("a sound procedure has problems")
		}
	}
}

func BenchmarkCompare(b *testing.B) {
	p, err := procfile.Read("f.yaml", largest(b))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if !content.Compare(p, p).Same() {
			b.Fatal("a procedure differs from itself")
		}
	}
}
