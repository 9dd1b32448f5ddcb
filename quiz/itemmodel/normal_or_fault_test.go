package itemmodel

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

func truthOfObservation(t failer, p *content.Procedure, it quiz.Item) truth {
	byID := func(o *content.Observation) bool { return o.ID == ends(it)[1] }
	if strings.HasSuffix(it.Stem, "What do you make of it?") {
		o := find(p.Observations, byID)
		if !strings.HasPrefix(it.Stem, o.Seen) {
			t.Fatalf("the stem does not say what is seen: %s", it.Stem)
		}
		return statedTruth(t, it, []string{o.Means}, o.Not)
	}
	normal := strings.Contains(it.Stem, "is normal")
	tr := truth{right: map[string]bool{}}
	for _, opt := range it.Interaction.Options {
		o := find(p.Observations, func(o *content.Observation) bool { return o.Seen == opt.Text })
		if o == nil {
			t.Fatalf("no observation reads %q", opt.Text)
		}
		tr.right[opt.ID] = o.Normal == normal
	}
	return tr
}

// Every observation of the library is asked about in one way or the other.
func TestEveryObservationHasAnItem(t *testing.T) {
	n := 0
	for _, src := range sources(t) {
		if src.Procedure.ID == "machine" || src.Procedure.ID == "bench" {
			continue
		}
		for _, f := range src.Index.Of(content.KindObservation) {
			if k, why := normalOrFault.Count(src, f); k == 0 {
				t.Errorf("%s, %s: %s", src.Procedure.ID, f.ID, why)
			}
			n++
		}
	}
	if n == 0 {
		t.Error("the library states no observation")
	}
}

// In an item of "which is a fault" nobody is right who takes a normal sight, and each
// is told what it really is.
func TestWhichTellsWhatTheOthersAre(t *testing.T) {
	src := sources(t)[0]
	for _, f := range src.Index.Of(content.KindObservation) {
		for seed := range scaled(50) {
			it, err := normalOrFault.Write(src, f, random(seed))
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasPrefix(it.Stem, "Which of these") {
				continue
			}
			is := "That is normal: "
			if strings.Contains(it.Stem, "is normal") {
				is = "That is a fault: "
			}
			for _, fb := range it.Feedback {
				if !strings.HasPrefix(fb.Text, is) {
					t.Errorf("%s: feedback %q, want %q", it.Stem, fb.Text, is)
				}
			}
			if got := rightOption(t, it); !strings.HasPrefix(f.Text, strings.TrimSuffix(got, ".")) {
				t.Errorf("the key %q is not the lead %q", got, f.Text)
			}
		}
	}
}
