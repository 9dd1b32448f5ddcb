package paper

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"
)

// A made document is read back as far as these tests need it: its streams, the
// texts shown in each page's stream, and its boxes (ISO 32000-1, 7.3.8, 9.4.3).

// streams returns the streams of a PDF, inflated, in their order.
func streams(t *testing.T, pdf []byte) []string {
	t.Helper()
	var out []string
	for rest := pdf; ; {
		_, after, ok := bytes.Cut(rest, []byte("\nstream\n"))
		if !ok {
			return out
		}
		raw, next, ok := bytes.Cut(after, []byte("\nendstream"))
		if !ok {
			t.Fatal("a stream does not end")
		}
		rest = next
		z, err := zlib.NewReader(bytes.NewReader(raw))
		if err != nil {
			out = append(out, string(raw))
			continue
		}
		plain, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(plain))
	}
}

// pages returns the content of each page.
func pages(t *testing.T, pdf []byte) []string {
	t.Helper()
	var out []string
	for _, s := range streams(t, pdf) {
		if strings.Contains(s, " Tj ET") {
			out = append(out, s)
		}
	}
	return out
}

var shown = regexp.MustCompile(`(?s)BT ([\d.-]+) ([\d.-]+) Td \(((?:\\.|[^\\()])*)\) Tj ET`)

// texts returns every text of a page's content, in the order in which it is shown.
func texts(t *testing.T, content string) []string {
	t.Helper()
	var out []string
	for _, m := range shown.FindAllStringSubmatch(content, -1) {
		out = append(out, utf16Text(t, m[3]))
	}
	return out
}

// utf16Text undoes the escapes of a literal string and reads UTF-16.
func utf16Text(t *testing.T, literal string) string {
	t.Helper()
	raw := strings.NewReplacer(`\\`, `\`, `\(`, "(", `\)`, ")", `\r`, "\r").Replace(literal)
	if len(raw)%2 != 0 {
		t.Fatalf("the text %q has half a character", literal)
	}
	var units []uint16
	for i := 0; i < len(raw); i += 2 {
		units = append(units, uint16(raw[i])<<8|uint16(raw[i+1]))
	}
	return string(utf16.Decode(units))
}

// allText is the text of a whole document with single spaces.
func allText(t *testing.T, pdf []byte) string {
	t.Helper()
	var all []string
	for _, p := range pages(t, pdf) {
		all = append(all, texts(t, p)...)
	}
	return strings.Join(strings.Fields(strings.Join(all, " ")), " ")
}

// numbers reads numbers of a content stream.
func numbers(t *testing.T, text ...string) []float64 {
	t.Helper()
	var out []float64
	for _, s := range text {
		f, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	return out
}

// box is the size of the pages in points.
func box(t *testing.T, pdf []byte) (w, h float64) {
	t.Helper()
	m := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`).FindSubmatch(pdf)
	if m == nil {
		t.Fatal("the document has no box")
	}
	n := numbers(t, string(m[1]), string(m[2]))
	return n[0], n[1]
}
