package ledger

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// A sheet is an export taken apart, so that it can be tampered with.
type sheet struct {
	header  string
	records []record
	end     string // the last checkpoint
}

type record struct {
	number   string
	hashes   []string
	text     string
	handover string // what stands after it
}

func takeApart(t testing.TB, text []byte) *sheet {
	t.Helper()
	header, rest, _ := strings.Cut(string(text), "\n\n")
	s := &sheet{header: header}
	at := strings.LastIndex(rest, "checkpoint ")
	rest, s.end = rest[:at], rest[at:]
	for rest != "" {
		var r record
		if strings.HasPrefix(rest, checkpointWord) {
			end := strings.Index(rest, "\n\n—") + 2
			end += strings.Index(rest[end:], "\n\n") + 2
			s.records[len(s.records)-1].handover = rest[:end]
			rest = rest[end:]
			continue
		}
		var line string
		line, rest, _ = strings.Cut(rest, "\n")
		r.text, rest, _ = strings.Cut(rest, "\n\n")
		fields := strings.Fields(line)
		r.number, r.hashes, r.text = fields[0], fields[1:], r.text+"\n"
		s.records = append(s.records, r)
	}
	if s.String() != string(text) {
		t.Fatal("the export cannot be taken apart and put together")
	}
	return s
}

func (s *sheet) String() string {
	var b strings.Builder
	b.WriteString(s.header + "\n\n")
	for _, r := range s.records {
		fmt.Fprintf(&b, "%s %s\n%s\n%s", r.number, strings.Join(r.hashes, " "), r.text, r.handover)
	}
	return b.String() + s.end
}

// renumber numbers the entries anew.
func (s *sheet) renumber() {
	for i := range s.records {
		s.records[i].number = fmt.Sprint(i)
	}
}

// rehash works out anew every hash up to a level, or all.
func (s *sheet) rehash(levels int) {
	var head Head
	for i := range s.records {
		next, stored, err := appendLeaves(head, []tlog.Hash{tlog.RecordHash([]byte(s.records[i].text))})
		if err != nil {
			panic(err)
		}
		head = next
		hashes := make([]string, len(stored))
		for level, h := range stored {
			hashes[level] = h.String()
			if level >= levels && level < len(s.records[i].hashes) {
				hashes[level] = s.records[i].hashes[level]
			}
		}
		s.records[i].hashes = hashes
	}
}

// forge is an entry that was never recorded.
const forge = "soloright entry 1 clearance.reinstated forged 2026-11-25T13:00:00.000000Z\nperson: mallory\n"

// A byte changed anywhere is found; one in the text of an entry is found there.
func TestEveryByteCounts(t *testing.T) {
	b := newBook(t).append(5).rotate().append(5)
	text, kept := b.text(), b.checkpoint(4)
	step := 1
	if testing.Short() {
		step = 5
	}
	owner := ownersOf(t, text)
	for i := 0; i < len(text); i += step {
		for _, c := range []byte{text[i] ^ byte(1+rand.IntN(255)), []byte{text[i] ^ 1, '\n', '0'}[i%3]} {
			if c == text[i] {
				continue
			}
			changed := bytes.Clone(text)
			changed[i] = c
			_, err := b.verify(changed, kept)
			got := told(t, err)
			if got == "" {
				t.Fatalf("byte %d from %q to %q goes unnoticed", i, text[i], c)
			}
			if want := fmt.Sprintf("altered %d-%d", owner[i], owner[i]); owner[i] >= 0 && c != '\n' && text[i] != '\n' && got != want {
				t.Errorf("byte %d from %q to %q: %s, want %s", i, text[i], c, got, want)
			}
		}
		changed := slices.Delete(bytes.Clone(text), i, i+1)
		if i%2 == 0 {
			changed = slices.Insert(bytes.Clone(text), i, text[i])
		}
		if _, err := b.verify(changed, kept); err == nil {
			t.Fatalf("byte %d, %q, can be taken out or doubled unnoticed", i, text[i])
		}
	}
	for _, more := range []string{"\n", "x", "\n\n", string(text), "0 x\n\n"} {
		if _, err := b.verify(append(bytes.Clone(text), more...)); err == nil {
			t.Errorf("%q after the end goes unnoticed", more)
		}
	}
}

// ownersOf returns, for each byte of an export, the entry whose text it is in, or −1.
func ownersOf(t *testing.T, text []byte) []int {
	owners := slices.Repeat([]int{-1}, len(text))
	for i, r := range takeApart(t, text).records {
		at := bytes.Index(text, []byte("\n"+r.text+"\n")) + 1
		for j := range r.text {
			owners[at+j] = i
		}
	}
	return owners
}

