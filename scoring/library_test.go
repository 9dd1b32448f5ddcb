package scoring

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// eachItem runs the test on items of every model and every fact of the library.
func eachItem(t *testing.T, perFamily int, run func(t *testing.T, it quiz.Item, rnd *rand.Rand)) {
	ps, err := library.Procedures()
	if err != nil || len(ps) == 0 {
		t.Fatalf("library: %d procedures, %v", len(ps), err)
	}
	for _, p := range ps {
		builds := []string{""}
		for _, b := range p.Builds {
			builds = append(builds, b.ID)
		}
		t.Run(p.ID, func(t *testing.T) {
			src := quiz.NewSource(p, builds[len(builds)-1])
			rnd := rand.New(rand.NewChaCha8([32]byte{7}))
			for _, fam := range quiz.NewBank(src, itemmodel.All()).Families() {
				lead, _ := src.Index.Fact(fam.Lead)
				for range perFamily {
					it, err := fam.Model.Write(src, lead, rnd)
					if err != nil {
						t.Fatalf("%s on %s: %v", fam.Model.Name(), fam.Lead, err)
					}
					run(t, it, rnd)
				}
			}
		})
	}
}

// The key that is printed gets full marks and leaves no fact missed; a blank gets
// none, misses every fact and is reported as blank; what a random person gives
// is marked within 0 and 1.
func TestLibraryItemsAreMarked(t *testing.T) {
	eachItem(t, 3, func(t *testing.T, it quiz.Item, rnd *rand.Rand) {
		right, err := quiz.RightAnswer(it)
		if err != nil {
			t.Fatalf("%s on %s: %v", it.Model, it.Lead, err)
		}
		m, err := Mark(it, right)
		if err != nil || m.Mark.String() != "1" || len(m.Critical)+len(m.Feedback) > 0 || slices.ContainsFunc(m.Facts, func(f FactMark) bool { return f.State != Right }) {
			t.Fatalf("%s on %s, the key: %s, %v", it.Model, it.Lead, brief(m), err)
		}
		m, err = Mark(it, quiz.Answer{})
		if err != nil || m.Mark.Rat.Sign() != 0 || !m.Blank || slices.ContainsFunc(m.Facts, func(f FactMark) bool { return f.State != Blank }) {
			t.Fatalf("%s on %s, blank: %s, %v", it.Model, it.Lead, brief(m), err)
		}
		for _, f := range it.Facts {
			if f.Critical && !slices.Contains(m.Critical, f.Fact) {
				t.Fatalf("%s on %s: a blank does not miss %s", it.Model, it.Lead, f.Fact)
			}
		}
		for range 5 {
			m, err = Mark(it, randomAnswer(it.Interaction, rnd))
			if err != nil || m.Mark.Rat.Sign() < 0 || m.Mark.Rat.Cmp(big.NewRat(1, 1)) > 0 {
				t.Fatalf("%s on %s: %s, %v", it.Model, it.Lead, brief(m), err)
			}
		}
	})
}

// randomAnswer gives anything that can be read.
func randomAnswer(in quiz.Interaction, rnd *rand.Rand) quiz.Answer {
	var a quiz.Answer
	switch in.Kind {
	case quiz.Choice, quiz.Hotspot:
		a.Options = []string{in.Options[rnd.IntN(len(in.Options))].ID}
	case quiz.Match:
		a.Rows = map[string]string{}
		for _, r := range in.Rows {
			if rnd.IntN(4) > 0 {
				a.Rows[r.ID] = in.Bins[rnd.IntN(len(in.Bins))].ID
			}
		}
	case quiz.Numeric:
		a.Number = big.NewRat(rnd.Int64N(100_000), 100).FloatString(2)
	default:
		for _, i := range rnd.Perm(len(in.Options))[:rnd.IntN(len(in.Options)+1)] {
			a.Options = append(a.Options, in.Options[i].ID)
		}
	}
	return a
}

