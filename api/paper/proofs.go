package paper

import (
	"archive/zip"
	"fmt"
	"io"
	"iter"
	"strings"
	"time"

	"soloright/api"
)

// KeysName is the name of the file with the public keys.
const KeysName = "record.keys"

// ProofName is the name of the file with the proof of an entry.
func ProofName(entry int64) string { return fmt.Sprintf("entry-%d.proof", entry) }

// Proofs writes a ZIP file with everything that an auditor needs to check an
// evidence offline: a C2SP tlog-proof for each entry, the checkpoint, the public
// keys, and a text that says how. The same evidence gives the same bytes.
func Proofs(w io.Writer, e api.Evidence) error {
	z := zip.NewWriter(w)
	add := func(name, text string) error {
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: e.Recorded.UTC().Truncate(2 * time.Second)})
		if err != nil {
			return fmt.Errorf("pack %s: %w", name, err)
		}
		if _, err := io.WriteString(f, text); err != nil {
			return fmt.Errorf("pack %s: %w", name, err)
		}
		return nil
	}
	if err := add("READ-ME.txt", proofsText(e)); err != nil {
		return err
	}
	if err := add("record.checkpoint", e.Checkpoint); err != nil {
		return err
	}
	if err := add(KeysName, strings.Join(e.Keys, "\n")+"\n"); err != nil {
		return err
	}
	for _, entry := range e.Entries {
		if err := add(ProofName(entry.N), entry.Proof); err != nil {
			return err
		}
	}
	for name, text := range signedTexts(e) {
		if err := add(name, text); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("pack the proofs: %w", err)
	}
	return nil
}

// signedTexts are the texts that signatures stand under, by the names of their
// files, in the order of the evidence.
func signedTexts(e api.Evidence) iter.Seq2[string, string] {
	return func(yield func(string, string) bool) {
		for _, r := range e.Rebuilds {
			if r.Sheet != "" && !yield("sheet-"+r.ID+".txt", r.Sheet) {
				return
			}
		}
		last := ""
		for _, r := range e.Read { // one reading may be of facts removed and of facts changed
			if r.Shown != "" && r.ID != last && !yield("reading-"+r.ID+".txt", r.Shown) {
				return
			}
			last = r.ID
		}
	}
}

func proofsText(e api.Evidence) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Proofs of the evidence of %s on %s (%s), as of the end of %s.\n\n", e.Person.Name, e.Title, e.Procedure, e.On)
	b.WriteString("Each proof shows that an entry is in the record that the checkpoint was signed for. Check one:\n\n")
	fmt.Fprintf(&b, "    soloright-verify proof ENTRY.proof --key %s\n\n", KeysName)
	b.WriteString("Have the public key from elsewhere: who could forge a proof could forge the keys beside it.\n\n")
	b.WriteString("A sheet-….txt or reading-….txt is a text that was signed. Its SHA-256 (sha256sum FILE) is the digest that the signatures in the evidence stand under.\n\n")
	for _, entry := range e.Entries {
		fmt.Fprintf(&b, "%s  %s  %s, %s\n", ProofName(entry.N), entry.At.UTC().Format(time.RFC3339), entry.Kind, entry.About)
	}
	return b.String()
}
