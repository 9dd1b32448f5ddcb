package itemmodel

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// checkItem holds one item to every law that can be seen on it alone.
func checkItem(src *quiz.Source, m quiz.Model, f content.Fact, it quiz.Item) error {
	return errors.Join(
		checkHead(src, m, f, it),
		checkOptions(it),
		checkFeedback(it),
		checkTruth(src, m, it),
		checkChance(src, m, it),
		checkShows(src, it),
	)
}

func checkHead(src *quiz.Source, m quiz.Model, f content.Fact, it quiz.Item) error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if it.Model != m.Name() || it.Version != m.Version() || it.Lead != f.ID || it.Topic != f.Kind.Topic() || len(it.ID) != 32 || it.Signature == "" {
		bad("head: %s %d %s %s %q %q", it.Model, it.Version, it.Lead, it.Topic, it.ID, it.Signature)
	}
	if it.Seconds < 15 || it.Seconds > 300 {
		bad("%d seconds", it.Seconds)
	}
	for _, s := range texts(it) {
		if s == "" || strings.Contains(s, "  ") || strings.Contains(s, "%!") || strings.Contains(s, "<nil>") || strings.TrimSpace(s) != s || strings.HasSuffix(s, "..") {
			bad("text %q", s)
		}
	}
	if !strings.HasSuffix(it.Stem, "?") && !strings.HasSuffix(it.Stem, ".") && !strings.HasSuffix(it.Stem, ":") {
		bad("stem %q ends in the air", it.Stem)
	}
	if len(it.Facts) == 0 || it.Facts[0].Fact != f.ID {
		bad("the lead does not stand first in the facts")
	}
	seen := map[content.FactID]bool{}
	for _, tf := range it.Facts {
		raw, ok := src.Index.Fact(tf.Fact)
		if !ok || seen[tf.Fact] || tf.Text != raw.Text || tf.Critical != raw.Critical || tf.Isolation != raw.Isolation() {
			bad("fact %s: unknown, twice, or not as stated", tf.Fact)
		}
		seen[tf.Fact] = true
	}
	for i, id := range it.Shows {
		if _, ok := src.Index.Fact(id); !ok || slices.Contains(it.Shows[:i], id) {
			bad("shows %s: unknown, or twice", id)
		}
	}
	if got, want := slices.Contains(it.Shows, it.Lead), statesTarget(src.Procedure, it); got != want {
		bad("says that it shows its lead: %v, the stem gives the target: %v", got, want)
	}
	for _, id := range keyFacts(it.Key) {
		if !seen[id] {
			bad("the key names %s, which is not among the facts", id)
		}
	}
	return errors.Join(errs...)
}

// statesTarget reports whether the stem gives the torque that the lead states.
func statesTarget(p *content.Procedure, it quiz.Item) bool {
	if ends(it)[0] != "target" {
		return false
	}
	torque := rawJoint(p, it).Tighten.Torque
	return torque != nil && strings.Contains(it.Stem, "gives "+torque.Text())
}

func texts(it quiz.Item) []string {
	out := []string{it.Stem, it.Explain}
	for _, o := range slices.Concat(it.Interaction.Options, it.Interaction.Rows, it.Interaction.Bins) {
		if o.Drawn == nil {
			out = append(out, o.Text)
		}
	}
	for _, f := range it.Feedback {
		out = append(out, f.Text)
	}
	if n := it.Key.Number; n != nil {
		for _, m := range n.Mistakes {
			out = append(out, m.Because)
		}
	}
	return out
}

func keyFacts(k quiz.Key) []content.FactID {
	var out []content.FactID
	for _, o := range k.Options {
		out = append(out, o.Fact)
	}
	for _, r := range k.Rows {
		out = append(out, r.Fact)
	}
	for _, p := range k.Pairs {
		out = append(out, p.Fact)
	}
	return out
}

