package itemstat

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// responses reads the published answers of testdata/item-responses.json.
func responses(t testing.TB) (kr20, lsat6 *Matrix) {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/item-responses.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		KR20 struct {
			Rows []string `json:"rows"`
		} `json:"kr20"`
		LSAT6 struct {
			Patterns map[string]int `json:"patterns"`
		} `json:"lsat6"`
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	kr20, lsat6 = matrix(t, 10), matrix(t, 5)
	for _, row := range file.KR20.Rows {
		add(t, kr20, 1, row)
	}
	for row, n := range file.LSAT6.Patterns {
		if n > 0 {
			add(t, lsat6, n, row)
		}
	}
	return kr20, lsat6
}

func matrix(t testing.TB, columns int) *Matrix {
	t.Helper()
	m, err := NewMatrix(columns)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// add adds a row written as 1 right, 0 wrong, anything else not met.
func add(t testing.TB, m *Matrix, count int, row string) {
	t.Helper()
	var cells []Cell
	for j, r := range row {
		if r == '0' || r == '1' {
			cells = append(cells, Cell{j, float64(r - '0')})
		}
	}
	if err := m.Add(count, cells...); err != nil {
		t.Fatal(err)
	}
}

// near fails unless got is want within tol.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %.7f, want %.7f ± %g", what, got, want, tol)
	}
}

// known is near for a figure that must hold a number.
func known(t *testing.T, what string, got Figure, want, tol float64) {
	t.Helper()
	if !got.Known() {
		t.Errorf("%s: no number (%s), want %v", what, got.NotYet, want)
		return
	}
	near(t, what, got.Value, want, tol)
}

// absent fails unless f holds no number, for that reason.
func absent(t *testing.T, what string, f Figure, want Reason) {
	t.Helper()
	if f.NotYet != want || f.Value != 0 || f.Lo != 0 || f.Hi != 0 {
		t.Errorf("%s: got %+v, want no number because %q", what, f, want)
	}
}
