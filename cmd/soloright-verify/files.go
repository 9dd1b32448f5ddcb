package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/mod/sumdb/note"

	"soloright/scoring/ledger"
)

// longestText is the most that is read of a file that holds one checkpoint, proof
// or list of keys, in bytes.
const longestText = 1 << 20

// open opens a file; "-" is the standard input.
func (w *world) open(name string) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(w.in), nil
	}
	return os.Open(name)
}

// read reads a short file.
func (w *world) read(name string) ([]byte, error) {
	f, err := w.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, longestText+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if len(text) > longestText {
		return nil, fmt.Errorf("%s is longer than any proof or checkpoint", name)
	}
	return text, nil
}

// checkpoint reads a checkpoint without verifying it. A file that is none says nothing
// about the record, so its error is no verdict.
func (w *world) checkpoint(name string) (ledger.Checkpoint, error) {
	text, err := w.read(name)
	if err != nil {
		return ledger.Checkpoint{}, err
	}
	c, err := ledger.ParseCheckpoint(text)
	if err != nil {
		return ledger.Checkpoint{}, fmt.Errorf("%s: %v", name, err)
	}
	return c, nil
}

// texts returns the keys: each flag is one, or names a file of them.
func (k keys) texts(w *world) ([]string, error) {
	var all []string
	for _, key := range k.Key {
		if _, err := ledger.ReadKeys(key); err == nil {
			all = append(all, key)
			continue
		}
		text, err := w.read(key)
		if err != nil {
			return nil, fmt.Errorf("%q is neither a public key nor a file with one: %w", key, err)
		}
		lines := strings.Fields(string(text)) // a key has no spaces
		if _, err := ledger.ReadKeys(lines...); err != nil || len(lines) == 0 {
			return nil, fmt.Errorf("%s does not hold one public key on each line", key)
		}
		all = append(all, lines...)
	}
	return all, nil
}

// verifiers returns the keys ready to verify.
func (k keys) verifiers(w *world) (note.Verifiers, error) {
	texts, err := k.texts(w)
	if err != nil {
		return nil, err
	}
	list, err := ledger.ReadKeys(texts...)
	if err != nil {
		return nil, err
	}
	return note.VerifierList(list...), nil
}
