package ledger

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"golang.org/x/mod/sumdb/note"
)

// Report says what was checked.
type Report struct {
	Origin      string
	Size        int64     // entries that the last checkpoint is signed for
	Entries     int64     // entries read
	First, Last time.Time // instants of the first entry and of the last, as they state them; zero if there is none
	Keys        Keys      // of the ledger, with their handovers
	Checkpoint  []byte    // the last one
}

// VerifyExport checks an export from the file alone. It works out every hash anew
// and holds the tree against the signed checkpoint at the end and against every
// checkpoint that was kept from before; it accepts the signature of a trusted
// verifier key, or of a later one to which a trusted one handed over.
//
// The error is an *[Unsound] with every defect found, each with its place as far as
// the file tells; or another error if a trusted key is none or reading failed, and
// then nothing is said about the record. The report holds as much as was read.
//
// It streams, hashes on every core and holds a few blocks of 256 KiB. If progress is
// not nil it is called now and then with the entries read so far and their number
// as the export states it.
func VerifyExport(r io.Reader, trusted []string, kept []Checkpoint, progress func(done, total int64)) (Report, error) {
	return verifyExport(r, blockSize, trusted, kept, progress)
}

// verifyExport is VerifyExport in blocks of about this many bytes.
func verifyExport(r io.Reader, block int, trusted []string, kept []Checkpoint, progress func(done, total int64)) (Report, error) {
	known, err := ReadKeys(trusted...)
	if err != nil {
		return Report{}, err
	}
	in := bufio.NewReaderSize(r, blockSize)
	head, err := readHeader(in)
	if err != nil {
		return Report{}, asUnsound(err)
	}
	if head.keys, err = trustFrom(head.keys, trusted, known); err != nil {
		return Report{Origin: head.origin}, asUnsound(err)
	}
	verifiers, err := head.keys.verifiers()
	if err != nil {
		return Report{}, fmt.Errorf("read the keys of the export: %w", err)
	}
	a := newAudit(head, verifiers, kept)
	err = readParts(in, block, a.stops, func(parts []part) {
		for _, p := range parts {
			a.take(p)
		}
		if progress != nil {
			progress(a.report.Entries, head.size)
		}
	})
	if err != nil {
		return a.report, asUnsound(err)
	}
	return a.report, a.verdict()
}

// asUnsound makes a single defect the error that VerifyExport promises.
func asUnsound(err error) error {
	var d *Defect
	if errors.As(err, &d) {
		return &Unsound{Defects: []*Defect{d}}
	}
	return err
}

// trustFrom returns the keys if one of them is trusted.
func trustFrom(keys Keys, trusted []string, known []note.Verifier) (Keys, error) {
	if slices.ContainsFunc(keys, func(k Key) bool { return slices.Contains(trusted, k.Verifier) }) {
		return keys, nil
	}
	yours := "none"
	if len(known) > 0 {
		yours = keyID(known[0])
	}
	signer, err := keys.VerifierFor(maxSize)
	if err != nil {
		return nil, err
	}
	return nil, general(OtherKey, "The export is signed by another key than the one given: it states %s, the one given is %s.", keyID(signer), yours)
}

// keyID is the name and the key ID of c2sp.org/signed-note, by which people tell keys apart.
func keyID(v note.Verifier) string { return fmt.Sprintf("%s+%08x", v.Name(), v.KeyHash()) }
