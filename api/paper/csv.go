package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"
)

// CSVType is the media type of what [CSV] writes.
const CSVType = "text/csv; charset=utf-8; header=present"

// CSV writes a table by RFC 4180: records end with CRLF, cells are quoted where
// they have to be, every record has as many cells as the first. The text is
// UTF-8 without a byte order mark; bytes that are not UTF-8 become U+FFFD, and a
// line break inside a cell, of whatever kind, becomes CRLF.
//
// A cell that a spreadsheet would take for a formula is written as [Neutral]
// gives it. A CSV is not safe for concurrent use.
type CSV struct {
	to    io.Writer
	w     *csv.Writer
	rows  int
	width int
	cells []string
}

// NewCSV begins a table. Nothing is written before [CSV.End] but what no longer
// fits its buffer.
func NewCSV(w io.Writer) *CSV {
	c := &CSV{to: w, w: csv.NewWriter(w)}
	c.w.UseCRLF = true
	return c
}

// Row writes one record; the first is the head of the table. It is an error to
// give no cell, or another number of cells than before.
func (c *CSV) Row(cells ...string) error {
	if c.rows == 0 {
		c.width = len(cells)
	}
	if len(cells) == 0 || len(cells) != c.width {
		return fmt.Errorf("write row %d of a table: it has %d cells, the table %d", c.rows+1, len(cells), c.width)
	}
	c.cells = c.cells[:0]
	for _, cell := range cells {
		c.cells = append(c.cells, Neutral(oneKindOfBreak(cell)))
	}
	c.rows++
	if err := c.write(); err != nil {
		return fmt.Errorf("write row %d of a table: %w", c.rows, err)
	}
	return nil
}

// write writes the cells. A lone empty one is quoted: readers pass over a line
// with nothing on it.
func (c *CSV) write() error {
	if len(c.cells) > 1 || c.cells[0] != "" {
		return c.w.Write(c.cells)
	}
	if err := c.End(); err != nil {
		return err
	}
	_, err := io.WriteString(c.to, "\"\"\r\n")
	return err
}

// End writes what is still in the buffer.
func (c *CSV) End() error {
	c.w.Flush()
	if err := c.w.Error(); err != nil {
		return fmt.Errorf("write a table: %w", err)
	}
	return nil
}

var breaks = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// oneKindOfBreak makes valid UTF-8 in which every line break is LF; the writer
// turns each into CRLF and would drop a lone CR.
func oneKindOfBreak(s string) string {
	return breaks.Replace(strings.ToValidUTF8(s, string(utf8.RuneError)))
}

// number is what stays as it is though it begins with a sign: a number calculates nothing.
var number = regexp.MustCompile(`^[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)

// Neutral returns the cell with an apostrophe before it if a spreadsheet would
// take it for a formula: if it begins, white space and apostrophes aside, with one
// of = + - @ or their full-width forms and is no number, or if it begins with a
// tab or a line break. Every other cell stays as it is, so numbers stay numbers
// and names that begin with an apostrophe stay names.
//
// No two cells become one: a cell that begins with an apostrophe and would be
// taken for a neutralized one gets an apostrophe more, see [Plain].
// (OWASP, "CSV Injection".)
func Neutral(cell string) string {
	if risky(strings.TrimLeft(cell, "'")) {
		return "'" + cell
	}
	return cell
}

// Plain undoes [Neutral].
func Plain(cell string) string {
	rest, ok := strings.CutPrefix(cell, "'")
	if ok && risky(strings.TrimLeft(rest, "'")) {
		return rest
	}
	return cell
}

// risky reports whether a spreadsheet may take the text for a formula.
func risky(s string) bool {
	if s == "" || number.MatchString(s) {
		return false
	}
	if strings.ContainsRune("\t\r\n", rune(s[0])) {
		return true
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " \t\r\n\v\f\u00a0\ufeff'"))
	return strings.ContainsRune("=+-@＝＋－＠", first)
}