// checkOptions: ids are letters by place, and no two options read alike unless
// they are identical parts.
func checkOptions(it quiz.Item) error {
	var errs []error
	in := it.Interaction
	for _, set := range [][]quiz.Option{in.Options, in.Rows, in.Bins} {
		seen := map[string]string{}
		for i, o := range set {
			if o.ID != letter(i) {
				errs = append(errs, fmt.Errorf("option %d has id %q", i, o.ID))
			}
			look := strings.ToLower(o.Text)
			if o.Drawn != nil {
				look += fmt.Sprint(*o.Drawn)
			}
			if other, ok := seen[look]; ok && !alike(it.Key, other, o.ID) {
				errs = append(errs, fmt.Errorf("options %s and %s look alike: %q", other, o.ID, o.Text))
			}
			seen[look] = o.ID
		}
	}
	if len(in.Options) > 0 && in.Kind != quiz.Numeric && len(in.Options) < 3 || in.Kind == quiz.Match && (len(in.Rows) < 2 || len(in.Bins) < 2) {
		errs = append(errs, errors.New("too few options"))
	}
	return errors.Join(errs...)
}

func alike(k quiz.Key, a, b string) bool {
	return slices.ContainsFunc(k.Alike, func(set []string) bool { return slices.Contains(set, a) && slices.Contains(set, b) })
}

// checkFeedback: every wrong option, every wrong bin of every row, and every step
// taken just before one that it needs has its own feedback.
func checkFeedback(it quiz.Item) error {
	var errs []error
	need := func(option, bin, before string) {
		has := func(f quiz.Feedback) bool { return f.Option == option && f.Bin == bin && f.Before == before }
		if n := count(it.Feedback, has); n != 1 {
			errs = append(errs, fmt.Errorf("%d feedbacks for option %s, bin %q, before %q", n, option, bin, before))
		}
	}
	for _, o := range it.Key.Options {
		if !o.Right {
			need(o.ID, "", "")
		}
	}
	for _, r := range it.Key.Rows {
		for _, b := range it.Interaction.Bins {
			if b.ID != r.Bin && !slices.Contains(r.Also, b.ID) {
				need(r.Row, b.ID, "")
			}
		}
	}
	for _, p := range it.Key.Pairs {
		if !between(it.Key, p) {
			need(p.After, "", p.Before)
		} else if slices.ContainsFunc(it.Feedback, func(f quiz.Feedback) bool { return f.Option == p.After && f.Before == p.Before }) {
			errs = append(errs, fmt.Errorf("feedback on %s before %s, which follows from others", p.Before, p.After))
		}
	}
	for _, f := range it.Feedback {
		for _, o := range it.Key.Options {
			if o.ID == f.Option && o.Right {
				errs = append(errs, fmt.Errorf("feedback for the right option %s", o.ID))
			}
		}
	}
	return errors.Join(errs...)
}

// between reports whether a third option stands between the two of a pair.
func between(k quiz.Key, p quiz.KeyPair) bool {
	for _, q := range k.Pairs {
		if q.Before == p.Before && slices.ContainsFunc(k.Pairs, func(r quiz.KeyPair) bool { return r.Before == q.After && r.After == p.After }) {
			return true
		}
	}
	return false
}

func count[T any](s []T, is func(T) bool) int {
	n := 0
	for _, e := range s {
		if is(e) {
			n++
		}
	}
	return n
}

// checkTruth compares the key with what the oracle works out.
func checkTruth(src *quiz.Source, m quiz.Model, it quiz.Item) error {
	o := oracles[m.Name()]
	if o == nil {
		return errors.New("no oracle")
	}
	want, err := o(src.Procedure, it)
	if err != nil {
		return fmt.Errorf("oracle: %w", err)
	}
	switch it.Interaction.Kind {
	case quiz.Choice, quiz.Hotspot, quiz.Multiple:
		return checkRight(it, want)
	case quiz.Match:
		return checkRows(it, want)
	case quiz.Order:
		return checkPairs(it, want)
	case quiz.Numeric:
		return checkNumber(it, want)
	case quiz.Sequence:
		return checkSequence(it, want)
	}
	return fmt.Errorf("unknown interaction %q", it.Interaction.Kind)
}

func checkRight(it quiz.Item, want truth) error {
	var errs []error
	right := 0
	if len(it.Key.Options) != len(it.Interaction.Options) {
		errs = append(errs, errors.New("the key does not speak of every option"))
	}
	for i, k := range it.Key.Options {
		w, known := want.right[k.ID]
		if !known || w != k.Right || k.ID != letter(i) {
			errs = append(errs, fmt.Errorf("option %s right: key %v, oracle %v (known %v)", k.ID, k.Right, w, known))
		}
		if k.Right {
			right++
		}
		if k.Right && k.Dangerous {
			errs = append(errs, fmt.Errorf("option %s is right and dangerous", k.ID))
		}
	}
	if it.Interaction.Kind == quiz.Multiple && (right == 0 || right == len(it.Key.Options)) || it.Interaction.Kind != quiz.Multiple && right != 1 {
		errs = append(errs, fmt.Errorf("%d right options of %d", right, len(it.Key.Options)))
	}
	return errors.Join(errs...)
}