// Whatever a file holds, it is checked without harm, and found sound only if it is,
// byte for byte, one that was written.
func FuzzVerifyExport(f *testing.F) {
	b := newBook(f).append(5).rotate().append(5)
	var written [][]byte
	for _, size := range []int{0, 4, 6, 11} {
		text := b.at(size).text()
		written = append(written, text)
		f.Add(text)
	}
	keys := []string{b.keys[0].Verifier, b.keys[1].Verifier}
	f.Fuzz(func(t *testing.T, text []byte) {
		_, err := verifyExport(bytes.NewReader(text), 300, keys, nil, nil)
		isOne := slices.ContainsFunc(written, func(w []byte) bool { return bytes.Equal(w, text) })
		if (err == nil) != isOne {
			t.Errorf("%v for\n%s", err, text)
		}
	})
}

// A file that ends too early is found, wherever it ends.
func TestTruncated(t *testing.T) {
	b := newBook(t).append(5).rotate().append(2)
	text := b.text()
	for n := range len(text) {
		_, err := b.verify(text[:n])
		if err == nil {
			t.Fatalf("the first %d of %d bytes are taken for all", n, len(text))
		}
		if got := told(t, err); !strings.Contains(got, "truncated") {
			t.Errorf("the first %d bytes: %s", n, got)
		}
	}
}