// The stored chance mark is the mean mark, and the share of full marks, over all
// answers of a random person; where there are more than mostAnswers of them,
// nothing is said.
func TestChanceMarksAreMeanMarks(t *testing.T) {
	mostAnswers := 5040
	if testing.Short() {
		mostAnswers = 200
	}
	told := map[quiz.Kind]int{}
	eachItem(t, 1, func(t *testing.T, it quiz.Item, _ *rand.Rand) {
		if told[it.Interaction.Kind] >= 300 {
			return
		}
		sum, full, n := new(big.Rat), int64(0), int64(0)
		for a := range allAnswers(it, mostAnswers) {
			m, err := Mark(it, a)
			if err != nil {
				t.Fatalf("%s on %s: %v", it.Model, it.Lead, err)
			}
			sum.Add(sum, m.Mark.Rat)
			n++
			if m.Mark.String() == "1" {
				full++
			}
		}
		if n == 0 {
			return
		}
		told[it.Interaction.Kind]++
		if mean := sum.Mul(sum, big.NewRat(1, n)); mean.Cmp(it.Chance.Mean.Rat) != 0 || it.Chance.Full.Rat.Cmp(big.NewRat(full, n)) != 0 {
			t.Errorf("%s on %s: mean %s, full %d/%d, the item says %s and %s", it.Model, it.Lead, mean.RatString(), full, n, it.Chance.Mean, it.Chance.Full)
		}
	})
	for _, k := range []quiz.Kind{quiz.Choice, quiz.Hotspot, quiz.Multiple, quiz.Match, quiz.Order, quiz.Sequence} {
		if told[k] == 0 && !testing.Short() {
			t.Errorf("no %s item was small enough to go through all answers", k)
		}
	}
}

// allAnswers yields every answer that a random person may give, none where there
// are more than most, or where numbers are asked for.
func allAnswers(it quiz.Item, most int) func(func(quiz.Answer) bool) {
	in := it.Interaction
	n := len(in.Options)
	return func(yield func(quiz.Answer) bool) {
		switch in.Kind {
		case quiz.Choice, quiz.Hotspot:
			for _, o := range in.Options {
				yield(picks(o.ID))
			}
		case quiz.Multiple:
			for set := 0; set < 1<<n && 1<<n <= most; set++ {
				var a quiz.Answer
				for i, o := range in.Options {
					if set>>i&1 == 1 {
						a.Options = append(a.Options, o.ID)
					}
				}
				yield(a)
			}
		case quiz.Match:
			eachMatch(in, most, yield)
		case quiz.Order, quiz.Sequence:
			if f := new(big.Int).MulRange(1, int64(n)); f.Cmp(big.NewInt(int64(most))) > 0 {
				return
			}
			var ids []string
			for _, o := range in.Options {
				ids = append(ids, o.ID)
			}
			eachOrder(ids, nil, yield)
		}
	}
}

func eachOrder(left, done []string, yield func(quiz.Answer) bool) {
	if len(left) == 0 {
		yield(picks(strings.Join(done, " ")))
	}
	for i, id := range left {
		eachOrder(slices.Delete(slices.Clone(left), i, i+1), append(done, id), yield)
	}
}

func eachMatch(in quiz.Interaction, most int, yield func(quiz.Answer) bool) {
	total := 1
	for range in.Rows {
		if total *= len(in.Bins); total > most {
			return
		}
	}
	for i := range total {
		a, x := quiz.Answer{Rows: map[string]string{}}, i
		for _, r := range in.Rows {
			a.Rows[r.ID] = in.Bins[x%len(in.Bins)].ID
			x /= len(in.Bins)
		}
		yield(a)
	}
}