func checkRows(it quiz.Item, want truth) error {
	var errs []error
	if len(it.Key.Rows) != len(it.Interaction.Rows) {
		errs = append(errs, errors.New("the key does not speak of every row"))
	}
	for i, r := range it.Key.Rows {
		got := slices.Sorted(slices.Values(append([]string{r.Bin}, r.Also...)))
		if w := slices.Sorted(slices.Values(want.bins[r.Row])); !slices.Equal(got, w) || r.Row != letter(i) {
			errs = append(errs, fmt.Errorf("row %s: key %v, oracle %v", r.Row, got, w))
		}
		for _, d := range r.Dangerous {
			if slices.Contains(got, d) {
				errs = append(errs, fmt.Errorf("row %s: bin %s is right and dangerous", r.Row, d))
			}
		}
	}
	return errors.Join(errs...)
}

func checkPairs(it quiz.Item, want truth) error {
	var errs []error
	if len(it.Key.Pairs) < 6 {
		errs = append(errs, fmt.Errorf("an order item with %d comparable pairs", len(it.Key.Pairs)))
	}
	got := map[[2]string]bool{}
	for _, p := range it.Key.Pairs {
		if got[[2]string{p.Before, p.After}] = true; !want.before[[2]string{p.Before, p.After}] {
			errs = append(errs, fmt.Errorf("pair %s before %s is not so", p.Before, p.After))
		}
	}
	if len(got) != len(it.Key.Pairs) || len(got) != len(want.before) {
		errs = append(errs, fmt.Errorf("%d pairs, %d distinct, oracle %d", len(it.Key.Pairs), len(got), len(want.before)))
	}
	for _, set := range it.Key.Alike {
		for _, id := range set[1:] {
			if option(it.Interaction.Options, id).Text != option(it.Interaction.Options, set[0]).Text {
				errs = append(errs, fmt.Errorf("%v are called identical and look different", set))
			}
		}
	}
	return errors.Join(errs...)
}

func checkNumber(it quiz.Item, want truth) error {
	var errs []error
	n := it.Key.Number
	if n == nil {
		return errors.New("a numeric item without a number")
	}
	if (n.Other == "") != (len(n.Accept) > 0) {
		errs = append(errs, fmt.Errorf("key other %q with %d intervals", n.Other, len(n.Accept)))
	}
	for _, o := range it.Interaction.Options {
		if want.right[o.ID] != (n.Other == o.ID) {
			errs = append(errs, fmt.Errorf("option %s: key %q, oracle %v", o.ID, n.Other, want.right[o.ID]))
		}
	}
	for _, iv := range n.Accept {
		for _, end := range []string{iv.Lo, iv.Hi} {
			if !want.accept(end) {
				errs = append(errs, fmt.Errorf("%s is accepted and wrong", end))
			}
		}
	}
	for _, mk := range n.Mistakes {
		for _, end := range []string{mk.Interval.Lo, mk.Interval.Hi} {
			if inAny(n.Accept, end) {
				errs = append(errs, fmt.Errorf("%s is a mistake and accepted", end))
			}
		}
	}
	return errors.Join(errs...)
}

func inAny(ivs []quiz.Interval, s string) bool {
	x, _ := new(big.Rat).SetString(s)
	for _, iv := range ivs {
		lo, _ := new(big.Rat).SetString(iv.Lo)
		hi, _ := new(big.Rat).SetString(iv.Hi)
		if x.Cmp(lo) >= 0 && x.Cmp(hi) <= 0 {
			return true
		}
	}
	return false
}

func checkSequence(it quiz.Item, want truth) error {
	k := it.Key.Sequence
	if k == nil || len(k.Example) != len(it.Interaction.Options) || !want.judge(k.Example) {
		return errors.New("the example of a sequence is missing or wrong")
	}
	return nil
}
