package itemmodel

import (
	"fmt"
	"math/big"
	"slices"
	"sync"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// wrench is a torque wrench that an item may put into the technician's hand: one
// of the procedure's tools, or a plain one from the shelf.
type wrench struct {
	torque.Wrench                 // its name is empty for one from the shelf
	length        torque.Quantity // middle of the grip to the square drive
}

func (w wrench) digital() bool { return w.Display == torque.Digital }

// shelf lists plain wrenches of sizes that are sold everywhere: unit, range, step,
// length, and "d" for a digital display. The coarse ones are deflecting-beam
// wrenches. Ranges and steps: common practice, no source.
var shelf = [][6]string{
	{"N·m", "2", "10", "0.2", "200 mm", ""}, {"N·m", "5", "25", "0.5", "270 mm", ""}, {"N·m", "20", "100", "1", "400 mm", ""},
	{"N·m", "40", "200", "2", "500 mm", ""}, {"N·m", "80", "400", "5", "650 mm", ""}, {"N·m", "20", "120", "10", "450 mm", ""},
	{"N·m", "1.5", "30", "0.1", "300 mm", "d"}, {"N·m", "10", "135", "0.1", "400 mm", "d"}, {"N·m", "34", "340", "1", "600 mm", "d"},
	{"lbf·in", "20", "100", "1", "10 in", ""}, {"lbf·in", "40", "200", "2", "12 in", ""}, {"lbf·in", "150", "750", "5", "12 in", ""},
	{"lbf·in", "50", "300", "25", "10 in", ""}, {"lbf·in", "100", "1000", "50", "15 in", ""}, {"lbf·in", "27", "265", "0.1", "12 in", "d"},
	{"lbf·ft", "5", "25", "0.5", "10 in", ""}, {"lbf·ft", "10", "75", "1", "15 in", ""}, {"lbf·ft", "30", "150", "1", "20 in", ""},
	{"lbf·ft", "50", "250", "2", "24 in", ""}, {"lbf·ft", "10", "80", "5", "16 in", ""}, {"lbf·ft", "20", "150", "10", "20 in", ""},
	{"lbf·ft", "7", "100", "0.1", "16 in", "d"}, {"lbf·ft", "25", "250", "1", "24 in", "d"},
	{"kgf·cm", "20", "100", "1", "200 mm", ""}, {"kgf·cm", "50", "250", "2", "250 mm", ""}, {"kgf·cm", "200", "1000", "5", "400 mm", ""},
	{"kgf·cm", "50", "400", "50", "300 mm", ""}, {"kgf·cm", "400", "2000", "10", "500 mm", ""}, {"kgf·cm", "30", "300", "1", "300 mm", "d"},
}

// onShelf reads the shelf once.
var onShelf = sync.OnceValue(func() []wrench {
	out := make([]wrench, 0, len(shelf))
	for _, row := range shelf {
		w := content.Wrench{Min: must(row[1] + " " + row[0]), Max: must(row[2] + " " + row[0]), Graduation: must(row[3] + " " + row[0]),
			Length: must(row[4]), Digital: row[5] == "d"}
		out = append(out, wrenchOf("", w))
	}
	return out
})

// must reads a quantity of the shelf; a test reads them all.
func must(s string) torque.Quantity {
	q, err := torque.Parse(s)
	if err != nil {
		return torque.Quantity{}
	}
	return q
}

// wrenchOf reads the scale of a tool, in the unit of its largest value.
func wrenchOf(name string, c content.Wrench) wrench {
	w := wrench{torque.Wrench{Name: name, Unit: c.Max.Unit(), Max: c.Max.Value()}, c.Length}
	w.Min, _ = c.Min.In(w.Unit)
	w.Graduation, _ = c.Graduation.In(w.Unit)
	if c.Digital {
		w.Display = torque.Digital
	}
	return w
}

type wrenchesKey struct{}

// wrenches returns the procedure's own torque wrenches, then the shelf.
func wrenches(src *quiz.Source) []wrench {
	return quiz.Keep(src, wrenchesKey{}, func() []wrench {
		var own []wrench
		for _, t := range src.Procedure.Tools {
			if t.Wrench == nil {
				continue
			}
			if w := wrenchOf(t.Name, *t.Wrench); w.Check() == nil {
				own = append(own, w)
			}
		}
		return slices.Concat(own, onShelf())
	})
}

// id tells one wrench from another in a signature.
func (w wrench) id() string {
	return fmt.Sprint(w.Name, ",", w.Unit, ",", w.Min.RatString(), ",", w.Max.RatString(), ",", w.Graduation.RatString(), ",", w.digital())
}

// words name the wrench and its scale: unit, range and graduation.
func (w wrench) words() string {
	name := "a torque wrench"
	if w.Name != "" {
		name = "the " + w.Name
	}
	scale, mark := "scale", "a mark every"
	if w.digital() {
		scale, mark = "display", "last digit"
	}
	return fmt.Sprintf("%s (%s in %s, from %s to %s, %s %s)", name, scale, w.Unit, plain(w.Min), plain(w.Max), mark, plain(w.Graduation))
}

// rangeWords are the two ends of the scale.
func (w wrench) rangeWords() string {
	return plain(w.Min) + " to " + plain(w.Max) + " " + w.Unit.String()
}

// marks returns the marks next to v, below and above; both are v where v is a mark.
func (w wrench) marks(v *big.Rat) (below, above *big.Rat) {
	n := new(big.Rat).Quo(v, w.Graduation)
	k := new(big.Int).Div(n.Num(), n.Denom())
	below = new(big.Rat).SetInt(k)
	below.Mul(below, w.Graduation)
	if below.Cmp(v) == 0 {
		return below, below
	}
	return below, new(big.Rat).Add(below, w.Graduation)
}
