package itemstat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Data and values: teaching example on KR-20, East Carolina University; the
// corrected correlations and the trap were computed from the definitions.
func TestTeachingExample(t *testing.T) {
	m, _ := responses(t)
	r := Reliable(m)
	known(t, "population variance", r.Variance, 5.84, 5e-7)
	known(t, "KR-20", r.KR20, 0.696347, 5e-7)
	known(t, "alpha", r.Alpha, 0.696347, 5e-7)
	known(t, "KR-21", r.KR21, 0.684170, 5e-7)
	known(t, "SEM", r.SEM, 1.331666, 5e-7)
	if math.Abs(r.KR20.Value-0.737823) < 0.01 {
		t.Error("KR-20 mixes the n−1 variance of the totals with the p·q of the columns")
	}
	pq := 0.0
	want := []float64{.7059, .7059, 0, .4736, .5839, .2861, -.0274, .7059, -.1236, .4759}
	for j, s := range itemTotals(m) {
		p := s.sum / float64(s.n)
		pq += p * (1 - p)
		got, ok := s.correlation()
		if !ok {
			t.Errorf("column %d: no correlation", j)
		}
		near(t, fmt.Sprintf("item-total of column %d", j), got, want[j], 5e-5)
	}
	near(t, "Σpq", pq, 2.18, 5e-7)
	for j, c := range Columns(m) {
		absent(t, fmt.Sprintf("column %d from 10 people", j), c.ItemTotal, TooFew)
		absent(t, fmt.Sprintf("column %d from 10 people", j), c.Discrimination, TooFew)
	}
}

// LSAT section 6, Bock & Lieberman 1970; values computed from the definitions.
func TestLSAT6Classical(t *testing.T) {
	_, m := responses(t)
	r := Reliable(m)
	known(t, "KR-20", r.KR20, 0.294997, 5e-7)
	for j, c := range Columns(m) {
		known(t, "p", c.Difficulty, []float64{.924, .709, .553, .763, .870}[j], 1e-9)
		known(t, "item-total", c.ItemTotal, []float64{.1128, .1532, .1728, .1444, .1216}[j], 5e-5)
		known(t, "alpha if deleted", r.IfDeleted[j], []float64{.2754, .2376, .2168, .2459, .2663}[j], 5e-5)
		if c.Difficulty.N != 1000 || c.ItemTotal.N != 1000 {
			t.Errorf("column %d: n %d and %d, want 1000", j, c.Difficulty.N, c.ItemTotal.N)
		}
	}
}

// The one-pass sums against the definitions, written out on dense rows.
func TestReliableAgainstDefinitions(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range trials(200) {
		n, k := 2+rnd.IntN(12), 2+rnd.IntN(6)
		rows := make([][]float64, n)
		for i := range rows {
			rows[i] = make([]float64, k)
			for j := range rows[i] {
				rows[i][j] = float64(rnd.IntN(4)) / 3
			}
		}
		m, err := FromRows(rows)
		if err != nil {
			t.Fatal(err)
		}
		got := Reliable(m)
		all := make([]int, k)
		for j := range all {
			all[j] = j
		}
		checkAlpha(t, "alpha", got.Alpha, rows, all)
		for j := range k {
			rest := append(append([]int{}, all[:j]...), all[j+1:]...)
			if len(rest) > 1 {
				checkAlpha(t, "alpha if deleted", got.IfDeleted[j], rows, rest)
			}
		}
		odd, even := half(rows, 0), half(rows, 1)
		if r := pearson(odd, even); got.SplitHalf.Known() {
			near(t, "split-half", got.SplitHalf.Value, 2*r/(1+r), 1e-6*(1+math.Abs(2*r/(1+r))))
		}
	}
}

func checkAlpha(t *testing.T, what string, got Figure, rows [][]float64, cols []int) {
	t.Helper()
	total := make([]float64, len(rows))
	sum := 0.0
	for _, j := range cols {
		one := make([]float64, len(rows))
		for i := range rows {
			one[i] = rows[i][j]
			total[i] += rows[i][j]
		}
		sum += covariance(one, one)
	}
	k := float64(len(cols))
	if v := covariance(total, total); v > 1e-9 {
		want := k / (k - 1) * (1 - sum/v)
		known(t, what, got, want, 1e-8*(1+math.Abs(want)))
	} else {
		absent(t, what, got, Constant)
	}
}

