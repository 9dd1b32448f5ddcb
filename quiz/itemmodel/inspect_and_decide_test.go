package itemmodel

import (
	"regexp"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// verdictWords are the verdicts of the file format as they are printed.
var verdictWords = map[content.Verdict]string{"refit": "refit", "dress": "dress, then refit", "renew": "renew"}

var measuredWords = regexp.MustCompile(`it measures (−?[0-9.]+ \S+)\. What do you decide\?$`)

func rawInspection(p *content.Procedure, it quiz.Item) *content.Inspection {
	return find(p.Inspections, func(e *content.Inspection) bool { return e.ID == ends(it)[1] })
}

// caseOf finds the case that a text speaks of, over all inspections.
func caseOf(t failer, p *content.Procedure, text string) *content.Case {
	t.Helper()
	for _, n := range p.Inspections {
		for i := range n.Cases {
			if strings.HasSuffix(strings.ToLower(text), strings.ToLower(n.Feature+": "+n.Cases[i].Seen)) {
				return &n.Cases[i]
			}
		}
	}
	t.Fatalf("no case reads %q", text)
	return nil
}

func truthOfInspection(t failer, p *content.Procedure, it quiz.Item) truth {
	n := rawInspection(p, it)
	if m := measuredWords.FindStringSubmatch(it.Stem); m != nil {
		if limitsOf(*n.Limit).side(t, m[1]) != 0 {
			return truthOfText(it, verdictWords[n.Outside])
		}
		return truthOfText(it, "refit")
	}
	if _, asked, ok := strings.Cut(it.Stem, "Which of these means: "); ok {
		tr := truth{right: map[string]bool{}}
		for _, o := range it.Interaction.Options {
			tr.right[o.ID] = verdictWords[caseOf(t, p, o.Text).Verdict]+"?" == asked
		}
		return tr
	}
	c := find(n.Cases, func(c *content.Case) bool { return c.ID == ends(it)[2] })
	if !strings.Contains(strings.ToLower(it.Stem), strings.ToLower(strings.TrimSuffix(c.Seen, "."))) {
		t.Fatalf("the stem does not say what is seen: %s", it.Stem)
	}
	return truthOfText(it, verdictWords[c.Verdict])
}

// Only a milder verdict than the right one is dangerous: renewing what could be
// refitted loses the mark and no more.
func TestStricterVerdictIsNotDangerous(t *testing.T) {
	src := fixture(t)
	lead, _ := src.Index.Fact("inspection/rod")
	seen := map[string]bool{}
	for seed := range 200 {
		it, err := inspectAndDecide.Write(src, lead, random(seed))
		if err != nil {
			t.Fatal(err)
		}
		right := rightOption(t, it)
		for i, o := range it.Interaction.Options {
			want := right == "renew" && o.Text != "renew"
			if got := it.Key.Options[i].Dangerous; got != want {
				t.Errorf("%q where %q is right: dangerous %v, want %v", o.Text, right, got, want)
			}
		}
		seen[right] = true
	}
	if !seen["refit"] || !seen["renew"] {
		t.Errorf("right verdicts %v, want refit and renew", seen)
	}
}
