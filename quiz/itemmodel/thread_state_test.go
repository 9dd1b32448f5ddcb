package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// filmIndex says by hand which film the words name, for every thread of the library
// and the fixtures; −1 is none or several.
var filmIndex = map[string]string{
	"coated as supplied, with nothing added": "coated", "silver-plated as supplied, with nothing added": "coated",
	"dry-film coated as supplied, with nothing added": "coated", "clean and lightly oiled": "oil", "clean and oiled": "oil",
	"clean and dry, with nothing on them": "dry", "with threadlock": "threadlock", "waxed": "wax", "greased": "grease", "with anti-seize paste": "anti-seize",
	"clean and dry": "dry", "lightly oiled": "oil", "oiled": "oil",
	"clean, with the nuts' own wax and nothing else": "wax",
	"clean, with molybdenum paste":                   "anti-seize", "clean, with nickel anti-seize": "anti-seize",
	"clean and free of grease, with medium-strength threadlock on the rod": "threadlock",
	"clean and free of grease, with medium-strength threadlock":            "threadlock",
}

func truthOfThread(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	tr := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		tr.right[o.ID] = o.Text == j.Thread
		film, own := filmIndex[o.Text], filmIndex[j.Thread]
		if !tr.right[o.ID] && film != "" && (film == own || film+own == "drycoated" || film+own == "coateddry") {
			t.Fatalf("%q does not rule out %q", o.Text, j.Thread)
		}
	}
	return tr
}

func TestFilmOf(t *testing.T) {
	for _, c := range []struct {
		thread string
		want   string
	}{
		{"clean and dry", "dry"}, {"dry and free of oil", "dry"}, {"clean, dry, degreased", "dry"}, {"lightly oiled", "oil"},
		{"threads and washer face oiled, never greased", "oil"}, {"clean, with the nuts' own wax and nothing else", "wax"},
		{"clean and free of grease, with medium-strength threadlock on the rod", "threadlock"}, {"with copper anti-seize", "anti-seize"},
		{"coated with molybdenum paste", "anti-seize"}, {"greased", "grease"},
		{"as found", ""}, {"oiled or greased", ""}, {"dry, or with anti-seize where the fluid is salty", ""},
	} {
		got := ""
		if i := filmOf(c.thread); i >= 0 {
			got = []string{"dry", "coated", "threadlock", "oil", "wax", "grease", "anti-seize"}[i]
		}
		if got != c.want {
			t.Errorf("%q is %q, want %q", c.thread, got, c.want)
		}
	}
}

// Every thread of the library is known by hand and read alike.
func TestThreadsOfTheLibrary(t *testing.T) {
	for _, src := range sources(t) {
		for _, j := range src.Procedure.Joints {
			if j.Thread == "" {
				continue
			}
			want, known := filmIndex[j.Thread]
			i := filmOf(j.Thread)
			if !known || i < 0 || []string{"dry", "coated", "threadlock", "oil", "wax", "grease", "anti-seize"}[i] != want {
				t.Errorf("%s, %s: thread %q is film %d, by hand %q", src.Procedure.ID, j.ID, j.Thread, i, want)
			}
		}
	}
}
