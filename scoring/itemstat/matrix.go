package itemstat

import (
	"math"
	"slices"
)

// Missing stands, in [FromRows], for a column that a person did not meet.
const Missing = -1.0

// MaxCount is the largest sum of the counts of a matrix: far above any crew, and
// small enough that sums of marks keep their digits.
const MaxCount = 1_000_000_000

// Cell is one mark: 0 to 1, part marks allowed. A blank answer is a mark of 0,
// not a missing cell.
type Cell struct {
	Column int
	Mark   float64
}

// Matrix holds marks, people by columns, sparse: who did not meet a column has
// no cell there. A row may stand for several people with the same marks. It is
// not safe to add to a matrix while another goroutine uses it.
type Matrix struct {
	columns int
	start   []int // start[i] is where row i begins in column and mark
	column  []int32
	mark    []float64
	count   []int
	people  int
	binary  bool // no part mark so far
	whole   bool // every row has every column so far
}

// NewMatrix returns an empty matrix of that many columns, 1 to 100 000.
func NewMatrix(columns int) (*Matrix, error) {
	if columns < 1 || columns > 100_000 {
		return nil, refuse(OutOfRange, "%d columns", columns)
	}
	return &Matrix{columns: columns, start: []int{0}, binary: true, whole: true}, nil
}

// FromRows returns the matrix of those rows, one person each; [Missing] stands
// for a column not met.
func FromRows(rows [][]float64) (*Matrix, error) {
	if len(rows) == 0 {
		return nil, refuse(Empty, "rows")
	}
	m, err := NewMatrix(len(rows[0]))
	if err != nil {
		return nil, err
	}
	m.grow(len(rows), len(rows)*len(rows[0]))
	var cells []Cell
	for i, row := range rows {
		if len(row) != m.columns {
			return nil, refuse(OutOfRange, "row %d has %d columns, not %d", i, len(row), m.columns)
		}
		cells = cells[:0]
		for j, x := range row {
			if x != Missing {
				cells = append(cells, Cell{j, x})
			}
		}
		if err := m.Add(1, cells...); err != nil {
			return nil, err
		}
	}
	return m, nil
}

func (m *Matrix) grow(rows, cells int) {
	m.start, m.count = slices.Grow(m.start, rows), slices.Grow(m.count, rows)
	m.column, m.mark = slices.Grow(m.column, cells), slices.Grow(m.mark, cells)
}

// Add adds a row that stands for count people. A row without cells is a person
// without answers: it is kept, and counts for nothing. The error is a
// [*RefusedError]: a mark that is not a number from 0 to 1, a column out of range or
// given twice, a count below 1 or a sum of counts above [MaxCount]. A refused
// row leaves the matrix as it was.
func (m *Matrix) Add(count int, cells ...Cell) error {
	row := len(m.count)
	if count < 1 || count > MaxCount-m.people {
		return refuse(OutOfRange, "row %d: count %d", row, count)
	}
	ordered := slices.IsSortedFunc(cells, func(a, b Cell) int { return a.Column - b.Column })
	if !ordered {
		cells = slices.Clone(cells)
		slices.SortFunc(cells, func(a, b Cell) int { return a.Column - b.Column })
	}
	if err := m.check(row, cells); err != nil {
		return err
	}
	for _, c := range cells {
		m.column = append(m.column, int32(c.Column))
		m.mark = append(m.mark, c.Mark)
		m.binary = m.binary && (c.Mark == 0 || c.Mark == 1)
	}
	if len(cells) > 0 {
		m.people += count
		m.whole = m.whole && len(cells) == m.columns
	}
	m.start = append(m.start, len(m.mark))
	m.count = append(m.count, count)
	return nil
}

func (m *Matrix) check(row int, cells []Cell) error {
	for i, c := range cells {
		switch {
		case c.Column < 0 || c.Column >= m.columns:
			return refuse(OutOfRange, "row %d: column %d", row, c.Column)
		case i > 0 && c.Column == cells[i-1].Column:
			return refuse(OutOfRange, "row %d: column %d twice", row, c.Column)
		case math.IsNaN(c.Mark) || math.IsInf(c.Mark, 0):
			return refuse(NotFinite, "row %d, column %d", row, c.Column)
		case c.Mark < 0 || c.Mark > 1:
			return refuse(OutOfRange, "row %d, column %d: mark %v", row, c.Column, c.Mark)
		}
	}
	return nil
}

// Columns returns the number of columns.
func (m *Matrix) Columns() int { return m.columns }

// People returns the number of people with at least one answer.
func (m *Matrix) People() int { return m.people }

// row returns the columns and marks of row i, and how many people it stands for.
func (m *Matrix) row(i int) ([]int32, []float64, int) {
	lo, hi := m.start[i], m.start[i+1]
	return m.column[lo:hi], m.mark[lo:hi], m.count[i]
}

// same returns why figures that need everybody to have met every column cannot be given.
func (m *Matrix) same() Reason {
	switch {
	case m.people == 0:
		return Empty
	case !m.whole:
		return NotSame
	}
	return ""
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