// Refitting a part that must be renewed, where critical, is a critical miss;
// renewing one that could be refitted only loses its row.
func TestSortingTheBench(t *testing.T) {
	seen := map[string]int{}
	eachItem(t, 1, func(t *testing.T, it quiz.Item, _ *rand.Rand) {
		if it.Model != "sort-the-bench" {
			return
		}
		bin := map[string]string{}
		for _, b := range it.Interaction.Bins {
			bin[b.Text] = b.ID
		}
		renew, refit := bin[content.AlwaysRenew.Words()], bin[content.RefitAsItIs.Words()]
		for _, row := range it.Key.Rows {
			a, err := quiz.RightAnswer(it)
			if err != nil {
				t.Fatal(err)
			}
			critical := slices.ContainsFunc(it.Facts, func(f quiz.Tested) bool { return f.Fact == row.Fact && f.Critical })
			if row.Bin == renew {
				a.Rows[row.Row] = refit
			} else {
				a.Rows[row.Row] = renew
				critical = false
			}
			m, err := Mark(it, a)
			if err != nil || len(m.Critical) > 0 != critical || m.Mark.String() == "1" {
				t.Fatalf("%s to %s: %s, %v", row.Fact, a.Rows[row.Row], brief(m), err)
			}
			seen[map[bool]string{true: "critical", false: "row lost"}[critical]]++
		}
	})
	if seen["critical"] == 0 || seen["row lost"] == 0 {
		t.Errorf("seen %v: the library does not try both", seen)
	}
}

// The forecast of every blueprint of the library: better persons pass more often,
// the confirming step helps, the hardest form is the hardest, and who holds .95
// passes nine times of ten.
func TestLibraryForecasts(t *testing.T) {
	forms := 20
	if testing.Short() {
		forms = 12
	}
	ps, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range ps {
		bank := quiz.NewBank(quiz.NewSource(p, buildOf(p)), itemmodel.All())
		blueprints := []content.Blueprint{quiz.DefaultBlueprint(bank.Source().Procedure, bank)}
		if bp, ok := library.Blueprint(p.ID); ok {
			blueprints = append(blueprints, hereOnly(bank, *bp))
		}
		for _, bp := range blueprints {
			f, err := PassTable(bank, bp, quiz.Seed{1}, forms)
			if err != nil {
				t.Errorf("%s: %v", p.ID, err)
				continue
			}
			checkForecast(t, p.ID, f)
			if f.Warn {
				t.Errorf("%s: who holds .95 passes with %.3f", p.ID, f.Rows[2].Pass)
			}
		}
	}
}

func buildOf(p *content.Procedure) string {
	if len(p.Builds) == 0 {
		return ""
	}
	return p.Builds[0].ID
}

// hereOnly leaves out the facts that always appear and this build does not state.
func hereOnly(bank *quiz.Bank, bp content.Blueprint) content.Blueprint {
	bp.Always = slices.DeleteFunc(slices.Clone(bp.Always), func(id content.FactID) bool {
		_, here := bank.Source().Index.Fact(id)
		return !here
	})
	return bp
}

func checkForecast(t *testing.T, name string, f Forecast) {
	t.Helper()
	for i, r := range f.Rows {
		if r.Least > r.Pass+1e-12 || r.Plain > r.Pass || r.Pass < 0 || r.Pass > 1 || i > 0 && r.Pass <= f.Rows[i-1].Pass {
			t.Errorf("%s: row %+v in %+v", name, r, f.Rows)
		}
	}
	if len(f.Rows) != 3 || f.Rows[0].Holds != .80 || f.Rows[1].Holds != .90 || f.Rows[2].Holds != .95 || f.Warn != (f.Rows[2].Pass < .90) {
		t.Errorf("%s: %+v", name, f)
	}
}

// A blueprint that asks for many items on isolation is warned of.
func TestForecastWarns(t *testing.T) {
	p, err := library.Procedure("energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	bank := quiz.NewBank(quiz.NewSource(p, ""), itemmodel.All())
	bp := content.Blueprint{Items: 24, Minutes: 60, Cut: 80, Topics: []content.TopicRule{{Topic: content.TopicIsolation, Min: 14}}}
	f, err := PassTable(bank, bp, quiz.Seed{1}, 5)
	if err != nil || !f.Warn {
		t.Errorf("%+v, %v", f, err)
	}
	checkForecast(t, "many on isolation", f)
	if _, err := PassTable(bank, content.Blueprint{Items: 4000, Cut: 80}, quiz.Seed{1}, 5); err == nil {
		t.Error("a blueprint that cannot be met: no error")
	}
}
