package itemmodel

import (
	"fmt"
	"math/big"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// withAnAdapter asks what a wrench is set to when an adapter stands between it and
// the fastener, in line or at an angle: S = T·L/(L + E·cos a), with L from the middle
// of the grip to the square drive and E from there to the fastener (US Army TM
// 9-254, adapter length compensation). The angles are those whose cosine is
// rational, so that every decision is exact. At 90° there is nothing to correct;
// with the adapter turned back the setting is higher.
var withAnAdapter = &model{name: "wrench-with-an-adapter", version: 1, kinds: []content.FactKind{content.KindTarget}, plan: named(planAdapter),
	states: func(*quiz.Item) bool { return true }}

// attitude is how the adapter stands to the wrench.
type attitude struct {
	degrees *big.Rat
	words   string
	cos     *big.Rat
}

var attitudes = []attitude{
	{big.NewRat(0, 1), "in line with the wrench, pointing away from the grip", big.NewRat(1, 1)},
	{big.NewRat(60, 1), "at 60° to the line of the wrench, pointing away from the grip", big.NewRat(1, 2)},
	{big.NewRat(90, 1), "at 90° to the wrench", new(big.Rat)},
	{big.NewRat(120, 1), "turned back, at 120° to the line of the wrench", big.NewRat(-1, 2)},
	{big.NewRat(180, 1), "turned straight back along the wrench, toward the grip", big.NewRat(-1, 1)},
}

// adapterShelf lists plain adapters. Common sizes, no source.
var adapterShelf = []string{"40 mm", "50 mm", "75 mm", "100 mm", "1.5 in", "2 in", "3 in", "4 in"}

// adapter is an adapter that an item may name.
type adapter struct {
	name   string // of the procedure's tool; "" for one from the shelf
	length torque.Quantity
}

func (a adapter) words() string {
	if a.name != "" {
		return "the " + a.name
	}
	return "an adapter"
}

func adapters(src *quiz.Source) []adapter {
	var out []adapter
	for _, t := range src.Procedure.Tools {
		if t.Adapter != nil {
			out = append(out, adapter{t.Name, *t.Adapter})
		}
	}
	for _, s := range adapterShelf {
		out = append(out, adapter{length: must(s)})
	}
	return out
}

func planAdapter(src *quiz.Source, lead content.Fact) plan {
	t, why := targetOf(src, lead.Subject)
	if why != "" {
		return none(why)
	}
	c := &chooser{few: "no wrench in the manual's unit comes near this torque"}
	as := adapters(src)
	for _, w := range wrenches(src) {
		for _, a := range as {
			for _, at := range attitudes {
				addAdapter(c, src, t, w, a, at)
			}
		}
	}
	return c
}

// addAdapter adds the item on one wrench, adapter and attitude, where it is a fair one: the
// wrench reads in the manual's unit (conversion is another model's), the adapter is
// measured in the unit of the wrench's length, and is well shorter than the wrench.
func addAdapter(c *chooser, src *quiz.Source, t target, w wrench, a adapter, at attitude) {
	if w.Unit != t.torque.Unit() || a.length.Unit() != w.length.Unit() {
		return
	}
	share := leverShare(src, w.length, a.length, at)
	if share == nil || !w.nearly(mul(t.torque.Value(), share)) {
		return
	}
	if s, ok := t.times(w, share); ok && s.sensible() {
		c.add(s, func() quiz.Item { return writeAdapter(t, s, a, at) })
	}
}

type leverKey struct{ wrench, adapter, degrees string }

// leverShare is what share of the torque is set on a wrench of one length with an
// adapter of another; nil where the adapter is longer than half the wrench.
func leverShare(src *quiz.Source, wrench, adapter torque.Quantity, at attitude) *big.Rat {
	return quiz.Keep(src, leverKey{wrench.Text(), adapter.Text(), at.degrees.RatString()}, func() *big.Rat {
		if wrench.IsZero() || mul(adapter.Value(), big.NewRat(2, 1)).Cmp(wrench.Value()) > 0 {
			return nil
		}
		set, err := torque.Angled(torque.Of(big.NewRat(1, 1), torque.NewtonMetre), wrench, adapter, torque.Of(at.degrees, torque.Degree))
		if err != nil {
			return nil
		}
		return set.Value()
	})
}

func writeAdapter(t target, s setting, a adapter, at attitude) quiz.Item {
	w := s.wrench
	it := quiz.Item{Signature: fmt.Sprint(w.id(), "|", a.name, "|", a.length.Text(), "|", at.degrees.RatString()), Seconds: 150}
	it.Stem = fmt.Sprintf("%s: the procedure gives %s, and the fastener is reached only with %s. You have %s; from the middle of its grip to the square drive it is %s, from there to the fastener %s. The adapter stands %s. What do you set the wrench to?",
		t.joint.Title, t.words(), a.words(), w.words(), w.length.Text(), a.length.Text(), at.words)
	k := s.start()
	l, e, torque := w.length.Value(), a.length.Value(), t.torque.Value()
	for _, slip := range adapterSlips(at) {
		s.slip(k, mul(torque, slip.share(l, e, at.cos)), slip.because)
	}
	s.ask(&it, k)
	it.Explain = explainAdapter(t, s, a, at)
	return it
}

func explainAdapter(t target, s setting, a adapter, at attitude) string {
	l, e := s.wrench.length, a.length
	reach := add(l.Value(), mul(e.Value(), at.cos))
	u := l.Unit().String()
	if at.cos.Sign() == 0 {
		return "At 90° the adapter does not change the lever: set the torque itself, " + t.torque.Text() + ". " + s.result()
	}
	return fmt.Sprintf("From the grip to the fastener, measured along the wrench, it is %s %s. The setting is %s × %s ÷ %s, that is %s %s. %s",
		about(reach), u, t.torque.Text(), plain(l.Value()), about(reach), about(s.Exact), s.wrench.Unit, s.result())
}

// adapterSlip is a wrong way to work the setting out.
type adapterSlip struct {
	share   func(l, e, cos *big.Rat) *big.Rat
	because string
}

func adapterSlips(at attitude) []adapterSlip {
	inLine := func(l, e, _ *big.Rat) *big.Rat { return quo(l, add(l, e)) }
	turned := func(l, e, cos *big.Rat) *big.Rat { return quo(add(l, mul(e, cos)), l) }
	back := func(l, e, _ *big.Rat) *big.Rat { return quo(l, sub(l, e)) }
	ignored := func(_, _, _ *big.Rat) *big.Rat { return big.NewRat(1, 1) }
	ofAdapter := func(l, e, _ *big.Rat) *big.Rat { return quo(e, l) }
	slips := []adapterSlip{
		{ignored, "That is the torque itself: the adapter changes the lever."},
		{turned, "The ratio is turned round: the setting is torque × wrench length ÷ length to the fastener."},
	}
	switch {
	case at.cos.Sign() > 0:
		slips = append(slips, adapterSlip{back, "The adapter lengthens the lever here: its length is added, not taken off."})
	case at.cos.Sign() < 0:
		slips = append(slips, adapterSlip{back, "The adapter stands at an angle: only its part along the wrench counts, E·cos a."})
	}
	return append(slips,
		adapterSlip{inLine, "That holds for an adapter in line with the wrench; this one stands otherwise."},
		adapterSlip{func(l, e, _ *big.Rat) *big.Rat { return quo(add(l, e), l) }, "The ratio is turned round, and the adapter does not stand in line."},
		adapterSlip{ofAdapter, "The adapter's length over the wrench's is not the ratio: it is wrench length ÷ length to the fastener."})
}
