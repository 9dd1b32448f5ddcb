package itemmodel

import (
	"regexp"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

var recordWords = regexp.MustCompile(`The record reads: (.+), ([0-9.]+ \S+), held for ([0-9.]+ \S+), nothing`)

func rawTest(p *content.Procedure, it quiz.Item) *content.Test {
	return find(p.Tests, func(e *content.Test) bool { return e.ID == ends(it)[1] })
}

// oracleRecord says what is wrong with the record in the stem, if anything is.
func oracleRecord(t failer, raw *content.Test, stem string) string {
	t.Helper()
	m := recordWords.FindStringSubmatch(stem)
	if m == nil || m[1] != raw.Medium {
		t.Fatalf("no record, or another medium: %s", stem)
	}
	unit := strings.Split(m[2], " ")[1]
	pressure := oracleIn(t, m[2], unit).Cmp(oracleIn(t, raw.Pressure.Text(), unit))
	short := oracleIn(t, m[3], "s").Cmp(oracleIn(t, raw.Hold.Text(), "s")) < 0
	switch {
	case pressure != 0 && short:
		t.Fatalf("two things are wrong: %s", stem)
	case pressure < 0:
		return "no, the pressure was too low"
	case pressure > 0:
		return "no, the pressure was too high"
	case short:
		return "no, it was not held long enough"
	}
	return "yes, it counts"
}

func truthOfTest(t failer, p *content.Procedure, it quiz.Item) truth {
	raw := rawTest(p, it)
	if ends(it)[0] == "test" {
		return truthOfText(it, oracleRecord(t, raw, it.Stem))
	}
	c := find(raw.Accept, func(c *content.Criterion) bool { return c.ID == ends(it)[2] })
	if c.Limit != nil {
		want, _ := oracleReading(t, limitsOf(*c.Limit), it.Stem)
		return truthOfText(it, want)
	}
	pass := strings.HasSuffix(it.Stem, "is a pass?")
	if !pass && !strings.HasSuffix(it.Stem, "is a fail?") {
		t.Fatalf("pass or fail? %s", it.Stem)
	}
	stated := map[string]bool{}
	for _, s := range c.Pass {
		stated[s] = pass
	}
	for _, f := range c.Fail {
		stated[f.Text] = !pass
	}
	tr := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		if _, known := stated[o.Text]; !known {
			t.Fatalf("the procedure does not state %q", o.Text)
		}
		tr.right[o.ID] = stated[o.Text]
	}
	return tr
}

func TestPassTheTest(t *testing.T) {
	src := fixture(t)
	keys := map[content.FactKind]map[string]int{content.KindTest: {}, content.KindCriterion: {}}
	eachItem(t, passTheTest, src, scaled(300), func(lead content.Fact, it quiz.Item) {
		keys[lead.Kind][rightOption(t, it)]++
		for i, o := range it.Interaction.Options {
			k := it.Key.Options[i]
			if want := o.Text == "yes, it counts" && !k.Right; lead.ID == "test/leak" && k.Dangerous != want {
				t.Errorf("%q: dangerous %v, want %v: %s", o.Text, k.Dangerous, want, it.Stem)
			}
		}
	})
	if len(keys[content.KindTest]) != 4 {
		t.Errorf("keys %v, want all four", keys[content.KindTest])
	}
	for _, want := range []string{"none of them", "all three", "too low", "too high", "no bubbles", "a string of bubbles"} {
		if keys[content.KindCriterion][want] == 0 {
			t.Errorf("%q is never the key: %v", want, keys[content.KindCriterion])
		}
	}
}
