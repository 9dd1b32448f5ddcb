package itemmodel

import (
	"fmt"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// The oracles of the models of the bench. They read the raw procedure and the
// texts of the item, never an index, a fact's text or a plan.

func init() {
	for name, o := range map[string]oracle{
		"build-the-stack": oracleStack, "what-goes-in-next": oracleNext, "place-the-split": oracleSplit,
		"what-must-be-done-first": oracleFirst, "find-the-wrong-step": oracleWrongStep,
		"isolate-before-opening": oracleIsolation,
	} {
		oracles[name] = o
	}
}

// ends returns the ids within the lead fact's id: kind, subject, sub, other.
func ends(it quiz.Item) []string { return strings.Split(string(it.Lead), "/") }

func find[T any](all []T, is func(*T) bool) *T {
	for i := range all {
		if is(&all[i]) {
			return &all[i]
		}
	}
	return nil
}

func rawPart(p *content.Procedure, id string) *content.Part {
	return find(p.Parts, func(e *content.Part) bool { return e.ID == id })
}

func rawStack(p *content.Procedure, id string) *content.Stack {
	return find(p.Stacks, func(e *content.Stack) bool { return e.ID == id })
}

func rawStep(p *content.Procedure, id string) *content.Step {
	return find(p.Steps, func(e *content.Step) bool { return e.ID == id })
}

// reach closes "comes after" by going on until nothing is added: reach[a][b] says
// that a comes before b.
func reach(after map[string][]string) map[string]map[string]bool {
	r := map[string]map[string]bool{}
	for b, as := range after {
		for _, a := range as {
			if r[a] == nil {
				r[a] = map[string]bool{}
			}
			r[a][b] = true
		}
	}
	for again := true; again; {
		again = false
		for a := range r {
			for b := range r[a] {
				for c := range r[b] {
					if !r[a][c] {
						r[a][c], again = true, true
					}
				}
			}
		}
	}
	return r
}

// lastBefore lists every shortest path from a to c and returns the thing just
// before c on the least of them.
func lastBefore(after map[string][]string, a, c string) string {
	paths := [][]string{{c}}
	for {
		var done, longer [][]string
		for _, p := range paths {
			for _, b := range after[p[0]] {
				q := append([]string{b}, p...)
				if longer = append(longer, q); b == a {
					done = append(done, q)
				}
			}
		}
		if len(done) > 0 {
			least := slices.MinFunc(done, func(x, y []string) int { return slices.Compare(x, y) })
			return least[len(least)-2]
		}
		if paths = longer; len(paths) == 0 {
			return ""
		}
	}
}

func layersAfter(st *content.Stack) map[string][]string {
	after := map[string][]string{}
	for _, l := range st.Layers {
		after[l.ID] = l.On
	}
	return after
}

// oracleStack finds the layers that the options are; identical ones in the way
// that the key has them, which must be one of the ways there are.
func oracleStack(p *content.Procedure, it quiz.Item) (truth, error) {
	st := rawStack(p, ends(it)[1])
	after := layersAfter(st)
	before := reach(after)
	var options [][]string // for each option the layers that look like it
	shown := map[string]int{}
	for _, o := range it.Interaction.Options {
		var ids []string
		for _, l := range st.Layers {
			if part := rawPart(p, l.Part); part.Name == o.Text {
				if ids = append(ids, l.ID); part.Shape != o.Drawn.Shape || o.Drawn.Toward != "" {
					return truth{}, fmt.Errorf("option %s is drawn as %v", o.ID, *o.Drawn)
				}
			}
		}
		options = append(options, ids)
		shown[o.Text]++
	}
	for i, o := range it.Interaction.Options {
		if shown[o.Text] != len(options[i]) {
			return truth{}, fmt.Errorf("%d of %d %q are shown: which?", shown[o.Text], len(options[i]), o.Text)
		}
	}
	var first *truth
	var found *truth
	assign(options, nil, func(ids []string) {
		t := truth{before: map[[2]string]bool{}}
		for i, a := range ids {
			for j, b := range ids {
				if before[a][b] {
					t.before[[2]string{it.Interaction.Options[i].ID, it.Interaction.Options[j].ID}] = true
				}
			}
		}
		if first == nil {
			first = &t
		}
		if found == nil && agrees(t, it) && stackFacts(st, after, ids, it) == nil {
			found = &t
		}
	})
	if found == nil {
		return *first, stackFacts(st, after, nil, it)
	}
	return *found, nil
}

// assign goes through every way to give each option one of its things, none twice.
func assign(options [][]string, head []string, f func([]string)) {
	if len(head) == len(options) {
		f(head)
		return
	}
	for _, id := range options[len(head)] {
		if !slices.Contains(head, id) {
			assign(options, append(head[:len(head):len(head)], id), f)
		}
	}
}

func agrees(t truth, it quiz.Item) bool {
	for _, k := range it.Key.Pairs {
		if !t.before[[2]string{k.Before, k.After}] {
			return false
		}
	}
	return len(it.Key.Pairs) == len(t.before)
}

// stackFacts checks that each pair belongs to the fact that states it.
func stackFacts(st *content.Stack, after map[string][]string, ids []string, it quiz.Item) error {
	if ids == nil {
		return fmt.Errorf("no way to read the identical layers agrees with the key")
	}
	for _, k := range it.Key.Pairs {
		a, c := ids[k.Before[0]-'a'], ids[k.After[0]-'a']
		if want := "layer/" + st.ID + "/" + c + "/" + lastBefore(after, a, c); string(k.Fact) != want {
			return fmt.Errorf("pair %s before %s belongs to %s, want %s", a, c, k.Fact, want)
		}
	}
	return nil
}

// oracleNext reads the layers in place from the figure, in every way in which they
// can have been put in that order, and finds what can go in next in each.
func oracleNext(p *content.Procedure, it quiz.Item) (truth, error) {
	st := rawStack(p, ends(it)[1])
	before := reach(layersAfter(st))
	readings, inAll, inAny := 0, map[string]int{}, map[string]bool{}
	var put func(placed []string)
	put = func(placed []string) {
		open := map[string]bool{}
		for _, l := range st.Layers {
			ready := !slices.Contains(placed, l.ID)
			for _, m := range st.Layers {
				ready = ready && (!before[m.ID][l.ID] || slices.Contains(placed, m.ID))
			}
			name := rawPart(p, l.Part).Name
			if !ready {
				continue
			}
			if n := len(placed); n < len(it.Figure.Stack.Placed) {
				if name == it.Figure.Stack.Placed[n].Text {
					put(append(placed[:len(placed):len(placed)], l.ID))
				}
				continue
			}
			open[name] = true
		}
		if len(placed) == len(it.Figure.Stack.Placed) {
			readings++
			for name := range open {
				inAll[name]++
				inAny[name] = true
			}
		}
	}
	put(nil)
	if readings == 0 {
		return truth{}, fmt.Errorf("the layers drawn cannot be put in in that order")
	}
	t := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		t.right[o.ID] = inAll[o.Text] == readings
		if inAny[o.Text] && !t.right[o.ID] {
			return t, fmt.Errorf("option %s could be next in one of %d readings", o.ID, readings)
		}
	}
	return t, nil
}