// What was done to an export of 40 entries, with the key handed over after 20, and
// what is said of it.
func TestTampered(t *testing.T) {
	b := newBook(t).append(19).rotate().append(20)
	for _, c := range []struct {
		name   string
		change func(s *sheet)
		want   string
	}{
		{"nothing", func(s *sheet) {}, ""},
		{"text altered", func(s *sheet) { s.records[17].text = forge }, "altered 17-17"},
		{"the newest altered", func(s *sheet) { s.records[39].text = forge }, "altered 39-39"},
		{"neighbours altered", func(s *sheet) { s.records[24].text, s.records[25].text = forge, forge+"x: y\n" }, "altered 24-25"},
		{"two texts altered", func(s *sheet) { s.records[3].text, s.records[30].text = forge, forge }, "altered 3-3, altered 30-30"},
		{"text and hash altered", func(s *sheet) { s.records[17].text = forge; s.rehash(1) }, "altered 16-17"},
		{"text and two hashes altered", func(s *sheet) { s.records[25].text = forge; s.rehash(2) }, "altered 24-27"},
		{"text and every hash altered", func(s *sheet) { s.records[25].text = forge; s.rehash(99) }, "root differs 20-39"},
		{"the same before the key changed", func(s *sheet) { s.records[5].text = forge; s.rehash(99) }, "root differs 0-19"},
		{"a hash here, a text there", func(s *sheet) { s.records[17].hashes[0] = emptyRoot().String(); s.records[30].text = forge }, "hash altered 17-17, altered 30-30"},
		{"a text here, a hash there", func(s *sheet) { s.records[5].text = forge; s.records[17].hashes[0] = emptyRoot().String() }, "altered 5-5, hash altered 17-17"},
		{"every hash before the key changed, one missing after", func(s *sheet) {
			s.records[5].text = forge
			s.rehash(99)
			s.records = slices.Delete(s.records, 30, 31)
		}, "missing 30-30, root differs 0-19"},
		{"emptied", func(s *sheet) { s.records[17].text = "" }, "altered 17-17"},
		{"a blank line too many", func(s *sheet) { s.records[17].handover = "\n" }, "malformed 18-18"},
		{"two blank lines too many", func(s *sheet) { s.records[17].handover = "\n\n" }, "malformed 18-18"},
		{"leaf hash altered", func(s *sheet) { s.records[17].hashes[0] = emptyRoot().String() }, "hash altered 17-17"},
		{"newest leaf hash altered", func(s *sheet) { s.records[38].hashes[0] = emptyRoot().String() }, "hash altered 38-38"},
		{"node hash altered", func(s *sheet) { s.records[15].hashes[3] = emptyRoot().String() }, "hash altered 8-15"},
		{"top hash altered", func(s *sheet) { s.records[31].hashes[5] = emptyRoot().String() }, "hash altered 0-31"},

		{"taken out", func(s *sheet) { s.records = slices.Delete(s.records, 17, 18) }, "missing 17-17"},
		{"first taken out", func(s *sheet) { s.records = s.records[1:] }, "missing 0-0"},
		{"three taken out", func(s *sheet) { s.records = slices.Delete(s.records, 7, 10) }, "missing 7-9"},
		{"two places", func(s *sheet) { s.records = slices.Delete(slices.Delete(s.records, 30, 32), 4, 5) }, "missing 4-4, missing 30-31"},
		{"newest taken out", func(s *sheet) { s.records = s.records[:39] }, "missing 39-39"},
		{"all taken out", func(s *sheet) { s.records = nil }, "missing 0-39, handover 20-20"},
		{"taken out and numbered anew", func(s *sheet) { s.records = slices.Delete(s.records, 27, 28); s.renumber() }, "missing 27-27"},
		{"four of them", func(s *sheet) { s.records = slices.Delete(s.records, 24, 28); s.renumber() }, "missing 24-27"},
		{"and hashed anew", func(s *sheet) { s.records = slices.Delete(s.records, 27, 28); s.renumber(); s.rehash(99) }, "missing 39-39"},

		{"swapped", func(s *sheet) { s.swap(21, 22) }, "misplaced 21-22"},
		{"swapped from afar", func(s *sheet) { s.swap(22, 36) }, "misplaced 22-36"},
		{"swapped and numbered anew", func(s *sheet) { s.swap(22, 24); s.renumber() }, "altered 22-23, altered 24-25"},
		{"texts swapped", func(s *sheet) { s.records[21].text, s.records[36].text = s.records[36].text, s.records[21].text }, "misplaced 21-36"},
		{"texts swapped beside", func(s *sheet) { s.records[22].text, s.records[23].text = s.records[23].text, s.records[22].text }, "misplaced 22-23"},
		{"one moved", func(s *sheet) {
			r := s.records[22]
			s.records = slices.Insert(slices.Delete(s.records, 22, 23), 30, r)
		}, "misplaced 22-22"},

		{"doubled", func(s *sheet) { s.records = slices.Insert(s.records, 23, s.records[22]) }, "repeated 22-22"},
		{"doubled at the end", func(s *sheet) { s.records = append(s.records, s.records[22]) }, "repeated 22-22"},
		{"doubled and numbered anew", func(s *sheet) { s.records = slices.Insert(s.records, 23, s.records[22]); s.renumber() }, "put in 22-23"},
		{"put in at the end", func(s *sheet) {
			s.records = append(s.records, record{"40", []string{tlog.RecordHash([]byte(forge)).String()}, forge, ""})
		}, "put in 40-40"},
		{"put in and numbered anew", func(s *sheet) {
			s.records = slices.Insert(s.records, 24, record{"", []string{tlog.RecordHash([]byte(forge)).String()}, forge, ""})
			s.renumber()
		}, "put in 24-25"},
		{"number with a zero", func(s *sheet) { s.records[17].number = "017" }, "malformed 17-17"},
		{"rubbish put in", func(s *sheet) { s.records[24].handover = "rubbish\n\n" }, "malformed 25-25"},

		{"handover taken out", func(s *sheet) { s.records[19].handover = "" }, "handover 20-20"},
		{"handover doubled", func(s *sheet) { s.records[19].handover += s.records[19].handover }, "handover 20-20"},
		{"handover moved", func(s *sheet) { s.records[22].handover, s.records[19].handover = s.records[19].handover, "" }, "handover 23-23"},
		{"key valid earlier", func(s *sheet) { s.header = strings.Replace(s.header, "key 20", "key 19", 1) }, "handover 20-20"},
		{"no word before the size", func(s *sheet) { s.header = strings.Replace(s.header, "size 40", "40", 1) }, "malformed"},
		{"origin in the header", func(s *sheet) { s.header = strings.Replace(s.header, origin, "elsewhere", 1) }, "malformed"},
		{"size in the header", func(s *sheet) { s.header = strings.Replace(s.header, "size 40", "size 41", 1) }, "missing 40-40, malformed"},
	} {
		s := takeApart(t, b.text())
		c.change(s)
		for _, block := range []int{1, 100, 700, 3000, blockSize} { // which may make no difference
			_, err := verifyExport(strings.NewReader(s.String()), block, []string{b.keys.Current()}, nil, nil)
			if got := told(t, err); got != c.want {
				t.Errorf("%s, in blocks of %d: %s, want %s\n%v", c.name, block, got, c.want, err)
			}
		}
	}
}

func (s *sheet) swap(i, j int) { s.records[i], s.records[j] = s.records[j], s.records[i] }

