package itemstat

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// script runs a script of testdata/r, where this machine has R, and returns what it prints.
func script(b *testing.B, name string, args ...string) (string, bool) {
	b.Helper()
	r, err := exec.LookPath("Rscript")
	if err != nil {
		b.Log("no Rscript here, so nothing to compare with: install r-base-core, r-cran-psych and r-cran-erm")
		return "", false
	}
	cmd := exec.CommandContext(b.Context(), r, append([]string{name}, args...)...)
	cmd.Dir = "testdata/r"
	var said strings.Builder
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		b.Fatalf("%s: %v\n%s", name, err, said.String())
	}
	return string(out), true
}

// Alpha, alpha if deleted and item-total of 100 000 sittings × 40 columns beside
// psych's alpha() on the same answers: the same figures, and how many times faster.
// Reading the answers is in neither time. At least 50 times is wanted.
func BenchmarkAlphaAgainstPsych(b *testing.B) {
	const people, columns = 100_000, 40
	m, _, _ := simulated2PL(b, 1, people, columns)
	raw := make([]byte, len(m.mark))
	for i, x := range m.mark {
		raw[i] = byte(x)
	}
	file := filepath.Join(b.TempDir(), "answers")
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		b.Fatal(err)
	}
	text, ok := script(b, "alpha-speed.R", file, strconv.Itoa(people), strconv.Itoa(columns))
	took := math.Inf(1) // the least, as of R's runs
	var r Reliability
	var s []moments
	for b.Loop() {
		began := time.Now()
		r, s = Reliable(m), itemTotals(m)
		took = min(took, time.Since(began).Seconds())
	}
	if !ok {
		return
	}
	lines := strings.Split(text, "\n")
	var said [4][]float64
	for i := range said {
		for v := range strings.FieldsSeq(lines[i]) {
			x, err := strconv.ParseFloat(v, 64)
			if err != nil {
				b.Fatal(err)
			}
			said[i] = append(said[i], x)
		}
	}
	worst := math.Abs(r.Alpha.Value - said[1][0])
	for j := range columns {
		own, _ := s[j].correlation()
		worst = max(worst, math.Abs(r.IfDeleted[j].Value-said[2][j]), math.Abs(own-said[3][j]))
	}
	if worst > 1e-9 {
		b.Errorf("figures differ by up to %g", worst)
	}
	b.ReportMetric(said[0][0]/took, "times-faster")
	b.ReportMetric(said[0][0]*1e3, "psych-ms")
}

// The reference values worked out anew, against those that the tests hold. It
// takes as long as R does.
func BenchmarkReferenceAnew(b *testing.B) {
	kept := reference(b)
	for b.Loop() {
		text, ok := script(b, "reference.R")
		if !ok {
			return
		}
		anew := parseReference(b, text)
		if len(anew) != len(kept) {
			b.Errorf("%d names, kept %d", len(anew), len(kept))
		}
		for name, values := range kept {
			for i, v := range values {
				if len(anew[name]) != len(values) || math.Abs(anew[name][i]-v) > 1e-4 {
					b.Errorf("%s: %v, kept %v", name, anew[name], values)
					break
				}
			}
		}
	}
}