func oracleSplit(p *content.Procedure, it quiz.Item) (truth, error) {
	st := rawStack(p, ends(it)[1])
	s := find(st.Layers, func(l *content.Layer) bool { return l.ID == ends(it)[2] }).Split
	wrong := map[string]string{}
	for _, w := range s.Not {
		wrong[w.Angle.Text()] = w.Because
	}
	for i := range it.Interaction.Options[1:] {
		a, b := it.Interaction.Options[i].Text, it.Interaction.Options[i+1].Text
		if x, y := leadingNumber(a), leadingNumber(b); x >= y {
			return truth{}, fmt.Errorf("angles do not rise: %s, %s", a, b)
		}
	}
	return statedChoice(it, []string{s.Angle.Text()}, wrong)
}

func leadingNumber(s string) float64 {
	var x float64
	fmt.Sscan(s, &x)
	return x
}

// statedChoice: an option is right where its text is one of the right ones, wrong
// where the procedure states it wrong, and else should not be there.
func statedChoice(it quiz.Item, right []string, wrong map[string]string) (truth, error) {
	t := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		because, isWrong := wrong[o.Text]
		isRight := slices.Contains(right, o.Text)
		if t.right[o.ID] = isRight; isRight == isWrong {
			return t, fmt.Errorf("option %q: stated right %v, stated wrong %v", o.Text, isRight, isWrong)
		}
		if f := find(it.Feedback, func(f *quiz.Feedback) bool { return f.Option == o.ID }); isWrong && (f == nil || f.Text != because) {
			return t, fmt.Errorf("option %q has the feedback of another mistake", o.Text)
		}
	}
	return t, nil
}

