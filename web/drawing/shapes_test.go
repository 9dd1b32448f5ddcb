package drawing

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"soloright/content"
)

// corners returns the corner points of a path, curves' ends included.
func corners(t *testing.T, d string) []point {
	t.Helper()
	var pts []point
	x, y := 0.0, 0.0
	for _, m := range regexp.MustCompile(`([A-Z])([^A-Z]*)`).FindAllStringSubmatch(d, -1) {
		n := numbers(t, m[2])
		switch m[1] {
		case "M", "L":
			for i := 0; i+1 < len(n); i += 2 {
				x, y = n[i], n[i+1]
				pts = append(pts, point{x, y})
			}
			continue
		case "H":
			x = n[0]
		case "V":
			y = n[0]
		case "Q":
			x, y = n[2], n[3]
		case "A":
			x, y = n[5], n[6]
		case "Z":
			continue
		default:
			t.Fatalf("path command %s is not known to this test", m[1])
		}
		pts = append(pts, point{x, y})
	}
	return pts
}

func numbers(t *testing.T, s string) []float64 {
	t.Helper()
	var out []float64
	for _, f := range regexp.MustCompile(`-?\d+(\.\d+)?`).FindAllString(s, -1) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// looksAlikeMirrored reports whether a section has the same corners after its
// left and right are exchanged.
func looksAlikeMirrored(t *testing.T, s section) bool {
	var all, mirrored []string
	for _, d := range slices.Concat(s.cut, s.seen) {
		for _, p := range corners(t, d) {
			all = append(all, num(p.x)+","+num(p.y))
			mirrored = append(mirrored, num(-p.x)+","+num(p.y))
		}
	}
	slices.Sort(all)
	slices.Sort(mirrored)
	return slices.Equal(slices.Compact(all), slices.Compact(mirrored))
}

// Options of a facing item that draw alike are no options: a shape that counts
// as asymmetric must look so, and one that does not must not give a way round away.
func TestSectionsLookAsTheShapesSay(t *testing.T) {
	for shape, d := range content.Shapes {
		s, ok := sections[shape]
		if !ok {
			t.Errorf("%s has no section", shape)
			continue
		}
		if alike := looksAlikeMirrored(t, s); alike == d.Asymmetric {
			t.Errorf("%s: looks alike mirrored: %v, but content says asymmetric: %v", shape, alike, d.Asymmetric)
		}
		if d.Asymmetric && d.Feature == "" {
			t.Errorf("%s has no name for the feature that tells its two ways round apart", shape)
		}
	}
	for shape := range sections {
		if _, ok := content.Shapes[shape]; !ok {
			t.Errorf("section %s belongs to no shape", shape)
		}
	}
}

func TestSectionsStayInTheirBox(t *testing.T) {
	for shape, s := range sections {
		if content.Shapes[shape].Asymmetric != (s.plain.half > 0) {
			t.Errorf("%s: a plain block is for the asymmetric shapes, and for all of them", shape)
		}
		for _, d := range s.cut {
			for _, p := range corners(t, d) {
				if b := s.plain; b.half > 0 && (p.x < -b.half || p.x > b.half || p.y < -b.out || p.y > -b.in) {
					t.Errorf("%s: corner %v lies outside the plain block %v", shape, p, b)
				}
			}
		}
		for _, d := range slices.Concat(s.cut, s.seen) {
			for _, p := range corners(t, d) {
				if p.x < -30 || p.x > 30 || p.y < -46 || p.y > 26 {
					t.Errorf("%s: corner %v lies outside the box", shape, p)
				}
			}
		}
	}
}

func TestNoInlineStylesOrScripts(t *testing.T) {
	for shape := range sections {
		var s svg
		s.part(shape, "left", false, true)
		if got := string(s.close()); strings.Contains(got, "style=") || strings.Contains(got, "<script") {
			t.Errorf("%s is drawn with inline styles or scripts, which the content security policy refuses", shape)
		}
	}
}

// Where the way round is not stated, left and right look the same.
func TestAPartOfNoStatedWayRoundTellsNone(t *testing.T) {
	for shape, d := range content.Shapes {
		var plain, mirrored, stated svg
		plain.part(shape, "", false, false)
		mirrored.part(shape, "", true, false)
		stated.part(shape, "right", false, false)
		flip := strings.Replace(string(mirrored.close()), ` transform="scale(-1 1)"`, "", 1)
		p, st := string(plain.close()), string(stated.close())
		if p != flip {
			t.Errorf("%s: plain and mirrored differ", shape)
		}
		if d.Asymmetric == (p == st) {
			t.Errorf("%s: asymmetric %v, but the plain drawing is the stated one: %v", shape, d.Asymmetric, p == st)
		}
	}
}
