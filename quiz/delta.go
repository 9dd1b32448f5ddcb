package quiz

import (
	"crypto/sha256"
	"errors"
	"slices"
	"strings"

	"soloright/content"
)

// Delta is what the form of a delta sitting was set for.
type Delta struct {
	From  string           `json:"from"`  // the revision that the person stands on; the form is on the one in force
	Facts []content.FactID `json:"facts"` // that changed since
}

// AssembleDelta sets the form of a delta sitting: for each changed fact two fresh
// items, three where the chance mark of one exceeds ¼, all of which must be right;
// see [AssembleFor]. It tries seeds grown from the given one, since some orders of
// choosing end where two items give each other away; the form carries the seed
// given, so the same arguments give the same form.
func AssembleDelta(bank *Bank, d Delta, h History, seed Seed) (*Form, error) {
	var failed error
	for i := range byte(deltaSeeds) {
		f, err := AssembleFor(bank, d.Facts, TwoOrThree, h, sha256.Sum256(append(seed[:], i)))
		var u *Unmet
		if err == nil {
			f.Delta, f.Seed = &Delta{From: d.From, Facts: slices.Clone(d.Facts)}, seed
			return f, nil
		}
		if failed = err; !errors.As(err, &u) {
			return nil, err
		}
	}
	return nil, failed
}

// deltaSeeds is how many seeds are tried.
const deltaSeeds = 8

// MostTogether is how many facts one delta form asks at most: about an hour's work.
const MostTogether = 20

// Unaskable is a fact that a delta form cannot ask, with the reason in plain words.
type Unaskable struct {
	Fact content.FactID
	Why  string
}

// Askable divides changed facts into those that a delta form on the bank can ask,
// and the rest: facts that the bank's build does not state, or that too few items
// test. It depends on the bank and the facts only. The cost is a small form for
// each fact.
func Askable(bank *Bank, facts []content.FactID) (asked []content.FactID, rest []Unaskable, err error) {
	for _, f := range facts {
		why, err := unaskable(bank, f)
		if err != nil {
			return nil, nil, err
		}
		if why != "" {
			rest = append(rest, Unaskable{f, why})
		} else if !slices.Contains(asked, f) {
			asked = append(asked, f)
		}
	}
	return asked, rest, nil
}

// SetDelta sets the form of a delta sitting on the first [MostTogether] of some
// facts, each of which can be asked, but for those whose items would give away
// others' there; at least one is left. What the form asks stands in its Delta, and
// [AssembleDelta] of that gives it again; what is left out is for another form.
func SetDelta(bank *Bank, d Delta, h History, seed Seed) (*Form, error) {
	now := Delta{From: d.From, Facts: slices.Clone(d.Facts[:min(len(d.Facts), MostTogether)])}
	for {
		f, err := AssembleDelta(bank, now, h, seed)
		var u *Unmet
		if err == nil || !errors.As(err, &u) || len(now.Facts) < 2 {
			return f, err
		}
		at := slices.Index(now.Facts, content.FactID(strings.TrimPrefix(u.Constraint, "fact ")))
		if at < 0 {
			return nil, err
		}
		now.Facts = slices.Delete(now.Facts, at, at+1)
	}
}

// unaskable says why a fact alone cannot be asked; "" where it can.
func unaskable(bank *Bank, f content.FactID) (string, error) {
	if _, here := bank.source.Index.Fact(f); !here {
		return "it holds for another build than the one sat on", nil
	}
	_, err := AssembleDelta(bank, Delta{Facts: []content.FactID{f}}, History{}, Seed{})
	var u *Unmet
	if errors.As(err, &u) {
		return "no model can write questions enough on it", nil
	}
	return "", err
}
