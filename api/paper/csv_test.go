package paper

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The examples are those of RFC 4180, section 2, rules 1, 3 and 5 to 7, written
// with quotes only where they are needed.
func TestCSVIsThatOfTheStandard(t *testing.T) {
	var b bytes.Buffer
	c := NewCSV(&b)
	for _, row := range [][]string{
		{"field_name", "field_name", "field_name"},
		{"aaa", "bbb", "ccc"},
		{"aaa", "b\nbb", "ccc"},
		{"aaa", `b"bb`, "c,cc"},
		{"", "120 lbf·in", "±4 %"},
	} {
		if err := c.Row(row...); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.End(); err != nil {
		t.Fatal(err)
	}
	want := "field_name,field_name,field_name\r\naaa,bbb,ccc\r\naaa,\"b\r\nbb\",ccc\r\naaa,\"b\"\"bb\",\"c,cc\"\r\n,120 lbf·in,±4 %\r\n"
	if b.String() != want {
		t.Errorf("got\n%q, want\n%q", b.String(), want)
	}
}

// What begins a formula: OWASP, "CSV Injection".
func TestNeutral(t *testing.T) {
	for cell, want := range map[string]string{
		"":                       "",
		"Robin Hale":             "Robin Hale",
		"'t Hoen":                "'t Hoen",
		"13.6":                   "13.6",
		"-13.6":                  "-13.6",
		"+4":                     "+4",
		"-1e-3":                  "-1e-3",
		"2026-11-25":             "2026-11-25",
		"−5 °C":                  "−5 °C", // a minus sign is no hyphen
		"=1+1":                   "'=1+1",
		"=HYPERLINK(\"x\")":      "'=HYPERLINK(\"x\")",
		"-1+1":                   "'-1+1",
		"+1 prompted":            "'+1 prompted",
		"-":                      "'-",
		"@SUM(A1)":               "'@SUM(A1)",
		"＝1+1":                   "'＝1+1",
		"\t=1+1":                 "'\t=1+1",
		"\ttab":                  "'\ttab",
		"\r=1":                   "'\r=1",
		" =1+1":                  "' =1+1",
		"\u00a0=1+1":             "'\u00a0=1+1",
		"'=1+1":                  "''=1+1",
		"-13.6\n=1":              "'-13.6\n=1",
		"a=1":                    "a=1",
		"-2+3+cmd|' /C calc'!A0": "'-2+3+cmd|' /C calc'!A0",
	} {
		if got := Neutral(cell); got != want {
			t.Errorf("Neutral(%q) = %q, want %q", cell, got, want)
		}
		if got := Plain(Neutral(cell)); got != cell {
			t.Errorf("Plain(Neutral(%q)) = %q", cell, got)
		}
	}
}

// Whatever is written reads back as it was, line breaks and neutralized cells
// aside, and no cell begins a formula.
func TestCSVReadsBack(t *testing.T) {
	cell := rapid.OneOf(rapid.String(), rapid.StringMatching(`[-=+@'" ,\t\r\n]{0,4}[a-z0-9=+-]{0,4}[",\r\n']{0,3}`), rapid.StringMatching(`-?[0-9]{1,3}(\.[0-9])?`))
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(1, 4).Draw(t, "width")
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 1, 5).Draw(t, "rows")
		readsBack(t, rows)
	})
}

func FuzzCSV(f *testing.F) {
	f.Add("=1+1", "a\r\nb")
	f.Add("'-", "\"")
	f.Add("\xff", "\r")
	f.Fuzz(func(t *testing.T, a, b string) { readsBack(t, [][]string{{a, b}}) })
}

type failing interface {
	Fatal(...any)
	Fatalf(string, ...any)
}

func readsBack(t failing, rows [][]string) {
	var b bytes.Buffer
	c := NewCSV(&b)
	for _, row := range rows {
		if err := c.Row(row...); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.End(); err != nil {
		t.Fatal(err)
	}
	if text := strings.ReplaceAll(b.String(), "\r\n", ""); strings.ContainsAny(text, "\r\n") {
		t.Fatalf("a line ends otherwise than with CRLF: %q", b.String())
	}
	back, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatalf("%q does not read: %v", rows, err)
	}
	if len(back) != len(rows) {
		t.Fatalf("%d rows read back as %d: %q", len(rows), len(back), rows)
	}
	for i, row := range rows {
		var want []string
		for _, cell := range row {
			want = append(want, oneKindOfBreak(cell))
		}
		for j, cell := range back[i] {
			if number.MatchString(cell) {
				continue
			}
			if strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r\n") {
				t.Fatalf("%q begins a formula", cell)
			}
			back[i][j] = Plain(cell)
		}
		if !slices.Equal(back[i], want) {
			t.Fatalf("%q reads back as %q", want, back[i])
		}
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestCSVRefuses(t *testing.T) {
	c := NewCSV(&bytes.Buffer{})
	if err := c.Row(); err == nil {
		t.Error("a row without cells was written")
	}
	c = NewCSV(&bytes.Buffer{})
	if err := c.Row("a", "b"); err != nil {
		t.Fatal(err)
	}
	if err := c.Row("a"); err == nil || !strings.Contains(err.Error(), "row 2") {
		t.Errorf("a short row: %v", err)
	}
	c = NewCSV(brokenPipe{})
	if err := c.Row("a"); err != nil {
		t.Fatal(err)
	}
	if err := c.End(); err == nil {
		t.Error("a writer that fails was not noticed")
	}
}