// The same done to the rows of a database, whose hashes stay where they are.
func TestTamperedRows(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(rows []Row) []Row
		want   string
	}{
		{"nothing", func(r []Row) []Row { return r }, ""},
		{"altered", func(r []Row) []Row { r[17].Entry = []byte(forge); return r }, "altered 17-17"},
		{"emptied", func(r []Row) []Row { r[17].Entry = nil; return r }, "altered 17-17"},
		{"blank line put in", func(r []Row) []Row { r[17].Entry = []byte("a\n\nb\n"); return r }, "malformed 18-18, altered 17-17"},
		{"removed", func(r []Row) []Row { return slices.Delete(r, 17, 18) }, "missing 17-17"},
		{"tail removed", func(r []Row) []Row { return r[:35] }, "missing 35-39"},
		{"texts swapped", func(r []Row) []Row { r[7].Entry, r[31].Entry = r[31].Entry, r[7].Entry; return r }, "misplaced 7-31"},
		{"moved up", func(r []Row) []Row {
			for i := 17; i < 39; i++ {
				r[i].Entry = r[i+1].Entry
			}
			return r[:39]
		}, "missing 17-17"},
		{"moved up, but not to the end", func(r []Row) []Row {
			for i := 17; i < 30; i++ {
				r[i].Entry = r[i+1].Entry
			}
			r[30].Entry = []byte(forge)
			return r
		}, "altered 17-30"},
		{"moved down", func(r []Row) []Row {
			for i := 39; i > 17; i-- {
				r[i].Entry = r[i-1].Entry
			}
			r[17].Entry = []byte(forge)
			return r
		}, "put in 17-17"},
		{"copied over another", func(r []Row) []Row { r[17].Entry = r[5].Entry; return r }, "altered 17-17"},
	} {
		b := newBook(t).append(40)
		var rows []Row
		for i, text := range b.rows {
			rows = append(rows, Row{int64(i), text})
		}
		e := b.export()
		e.Rows = func(yield func(Row, error) bool) {
			for _, r := range c.change(rows) {
				if !yield(r, nil) {
					return
				}
			}
		}
		_, err := Audit(e, nil)
		if got := told(t, err); got != c.want {
			t.Errorf("%s: %s, want %s\n%v", c.name, got, c.want, err)
		}
	}
}

// A stored hash that was altered is told from an entry that was.
func TestTamperedHashes(t *testing.T) {
	for index, want := range map[int64]string{
		tlog.StoredHashIndex(0, 17): "hash altered 17-17",
		tlog.StoredHashIndex(1, 8):  "hash altered 16-17",
		tlog.StoredHashIndex(5, 0):  "hash altered 0-31",
	} {
		b := newBook(t).append(40)
		b.hashes[index][5] ^= 1
		if got := told(t, second(Audit(b.export(), nil))); got != want {
			t.Errorf("hash %d: %s, want %s", index, got, want)
		}
	}
}

// However an entry is taken out, put in, doubled, moved or swapped, and whatever is
// mended afterwards, it is found; and as long as not everything was mended, some
// defect names the place.
func TestTamperingIsFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := newBook(t).append(rapid.IntRange(2, 40).Draw(rt, "entries"))
		if rapid.Bool().Draw(rt, "rotate") {
			b.rotate().append(rapid.IntRange(0, 40).Draw(rt, "more"))
		}
		s := takeApart(t, b.text())
		n := len(s.records)
		i, j := rapid.IntRange(0, n-1).Draw(rt, "i"), rapid.IntRange(0, n-2).Draw(rt, "j")
		if j >= i {
			j++
		}
		act := rapid.SampledFrom([]string{"alter", "remove", "swap", "double", "move", "insert"}).Draw(rt, "act")
		switch act {
		case "alter":
			s.records[i].text, j = forge, i
		case "remove":
			s.records, j = slices.Delete(s.records, i, i+1), i
		case "swap":
			s.swap(i, j)
		case "double":
			s.records = slices.Insert(s.records, j, s.records[i])
		case "move":
			r := s.records[i]
			s.records = slices.Insert(slices.Delete(s.records, i, i+1), j, r)
		case "insert":
			s.records, j = slices.Insert(s.records, i, record{fmt.Sprint(i), s.records[i].hashes, forge, ""}), i
		}
		mended := rapid.SampledFrom([]string{"nothing", "numbers", "leaves", "all"}).Draw(rt, "mended")
		if mended != "nothing" {
			s.renumber()
		}
		switch mended {
		case "leaves":
			s.rehash(1)
		case "all":
			s.rehash(99)
		}
		_, err := b.verify([]byte(s.String()))
		if err == nil {
			rt.Fatal("it goes unnoticed")
		}
		if (mended != "all" && mended != "leaves" || mended == "leaves" && act == "alter") && !placed(err, min(i, j), max(i, j)) {
			rt.Fatalf("%d and %d are not named: %s\n%v", i, j, told(t, err), err)
		}
	})
}

// placed reports whether some defect concerns the entries from lo to hi, or the one
// next to them.
func placed(err error, lo, hi int) bool {
	return slices.ContainsFunc(err.(*Unsound).Defects, func(d *Defect) bool {
		return d.Fault != Handover && d.Through >= int64(lo)-1 && d.Entry <= int64(hi)+1
	})
}
