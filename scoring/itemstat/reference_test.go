package itemstat

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// reference reads what the R packages psych and eRm said: testdata/r/reference.R
// shows how, the first line of reference.txt tells the versions.
func reference(t testing.TB) map[string][]float64 {
	t.Helper()
	raw, err := os.ReadFile("testdata/r/reference.txt")
	if err != nil {
		t.Fatal(err)
	}
	return parseReference(t, string(raw))
}

func parseReference(t testing.TB, text string) map[string][]float64 {
	t.Helper()
	out := map[string][]float64{}
	for line := range strings.Lines(text) {
		name, values, found := strings.Cut(strings.TrimSpace(line), "\t")
		if !found {
			continue
		}
		for v := range strings.SplitSeq(values, "\t") {
			x, err := strconv.ParseFloat(v, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			out[name] = append(out[name], x)
		}
	}
	return out
}

// drawn reads one of the invented sets of answers of testdata/r, whose marks are
// out of most by column.
func drawn(t testing.TB, name string, most ...float64) *Matrix {
	t.Helper()
	file, err := os.Open("testdata/r/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	m := matrix(t, len(rows[0]))
	for _, row := range rows[1:] {
		var cells []Cell
		for j, text := range row {
			if text == "" {
				continue
			}
			mark, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			cells = append(cells, Cell{j, mark / most[j%len(most)]})
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

func partMarks(t testing.TB) *Matrix { return drawn(t, "part-marks.csv", 1, 3, 3, 1, 3, 3) }

func nearAll(t *testing.T, what string, got []Figure, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) || len(want) == 0 {
		t.Fatalf("%s: %d figures, %d values", what, len(got), len(want))
	}
	for i, f := range got {
		known(t, what, f, want[i], tol)
	}
}

// psych 2.2.9 (R 4.2.2): alpha, alpha if deleted and corrected item-total
// correlation, of right or wrong and of part marks.
func TestClassicalAsPsych(t *testing.T) {
	want := reference(t)
	kr20, lsat6 := responses(t)
	for name, m := range map[string]*Matrix{"kr20": kr20, "lsat6": lsat6, "thirds": partMarks(t)} {
		r := Reliable(m)
		nearAll(t, name+" alpha", []Figure{r.Alpha}, want[name+" alpha"], 1e-8)
		nearAll(t, name+" alpha if deleted", r.IfDeleted, want[name+" alpha if deleted"], 1e-8)
		for j, s := range itemTotals(m) {
			got, _ := s.correlation() // the figure waits for 30 people
			near(t, name+" item-total", got, want[name+" item-total"][j], 1e-8)
		}
	}
}

// eRm 1.0.2 (R 4.2.2): Rasch difficulties by conditional maximum likelihood with their standard
// errors, also where everybody met six of twelve columns. Its optimizer stops
// within 1e-4 of the top's place.
func TestConditionalAsERm(t *testing.T) {
	want := reference(t)
	_, lsat6 := responses(t)
	for name, m := range map[string]*Matrix{"lsat6": lsat6, "sparse": drawn(t, "sparse.csv", 1)} {
		f, err := Conditional(m)
		if err != nil || !f.Converged {
			t.Fatal(name, f.Course, err)
		}
		var b, se []Figure
		for _, it := range f.Items {
			b, se = append(b, it.Difficulty), append(se, it.DifficultySE)
		}
		nearAll(t, name+" difficulty", b, want[name+" Rasch difficulty"], 1e-4)
		nearAll(t, name+" error", se, want[name+" Rasch error"], 1e-4)
		near(t, name+" log L", f.LogLik, want[name+" Rasch log L"][0], 1e-5)
	}
}

// eRm 1.0.2: abilities and their standard errors by total, under its own difficulties.
// The errors, from the curvature at which its optimizer stopped, are good to 5e-5.
func TestEstimateAsERm(t *testing.T) {
	want := reference(t)
	for total := 1; total <= 4; total++ {
		var answers []Answer
		for j, b := range want["lsat6 Rasch difficulty"] {
			answers = append(answers, Answer{Param{1, b}, j < total}) // which ones makes no difference
		}
		got, err := Estimate(answers, 0, 1)
		if err != nil {
			t.Fatal(err)
		}
		known(t, "ability", got.ML, want["lsat6 ability"][total-1], 1e-5)
		known(t, "its error", got.MLSE, want["lsat6 ability error"][total-1], 1e-4)
	}
}

// eRm 1.0.2: steps of the partial credit model by conditional maximum likelihood.
// The marginal fit of the same answers, whose people were drawn from a normal, is near: half a standard error.
func TestPartialCreditAsERm(t *testing.T) {
	want := reference(t)
	m := partMarks(t)
	f, err := ConditionalGraded(m, GradedOptions{})
	if err != nil || !f.Converged {
		t.Fatal(f.Course, err)
	}
	g := fitGraded(t, m, GradedOptions{Options: Options{Model: CommonSlope}})
	var steps []Figure
	var marginal []float64
	for j, it := range f.Items {
		steps = append(steps, it.Steps...)
		for _, b := range g.Columns[j].Steps {
			marginal = append(marginal, g.Columns[j].Slope*b)
		}
	}
	nearAll(t, "step", steps, want["part-marks PCM steps"], 1e-4)
	near(t, "log L", f.LogLik, want["part-marks PCM log L"][0], 1e-5)
	middle := mean(marginal)
	for i, b := range marginal {
		near(t, "marginal step", b-middle, steps[i].Value, .06)
	}
}
