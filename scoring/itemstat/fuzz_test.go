package itemstat

import (
	"encoding/binary"
	"math"
	"testing"
)

// Whatever the rows hold, every figure is a finite number or a reason.
func FuzzMatrix(f *testing.F) {
	f.Add(uint8(2), []byte{})
	f.Add(uint8(1), []byte("\x00\x00\x00\x00\x00\x00\xf8\x7f"))
	f.Add(uint8(3), []byte("aaaaaaaabbbbbbbbccccccccaaaaaaaabbbbbbbbcccccccc"))
	f.Fuzz(func(t *testing.T, columns uint8, raw []byte) {
		m, err := NewMatrix(int(columns%12) + 1)
		if err != nil {
			t.Fatal(err)
		}
		var cells []Cell
		for i := 0; i+8 <= len(raw); i += 8 {
			bits := binary.LittleEndian.Uint64(raw[i:])
			mark := math.Float64frombits(bits)
			if bits&1 == 0 { // half of the marks in range, else nothing is ever accepted
				mark = float64(bits>>1%5) / 4
			}
			cells = append(cells, Cell{int(bits>>8) % 13, mark})
			if bits&6 == 0 || len(cells) == m.Columns() {
				_ = m.Add(int(bits>>20)%1_000_000_000, cells...) // a refusal leaves m as it was
				cells = nil
			}
		}
		sound(t, m)
	})
}

func sound(t *testing.T, m *Matrix) {
	t.Helper()
	check := func(what string, f Figure) {
		t.Helper()
		if !finite(f.Value, f.Lo, f.Hi) || f.Known() && (f.N < 1 || f.Conf > 0 && (f.Lo > f.Hi)) || !f.Known() && f.Value != 0 {
			t.Errorf("%s: %+v", what, f)
		}
	}
	for _, c := range Columns(m) {
		check("difficulty", c.Difficulty)
		check("item-total", c.ItemTotal)
		check("discrimination", c.Discrimination)
		if d := c.Difficulty; d.Known() && (d.Lo > d.Value+1e-12 || d.Hi < d.Value-1e-12 || d.Lo < 0 || d.Hi > 1) {
			t.Errorf("difficulty %+v outside its interval", d)
		}
	}
	r := Reliable(m)
	for _, f := range append(r.IfDeleted, r.Mean, r.Variance, r.KR20, r.KR21, r.Alpha, r.SplitHalf, r.SEM) {
		check("reliability", f)
	}
}

func TestMatrixRefuses(t *testing.T) {
	m := matrix(t, 3)
	for name, c := range map[string]struct {
		count int
		cells []Cell
		want  Reason
	}{
		"NaN":             {1, []Cell{{0, math.NaN()}}, NotFinite},
		"infinite":        {1, []Cell{{0, math.Inf(-1)}}, NotFinite},
		"above 1":         {1, []Cell{{0, 1.01}}, OutOfRange},
		"negative":        {1, []Cell{{0, -0.5}}, OutOfRange},
		"column":          {1, []Cell{{3, 1}}, OutOfRange},
		"negative column": {1, []Cell{{-1, 1}}, OutOfRange},
		"twice":           {1, []Cell{{1, 1}, {0, 1}, {1, 0}}, OutOfRange},
		"no count":        {0, []Cell{{0, 1}}, OutOfRange},
		"huge count":      {math.MaxInt, []Cell{{0, 1}}, OutOfRange},
	} {
		refused(t, name, m.Add(c.count, c.cells...), c.want)
	}
	if m.People() != 0 || len(m.mark) != 0 {
		t.Errorf("refused rows left %d people, %d marks", m.People(), len(m.mark))
	}
	_, err := NewMatrix(0)
	refused(t, "no columns", err, OutOfRange)
	_, err = FromRows([][]float64{{1, 0}, {1}})
	refused(t, "a short row", err, OutOfRange)
	_, err = FromRows(nil)
	refused(t, "no rows", err, Empty)
}

// A person without answers, a constant column, a constant total, part marks.
func TestFiguresWithoutNumber(t *testing.T) {
	m := matrix(t, 2)
	absent(t, "nobody", Columns(m)[0].Difficulty, Empty)
	absent(t, "nobody", Reliable(m).Alpha, Empty)
	if err := m.Add(7); err != nil {
		t.Fatal(err)
	}
	absent(t, "people without answers", Columns(m)[0].Difficulty, Empty)
	add(t, m, 1, "11")
	absent(t, "one person", Reliable(m).Alpha, TooFew)
	add(t, m, 39, "11")
	absent(t, "all alike", Reliable(m).Alpha, Constant)
	absent(t, "all alike", Columns(m)[0].ItemTotal, Constant)
	absent(t, "all alike", Columns(m)[0].Discrimination, Constant)
	if err := m.Add(30, Cell{0, 0.5}, Cell{1, 1}); err != nil {
		t.Fatal(err)
	}
	absent(t, "part marks", Reliable(m).KR20, NotBinary)
	absent(t, "a column all right", Columns(m)[1].ItemTotal, Constant)
	known(t, "alpha with part marks", Reliable(m).Alpha, 0, 1e-9)
}
