package ledger

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// example is the entry of the package comment.
var example = Entry{
	Kind: SittingHandedIn, ID: "mzxw6ytboi", At: time.Date(2026, 11, 25, 13, 48, 0, 123456000, time.UTC),
	Attributes: map[string]string{
		"person": "nbswy3dp", "outcome": "to confirm",
		"answers": "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b",
	},
}

func TestEntryGolden(t *testing.T) {
	text := must1[[]byte](t)(example.MarshalText())
	golden(t, "entry.golden", text)
	if diff := cmp.Diff(example, must1[Entry](t)(Parse(text))); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
}

// anEntry draws any entry that can be written, in whatever zone.
func anEntry() *rapid.Generator[Entry] {
	return rapid.Custom(func(t *rapid.T) Entry {
		micros := rapid.Int64Range(-62167219200_000000, 253402300799_999999).Draw(t, "at")
		zone := time.FixedZone("", 60*rapid.IntRange(-720, 840).Draw(t, "zone"))
		value := rapid.OneOf(
			rapid.StringMatching(`[0-9a-f]{64}`),
			rapid.StringMatching(`[!-~]([ -~]{0,20}[!-~])?`),
			rapid.StringMatching(`[a-zäßЖ中]([a-z ·éЖ中]{0,20}[éß中])?`))
		return Entry{
			Kind: Kind(rapid.StringMatching(`[a-z0-9]{1,9}([.-][a-z0-9]{1,9}){0,3}`).Draw(t, "kind")),
			ID:   rapid.StringMatching(`[!-~]{1,40}`).Draw(t, "id"),
			At:   time.UnixMicro(micros).In(zone),
			Attributes: rapid.MapOfN(rapid.StringMatching(`[a-z0-9]{1,6}(-[a-z0-9]{1,6}){0,2}`), value, 0, 6).
				Draw(t, "attributes"),
		}
	})
}

// Parse∘Print = id, and Print∘Parse = id.
func TestEntryRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anEntry().Draw(t, "entry")
		text, err := e.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		back, err := Parse(text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(e, back, cmpopts.EquateEmpty(), cmp.Comparer(time.Time.Equal)); diff != "" {
			t.Fatalf("-want +got:\n%s", diff)
		}
		if again, err := back.MarshalText(); err != nil || !bytes.Equal(again, text) {
			t.Fatalf("%v\n%s\n%s", err, text, again)
		}
	})
}

