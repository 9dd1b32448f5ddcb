package itemmodel

import (
	"slices"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// written writes n items of a model on a fact of the bench.
func written(t *testing.T, m quiz.Model, lead content.FactID, n int) []quiz.Item {
	t.Helper()
	return writtenFrom(t, quiz.NewSource(bench(), ""), m, lead, n)
}

func writtenFrom(t *testing.T, src *quiz.Source, m quiz.Model, lead content.FactID, n int) []quiz.Item {
	t.Helper()
	f, ok := src.Index.Fact(lead)
	if !ok {
		t.Fatalf("no fact %s", lead)
	}
	if k, why := m.Count(src, f); k == 0 {
		t.Fatalf("%s cannot write on %s: %s", m.Name(), lead, why)
	}
	out := make([]quiz.Item, n)
	for seed := range out {
		it, err := m.Write(src, f, random(seed))
		if err != nil {
			t.Fatal(err)
		}
		out[seed] = it
	}
	return out
}

// counted is what the model says of a fact of a procedure.
func counted(t *testing.T, p *content.Procedure, m quiz.Model, lead content.FactID) (int, string) {
	t.Helper()
	src := quiz.NewSource(p, "")
	f, ok := src.Index.Fact(lead)
	if !ok {
		t.Fatalf("no fact %s", lead)
	}
	return m.Count(src, f)
}

// textsOf returns the texts of the options that is picks.
func textsOf(it quiz.Item, is func(quiz.KeyOption) bool) []string {
	var out []string
	for i, k := range it.Key.Options {
		if is(k) {
			out = append(out, it.Interaction.Options[i].Text)
		}
	}
	slices.Sort(out)
	return out
}

func isRight(k quiz.KeyOption) bool { return k.Right }

func isWrong(k quiz.KeyOption) bool { return !k.Right }