func half(rows [][]float64, from int) []float64 {
	out := make([]float64, len(rows))
	for i, row := range rows {
		for j := from; j < len(row); j += 2 {
			out[i] += row[j]
		}
	}
	return out
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func covariance(x, y []float64) float64 {
	mx, my, sum := mean(x), mean(y), 0.0
	for i := range x {
		sum += (x[i] - mx) * (y[i] - my)
	}
	return sum / float64(len(x))
}

func pearson(x, y []float64) float64 {
	return covariance(x, y) / math.Sqrt(covariance(x, x)*covariance(y, y))
}

// trials is the number of random cases: n, or a tenth of it under -short.
func trials(n int) int {
	if testing.Short() {
		return max(1, n/10)
	}
	return n
}

// Where people met different columns each is correlated with the mean on the others.
func TestItemTotalSparse(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	rows := make([][]float64, 60)
	for i := range rows {
		rows[i] = make([]float64, 8)
		for j := range rows[i] {
			rows[i][j] = float64(rnd.IntN(3)) / 2
			if rnd.IntN(3) == 0 {
				rows[i][j] = Missing
			}
		}
	}
	m, err := FromRows(rows)
	if err != nil {
		t.Fatal(err)
	}
	for j, c := range Columns(m) {
		var x, r []float64
		for _, row := range rows {
			sum, n := 0.0, 0
			for l, v := range row {
				if l != j && v != Missing {
					sum, n = sum+v, n+1
				}
			}
			if row[j] != Missing && n > 0 {
				x, r = append(x, row[j]), append(r, sum/float64(n))
			}
		}
		known(t, "item-total", c.ItemTotal, pearson(x, r), 1e-9)
		known(t, "difficulty", c.Difficulty, mean(x), 1e-9)
	}
	absent(t, "alpha of a sparse matrix", Reliable(m).Alpha, NotSame)
	absent(t, "alpha if deleted of a sparse matrix", Reliable(m).IfDeleted[0], NotSame)
}

// Better people miss a column whose key is turned round, and only that one.
func TestMiskeyed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	m := matrix(t, 20)
	for range 400 {
		theta := rnd.NormFloat64()
		row := make([]byte, 20)
		for j := range row {
			right := rnd.Float64() < 1/(1+math.Exp(-1.5*theta))
			if (j == 7) != right {
				row[j] = '1'
			} else {
				row[j] = '0'
			}
		}
		add(t, m, 1, string(row))
	}
	for j, c := range Columns(m) {
		if c.Miskeyed() != (j == 7) {
			t.Errorf("column %d: miskeyed %v, item-total %+v", j, c.Miskeyed(), c.ItemTotal)
		}
		if (c.Discrimination.Value < 0) != (j == 7) {
			t.Errorf("column %d: discrimination %v", j, c.Discrimination.Value)
		}
	}
}

// Worked by hand: 40 people, so 10.8 places each end. Scores in half marks on
// two columns: 10 people have 11, 20 have 10, 10 have 00. The upper group is the
// ten with 11 and 0.8 shared by the twenty; the lower ten with 00 and 0.8 of the twenty.
func TestDiscriminationSharesTies(t *testing.T) {
	m := matrix(t, 2)
	add(t, m, 10, "11")
	add(t, m, 20, "10")
	add(t, m, 10, "00")
	got := Columns(m)
	known(t, "first column", got[0].Discrimination, (10+0.8)/10.8-0.8/10.8, 1e-9)
	known(t, "second column", got[1].Discrimination, 10/10.8, 1e-9)

	// Here thirty are tied, 25 of them right on the first column: they fill the
	// lower group and 0.8 of the upper.
	m = matrix(t, 2)
	add(t, m, 10, "11")
	add(t, m, 25, "10")
	add(t, m, 5, "01")
	got = Columns(m)
	known(t, "first column", got[0].Discrimination, (10+0.8*25/30)/10.8-25./30, 1e-9)
	known(t, "second column", got[1].Discrimination, (10+0.8*5/30)/10.8-5./30, 1e-9)
}

// A matrix says the same whether people with equal marks are counted or listed.
func TestCountsAreRows(t *testing.T) {
	_, grouped := responses(t)
	listed := matrix(t, 5)
	for i := range grouped.count {
		cols, marks, count := grouped.row(i)
		var cells []Cell
		for c := range cols {
			cells = append(cells, Cell{int(cols[c]), marks[c]})
		}
		for range count {
			if err := listed.Add(1, cells...); err != nil {
				t.Fatal(err)
			}
		}
	}
	a, b := Columns(grouped), Columns(listed)
	for j := range a {
		known(t, "item-total", a[j].ItemTotal, b[j].ItemTotal.Value, 1e-9)
		known(t, "discrimination", a[j].Discrimination, b[j].Discrimination.Value, 1e-9)
	}
	known(t, "alpha", Reliable(grouped).Alpha, Reliable(listed).Alpha.Value, 1e-9)
}