func because(ws []content.Wrong) map[string]string {
	m := map[string]string{}
	for _, w := range ws {
		m[w.Text] = w.Because
	}
	return m
}

// quotedStep finds the step whose text stands in quotation marks in the stem.
func quotedStep(p *content.Procedure, it quiz.Item) (*content.Step, error) {
	_, rest, _ := strings.Cut(it.Stem, "“")
	text, _, _ := strings.Cut(rest, "”")
	var found []*content.Step
	for i := range p.Steps {
		if strings.TrimSuffix(p.Steps[i].Text, ".") == text {
			found = append(found, &p.Steps[i])
		}
	}
	if len(found) != 1 {
		return nil, fmt.Errorf("%d steps read %q", len(found), text)
	}
	return found[0], nil
}

// stepsBefore is the closure of the steps of a procedure, worked out once.
func stepsBefore(p *content.Procedure) map[string]map[string]bool {
	if closures[p] == nil {
		closures[p] = reach(stepsAfter(p))
	}
	return closures[p]
}

var closures = map[*content.Procedure]map[string]map[string]bool{}

// stepBefore is lastBefore on the steps of a procedure, worked out once for each pair.
func stepBefore(p *content.Procedure, a, c string) string {
	key := lastStep{p, a, c}
	if _, ok := lastSteps[key]; !ok {
		lastSteps[key] = lastBefore(stepsAfter(p), a, c)
	}
	return lastSteps[key]
}

type lastStep struct {
	p    *content.Procedure
	a, c string
}

var lastSteps = map[lastStep]string{}

func stepsAfter(p *content.Procedure) map[string][]string {
	after := map[string][]string{}
	for _, s := range p.Steps {
		after[s.ID] = s.After
	}
	return after
}

// optionSteps finds the step that each option is.
func optionSteps(p *content.Procedure, it quiz.Item) ([]string, error) {
	var ids []string
	for _, o := range it.Interaction.Options {
		n := 0
		for _, s := range p.Steps {
			if s.Text == o.Text {
				ids = append(ids, s.ID)
				n++
			}
		}
		if n != 1 {
			return nil, fmt.Errorf("%d steps read %q", n, o.Text)
		}
	}
	return ids, nil
}

func oracleFirst(p *content.Procedure, it quiz.Item) (truth, error) {
	step, err := quotedStep(p, it)
	if err != nil {
		return truth{}, err
	}
	ids, err := optionSteps(p, it)
	if err != nil {
		return truth{}, err
	}
	before := stepsBefore(p)
	t := truth{right: map[string]bool{}}
	for i, id := range ids {
		o := it.Key.Options[i]
		want := "precede/" + step.ID + "/" + stepBefore(p, id, step.ID)
		if t.right[o.ID] = before[id][step.ID]; !t.right[o.ID] {
			want = "precede/" + id + "/" + stepBefore(p, step.ID, id)
		}
		if !before[id][step.ID] && !before[step.ID][id] {
			return t, fmt.Errorf("%s is neither before nor after %s", id, step.ID)
		}
		if string(o.Fact) != want {
			return t, fmt.Errorf("option %s belongs to %s, want %s", id, o.Fact, want)
		}
	}
	return t, nil
}

