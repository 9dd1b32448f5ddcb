package ledger

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"iter"
	"strconv"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

const (
	exportFormat   = "soloright export 1"
	checkpointWord = "checkpoint "
)

// Row is one entry as it is stored.
type Row struct {
	Index int64
	Entry []byte
}

// Export is a record as it is stored, to be written into a file or audited in place.
type Export struct {
	Keys       Keys
	Checkpoint []byte                // of the newest head, signed by the last key and whoever else
	Rows       iter.Seq2[Row, error] // every entry, by index; it ends with the first error
	Hashes     tlog.HashReader       // the stored hashes
}

// hashBatch is how many rows' hashes are read at a time.
const hashBatch = 512

// WriteExport writes the export that the package comment specifies. It streams: a
// few hundred entries are held at a time. It judges nothing, so that what is wrong
// with a record shows in its export; only what cannot be written, a checkpoint
// that is none or hashes that cannot be read, is an error.
func WriteExport(w io.Writer, e Export) error {
	c, err := ParseCheckpoint(e.Checkpoint)
	if err != nil {
		return fmt.Errorf("write export: %w", err)
	}
	out := bufio.NewWriterSize(w, blockSize)
	fmt.Fprintf(out, "%s\norigin %s\nsize %d\n", exportFormat, c.Origin, c.Size)
	for _, k := range e.Keys {
		fmt.Fprintf(out, "key %d %s\n", k.From, k.Verifier)
	}
	fmt.Fprintln(out)
	if err := (&rowWriter{out: out, keys: e.Keys, hashes: e.Hashes}).all(e.Rows); err != nil {
		return fmt.Errorf("write export: %w", err)
	}
	fmt.Fprintf(out, "%s%d\n%s", checkpointWord, c.Size, signedAlone(e.Checkpoint, e.Keys))
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write export: %w", err)
	}
	return nil
}

// signedAlone returns the checkpoint with no signature but that of the last key:
// those of witnesses, and of the key before where this is a handover, have no place at
// the end of an export. Where there is none by the last key it changes nothing.
func signedAlone(text []byte, keys Keys) []byte {
	if len(keys) == 0 {
		return text
	}
	known, err := ReadKeys(keys.Current())
	if err != nil {
		return text
	}
	n, err := note.Open(text, note.VerifierList(known...))
	if err != nil {
		return text
	}
	n.UnverifiedSigs = nil
	alone, err := note.Sign(n)
	if err != nil {
		return text
	}
	return alone
}

// rowWriter writes entries, and handovers between them.
type rowWriter struct {
	out    *bufio.Writer
	keys   Keys // those that have yet to take over come from the second on
	hashes tlog.HashReader
	batch  []Row
}

func (w *rowWriter) all(rows iter.Seq2[Row, error]) error {
	for row, err := range rows {
		if err != nil {
			return err
		}
		if row.Index < 0 || row.Index > maxSize {
			return fmt.Errorf("an entry cannot have the index %d", row.Index)
		}
		if w.batch = append(w.batch, row); len(w.batch) == hashBatch {
			if err := w.flush(); err != nil {
				return err
			}
		}
	}
	return w.flush()
}

// flush writes the batch.
func (w *rowWriter) flush() error {
	var indexes []int64
	for _, row := range w.batch {
		for level := range hashesWith(row.Index) {
			indexes = append(indexes, tlog.StoredHashIndex(level, row.Index>>level))
		}
	}
	if len(indexes) == 0 {
		return nil
	}
	hashes, err := w.hashes.ReadHashes(indexes)
	if err != nil {
		return fmt.Errorf("read the hashes from entry %d on: %w", w.batch[0].Index, err)
	}
	if len(hashes) != len(indexes) {
		return errors.New("the stored hashes are not as many as were asked for")
	}
	for _, row := range w.batch {
		n := hashesWith(row.Index)
		w.row(row, hashes[:n])
		hashes = hashes[n:]
	}
	w.batch = w.batch[:0]
	return nil // a failure to write stays in out and comes back from its Flush
}

func (w *rowWriter) row(row Row, hashes []tlog.Hash) {
	line := strconv.AppendInt(w.out.AvailableBuffer(), row.Index, 10)
	for _, h := range hashes {
		line = appendHash(append(line, ' '), h)
	}
	w.out.Write(append(line, '\n'))
	w.out.Write(row.Entry)
	w.out.WriteByte('\n')
	for len(w.keys) > 1 && w.keys[1].From <= row.Index+1 {
		fmt.Fprintf(w.out, "%s%d\n%s\n", checkpointWord, w.keys[1].From, w.keys[1].Handover)
		w.keys = w.keys[1:]
	}
}

// Audit checks a record where it is stored just as [VerifyExport] checks its
// export, by the key that signs now. It reads every entry and every hash; the
// checkpoint must be the one that was signed when the newest entry was appended, not
// one made for this: who signs first and checks afterwards signs whatever there is.
func Audit(e Export, progress func(done, total int64)) (Report, error) {
	if err := e.Keys.Check(); err != nil {
		return Report{}, fmt.Errorf("audit the ledger: %w", err)
	}
	r, w := io.Pipe()
	defer r.Close() // ends the writer if the verifier stops early
	go func() { w.CloseWithError(WriteExport(w, e)) }()
	return VerifyExport(r, []string{e.Keys.Current()}, nil, progress)
}