func TestMarshalRefuses(t *testing.T) {
	with := func(change func(*Entry)) Entry {
		e := example
		e.Attributes = map[string]string{"a": "b"}
		change(&e)
		return e
	}
	for name, e := range map[string]Entry{
		"no kind":                   with(func(e *Entry) { e.Kind = "" }),
		"kind in capitals":          with(func(e *Entry) { e.Kind = "Sitting" }),
		"kind with two joints":      with(func(e *Entry) { e.Kind = "a..b" }),
		"kind that ends in a joint": with(func(e *Entry) { e.Kind = "a-" }),
		"kind that begins with one": with(func(e *Entry) { e.Kind = ".a" }),
		"kind with a newline":       with(func(e *Entry) { e.Kind = "a\nb" }),
		"no id":                     with(func(e *Entry) { e.ID = "" }),
		"id with a space":           with(func(e *Entry) { e.ID = "a b" }),
		"id with a newline":         with(func(e *Entry) { e.ID = "a\nb: c" }),
		"id outside ASCII":          with(func(e *Entry) { e.ID = "é" }),
		"long id":                   with(func(e *Entry) { e.ID = strings.Repeat("a", maxID+1) }),
		"nanoseconds":               with(func(e *Entry) { e.At = e.At.Add(1) }),
		"year 10000":                with(func(e *Entry) { e.At = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) }),
		"year −1":                   with(func(e *Entry) { e.At = time.Date(-1, 1, 1, 0, 0, 0, 0, time.UTC) }),
		"no key":                    with(func(e *Entry) { e.Attributes[""] = "x" }),
		"key with a colon":          with(func(e *Entry) { e.Attributes["a:b"] = "x" }),
		"key with a full stop":      with(func(e *Entry) { e.Attributes["a.b"] = "x" }),
		"key with a newline":        with(func(e *Entry) { e.Attributes["a\n"] = "x" }),
		"no value":                  with(func(e *Entry) { e.Attributes["a"] = "" }),
		"value with a newline":      with(func(e *Entry) { e.Attributes["a"] = "b\nc: d" }),
		"value with a return":       with(func(e *Entry) { e.Attributes["a"] = "b\rc" }),
		"value with NUL":            with(func(e *Entry) { e.Attributes["a"] = "b\x00c" }),
		"value with DEL":            with(func(e *Entry) { e.Attributes["a"] = "b\x7fc" }),
		"value with a space before": with(func(e *Entry) { e.Attributes["a"] = " b" }),
		"value with a space after":  with(func(e *Entry) { e.Attributes["a"] = "b " }),
		"value that is no UTF-8":    with(func(e *Entry) { e.Attributes["a"] = "b\xffc" }),
		"value turning the writing": with(func(e *Entry) { e.Attributes["a"] = "b\u202ec" }),
		"value with a wide space":   with(func(e *Entry) { e.Attributes["a"] = "b\u00a0c" }),
		"long value":                with(func(e *Entry) { e.Attributes["a"] = strings.Repeat("a", maxValue+1) }),
		"long entry": with(func(e *Entry) {
			for i := range 100 {
				e.Attributes[strings.Repeat("a", i+1)] = strings.Repeat("a", maxValue)
			}
		}),
	} {
		if text, err := e.MarshalText(); err == nil {
			t.Errorf("%s: wrote %q", name, text)
		}
	}
}

// Nothing but the one way to write an entry is read.
func TestParseRefuses(t *testing.T) {
	const head = "soloright entry 1 a.b id 2026-11-25T13:48:00.123456Z\n"
	if _, err := Parse([]byte(head + "a: b\nc: d\n")); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{
		"", "\n", head[:len(head)-1], head + "\n", "\n" + head, head + "a: b", head + "a: b\n\n", head + "\na: b\n",
		head + "c: d\na: b\n", head + "a: b\na: b\n", head + "a: b\na: c\n", head + "a:b\n", head + "a:  b\n", head + "a : b\n",
		head + " a: b\n", head + "a: b \n", head + "a: \n", head + "a:\n", head + "a\n", head + "A: b\n", head + "a: b\r\n",
		strings.Replace(head, "1", "2", 1), strings.Replace(head, "a.b", "a b", 1), strings.Replace(head, " a.b", "  a.b", 1),
		strings.Replace(head, "Z", "+00:00", 1), strings.Replace(head, ".123456", ".12345", 1), strings.Replace(head, ".123456", "", 1),
		strings.Replace(head, ".123456", ",123456", 1), strings.Replace(head, ".123456", ".1234567", 1), strings.Replace(head, "T", " ", 1), strings.Replace(head, "Z", "z", 1),
		strings.Replace(head, "-25", "-31", 1), strings.Replace(head, "T13", "T24", 1), strings.Replace(head, ":00.", ":60.", 1),
		strings.ToUpper(head), head + "a: " + strings.Repeat("b", MaxEntry) + "\n",
	} {
		if e, err := Parse([]byte(text)); err == nil {
			t.Errorf("%q: read as %+v", text, e)
		}
	}
}

// Whatever Parse reads is written back byte for byte.
func FuzzParse(f *testing.F) {
	f.Add([]byte("soloright entry 1 a.b id 2026-11-25T13:48:00.123456Z\na: b\nc: d·é\n"))
	f.Add(must1[[]byte](f)(example.MarshalText()))
	f.Fuzz(func(t *testing.T, text []byte) {
		e, err := Parse(text)
		if err != nil {
			return
		}
		if back, err := e.MarshalText(); err != nil || !bytes.Equal(back, text) {
			t.Errorf("%v: read %q, wrote %q", err, text, back)
		}
	})
}