// oracleWrongStep takes each step out in turn and sees whether what is left is a
// valid order.
func oracleWrongStep(p *content.Procedure, it quiz.Item) (truth, error) {
	ids, err := optionSteps(p, it)
	if err != nil {
		return truth{}, err
	}
	before := stepsBefore(p)
	var violated [][2]int
	lead := false
	for i := range ids {
		for j := range i {
			if before[ids[i]][ids[j]] {
				violated = append(violated, [2]int{i, j})
				lead = lead || ids[i] == ends(it)[2] && ids[j] == ends(it)[1]
			}
		}
	}
	if len(violated) < 2 || !lead {
		return truth{}, fmt.Errorf("%d precedences violated, the lead's %v", len(violated), lead)
	}
	t := truth{right: map[string]bool{}}
	for i, o := range it.Interaction.Options {
		t.right[o.ID] = !slices.ContainsFunc(violated, func(v [2]int) bool { return v[0] != i && v[1] != i })
	}
	return t, nil
}

// act is an act of isolation: its place in the order of 29 CFR 1910.147(d), and
// its source. Prepare 0, shut down 1, isolate 2, lock 3, relieve 4, prove 5, open 6.
type act struct {
	stage, nth int
	source     string
}

func rawActs(p *content.Procedure) map[string][]act {
	acts := map[string][]act{}
	add := func(text string, a act) { acts[strings.ToLower(text)] = append(acts[strings.ToLower(text)], a) }
	iso := p.Isolation
	for i, a := range iso.Prepare {
		add(a.Text, act{0, i, ""})
	}
	add(iso.Shutdown.Text, act{1, 0, ""})
	for _, e := range p.Energies {
		for i, text := range []string{e.Isolate, e.Lock, e.Relieve, e.Prove} {
			add(text, act{2 + i, 0, e.ID})
			add(e.Source+": "+text, act{2 + i, 0, e.ID})
		}
	}
	add(iso.FirstOpening.Text, act{6, 0, ""})
	return acts
}

func oracleIsolation(p *content.Procedure, it quiz.Item) (truth, error) {
	if !it.Key.AllRight {
		return truth{}, fmt.Errorf("isolation is not all or nothing")
	}
	if ends(it)[0] == "restore" {
		return oracleRestore(p, it)
	}
	all := rawActs(p)
	var acts []act
	for _, o := range it.Interaction.Options {
		found := all[strings.ToLower(o.Text)]
		if len(found) != 1 {
			return truth{}, fmt.Errorf("%q is %d acts", o.Text, len(found))
		}
		acts = append(acts, found[0])
	}
	t := truth{before: map[[2]string]bool{}}
	stages := map[int]int{}
	for i, a := range acts {
		stages[a.stage]++
		for j, b := range acts {
			fact := ""
			switch {
			case a.stage == 0 && b.stage == 0 && a.nth < b.nth, a.stage < b.stage && a.stage <= 1:
				fact = "isolation/shutdown"
			case a.stage < 6 && b.stage == 6:
				fact = "isolation/opening"
			case a.source != "" && a.source == b.source && a.stage < b.stage:
				fact = "isolation/" + a.source
			default:
				continue
			}
			pair := [2]string{letter(i), letter(j)}
			t.before[pair] = true
			if k := find(it.Key.Pairs, func(k *quiz.KeyPair) bool { return k.Before == pair[0] && k.After == pair[1] }); k == nil || string(k.Fact) != fact {
				return t, fmt.Errorf("pair %v %v wants %s", a, b, fact)
			}
		}
	}
	if stages[1] != 1 || stages[6] != 1 || stages[2] == 0 || stages[2] != stages[3] || stages[3] != stages[4] || stages[4] != stages[5] {
		return t, fmt.Errorf("acts shown: %v", stages)
	}
	return t, nil
}

func oracleRestore(p *content.Procedure, it quiz.Item) (truth, error) {
	at := make([]int, len(it.Interaction.Options))
	for i, o := range it.Interaction.Options {
		at[i] = slices.IndexFunc(p.Isolation.Restore, func(a content.Action) bool { return a.Text == o.Text })
		if at[i] < 0 {
			return truth{}, fmt.Errorf("%q is no act of the return", o.Text)
		}
	}
	t := truth{before: map[[2]string]bool{}}
	for i, a := range at {
		for j, b := range at {
			if a < b {
				t.before[[2]string{letter(i), letter(j)}] = true
			}
		}
	}
	return t, nil
}
