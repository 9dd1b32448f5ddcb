package library_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/torque"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// pumps are the procedures that this file looks at closely.
var pumps = []string{"aodd-air-side", "energy-isolation"}

func read(t *testing.T, id string) *content.Procedure {
	t.Helper()
	p, err := library.Procedure(id)
	if err != nil {
		t.Fatalf("read %s: %v", id, err)
	}
	return p
}

// A procedure states forty facts or more. A fact that restates another, by id or
// by its words, does not count.
func TestEveryProcedureStatesFortyFacts(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		ids, texts := map[content.FactID]bool{}, map[string]bool{}
		for _, f := range content.Facts(p) {
			if ids[f.ID] {
				t.Errorf("%s: two facts are called %s", p.ID, f.ID)
			}
			ids[f.ID], texts[f.Text] = true, true
		}
		if len(texts) < 40 {
			t.Errorf("%s states %d facts, want 40 or more", p.ID, len(texts))
		}
	}
}

// kindsDeclared reads the constants of type FactKind from their source, so that a
// new kind cannot be forgotten here.
func kindsDeclared(t *testing.T) []content.FactKind {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "../fact.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var kinds []content.FactKind
	ast.Inspect(file, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok || len(v.Values) != 1 {
			return true
		}
		if typ, ok := v.Type.(*ast.Ident); ok && typ.Name == "FactKind" {
			s, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			kinds = append(kinds, content.FactKind(s))
		}
		return true
	})
	return kinds
}

func TestEveryKindOfFactIsInUse(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	used := map[content.FactKind]bool{}
	for _, p := range all {
		for _, f := range content.Facts(p) {
			used[f.Kind] = true
		}
	}
	kinds := kindsDeclared(t)
	if len(kinds) < 30 {
		t.Fatalf("found %d kinds of fact in fact.go, there are more", len(kinds))
	}
	for _, k := range kinds {
		if !used[k] {
			t.Errorf("no procedure of the library states a fact of kind %s", k)
		}
	}
}

// A directional part whose two ways round look alike could be told by nothing
// but paint; a reversible or pipework-set part whose ways differ is all right.
func TestDirectionalPartsAreDrawnAsymmetric(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		for _, part := range p.Parts {
			if f := part.Facing; f != nil && f.Kind == content.Directional && !content.Shapes[part.Shape].Asymmetric {
				t.Errorf("%s: %s is directional and drawn as %s, which looks alike both ways", p.ID, part.Name, part.Shape)
			}
		}
	}
}

// The order is that of 29 CFR 1910.147(d): (1) prepare, (2) shut down, (3) isolate,
// (4) lock, (5) relieve, (6) verify; and nothing is opened before all is verified.
func TestIsolationFollows1910147d(t *testing.T) {
	p := read(t, "energy-isolation")
	ix := content.NewIndex(p)
	sources := map[string][3]string{ // the steps that isolate and lock, relieve, verify
		"air":       {"shut-air", "bleed-air", "prove-air"},
		"receiver":  {"shut-receiver", "bleed-receiver", "prove-receiver"},
		"discharge": {"shut-discharge", "drain-discharge", "prove-discharge"},
		"suction":   {"shut-suction", "drain-suction", "prove-suction"},
		"supply":    {"off-supply", "", "prove-supply"}, // waiting for capacitors is part of the proof's step
	}
	if len(p.Energies) != len(sources) {
		t.Fatalf("%d energies, want %d", len(p.Energies), len(sources))
	}
	for _, e := range p.Energies {
		order := slices.Concat([]string{"walk", "tell", "shutdown"}, nil)
		for _, s := range sources[e.ID] {
			if s != "" {
				order = append(order, s)
			}
		}
		order = append(order, "record", "first-opening")
		for i := 1; i < len(order); i++ {
			if !ix.Comes(order[i-1], order[i]) {
				t.Errorf("%s: %s does not have to be done before %s", e.ID, order[i-1], order[i])
			}
		}
		f, _ := ix.Fact(content.FactID("isolation/" + e.ID))
		if f.Value != "isolate>lock>relieve>prove" || !f.Critical {
			t.Errorf("%s: the fact states %q, critical %v", e.ID, f.Value, f.Critical)
		}
	}
}

// In time, 29 CFR 1910.147(e) runs: inspect the work area (e)(1), people clear
// (e)(2)(i), each device removed by who applied it (e)(3), affected employees told
// before the start (e)(2)(ii). The printed order of the paragraphs is another.
func TestReturnToServiceFollows1910147e(t *testing.T) {
	want := []string{"inspect the work area", "stands clear", "by the person who hung it", "tell", "start"}
	for _, id := range pumps {
		p := read(t, id)
		if p.Isolation == nil || len(p.Isolation.Restore) != len(want) {
			t.Errorf("%s: the return to service has not %d acts", id, len(want))
			continue
		}
		for i, a := range p.Isolation.Restore {
			if !strings.Contains(strings.ToLower(a.Text), want[i]) {
				t.Errorf("%s: act %d of the return is %q, want %q there", id, i+1, a.Text, want[i])
			}
		}
	}
}

// suits reports whether the wrench can be set to the joint's torque: within its
// scale, and finer than the tolerance band.
func suits(t *testing.T, w *content.Wrench, j *content.Joint) bool {
	t.Helper()
	lo, err := j.Tighten.Torque.Cmp(w.Min)
	hi, err2 := j.Tighten.Torque.Cmp(w.Max)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	from, to, err := j.Tighten.Tolerance.Band(*j.Tighten.Torque)
	if err != nil {
		t.Fatal(err)
	}
	grad, err := w.Graduation.In(from.Unit())
	if err != nil {
		t.Fatal(err)
	}
	band := torque.Of(grad.Add(grad, from.Value()), from.Unit())
	fine, err := band.Cmp(to)
	if err != nil {
		t.Fatal(err)
	}
	return lo >= 0 && hi <= 0 && fine <= 0
}

// At each step that tightens to a torque, every wrench that is named or accepted
// can be set to it, at least one is, and every wrench that is refused cannot.
func TestWrenchesSuitTheirJoints(t *testing.T) {
	for _, id := range pumps {
		p := read(t, id)
		ix := content.NewIndex(p)
		for _, s := range p.Steps {
			j := ix.Joint(s.Joint)
			if j == nil || j.Tighten.Torque == nil {
				continue
			}
			able := 0
			for _, tool := range slices.Concat(s.Tools, s.ToolsToo) {
				if w := ix.Tool(tool).Wrench; w != nil {
					if able++; !suits(t, w, j) {
						t.Errorf("%s, %s: %s cannot be set to %s", id, s.ID, tool, j.Tighten.Torque.Text())
					}
				}
			}
			if able == 0 {
				t.Errorf("%s, %s: no torque wrench among the tools", id, s.ID)
			}
			for _, no := range s.ToolsNot {
				if w := ix.Tool(no.Tool).Wrench; w != nil && suits(t, w, j) {
					t.Errorf("%s, %s: %s is refused, and it can be set to %s", id, s.ID, no.Tool, j.Tighten.Torque.Text())
				}
			}
		}
	}
}

// A gauge must be able to show the limit that it is read against: each end of a
// limit is a whole number of the gauge's divisions.
func TestGaugesCanReadTheLimits(t *testing.T) {
	for _, id := range pumps {
		p := read(t, id)
		check := func(what string, l *content.Limit, res *torque.Quantity) {
			for _, end := range []*torque.Quantity{l.Min, l.Max} {
				if end == nil {
					continue
				}
				v, err := end.In(res.Unit())
				if err != nil {
					t.Errorf("%s, %s: %v", id, what, err)
				} else if v.Quo(v, res.Value()); !v.IsInt() {
					t.Errorf("%s, %s: %s is no whole number of %s", id, what, end.Text(), res.Text())
				}
			}
		}
		for _, s := range p.Settings {
			check(s.ID, &s.Limit, &s.Resolution)
		}
		for _, n := range p.Inspections {
			if n.Limit != nil {
				check(n.ID, n.Limit, n.Resolution)
			}
		}
		for _, x := range p.Tests {
			for _, c := range x.Accept {
				if c.Limit != nil {
					check(x.ID+"/"+c.ID, c.Limit, c.Resolution)
				}
			}
		}
	}
}

// Critical is kept for what hurts somebody or wrecks the machine: where everything
// is critical, nobody who is right on nineteen of twenty passes.
func TestCriticalFactsAreAQuarterAtMost(t *testing.T) {
	for _, id := range pumps {
		facts := content.Facts(read(t, id))
		critical := 0
		for _, f := range facts {
			if f.Critical {
				critical++
			}
		}
		if 4*critical > len(facts) || critical == 0 {
			t.Errorf("%s: %d of %d facts are critical", id, critical, len(facts))
		}
	}
}

// Who is right on nineteen sheets of twenty passes nine times of ten or more,
// whichever form comes up.
func TestPumpFormsPassWhoIsRightOnNineteenOfTwenty(t *testing.T) {
	for _, id := range pumps {
		p := read(t, id)
		bp, ok := library.Blueprint(id)
		if !ok {
			t.Fatalf("%s has no blueprint", id)
		}
		bank := quiz.NewBank(quiz.NewSource(p, ""), itemmodel.All())
		for i := range 60 {
			f, err := quiz.Assemble(bank, *bp, quiz.History{}, quiz.Seed{byte(i), 'p'})
			if err != nil {
				t.Fatal(err)
			}
			pass := scoring.PassProbability(scoring.ShapeOf(f), f.Cut, big.NewRat(95, 100), true)
			if pass.Cmp(big.NewRat(9, 10)) < 0 {
				t.Errorf("%s, form %d: %s pass", id, i, pass.FloatString(3))
			}
		}
	}
}
