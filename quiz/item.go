// Package quiz makes assessments: items, blueprints, forms, sittings.
//
// Everything here is a pure function of its arguments. An item model (package
// itemmodel) writes an [Item] from one lead fact, the procedure and a source of
// randomness; [Assemble] chooses the (fact, model) families of a form from a
// [Bank] by a blueprint. What a technician may see of an item is its [Sheet].
package quiz

import (
	"math/big"

	"soloright/content"
	"soloright/content/bolting"
)

// Item is one concrete question with its key. It is kept as it is with the
// form, so a sitting can be marked again years later without the procedure.
type Item struct {
	ID          string           `json:"id"`      // digest of model, lead fact and signature: same id, same concrete item
	Model       string           `json:"model"`   // "build-the-stack"
	Version     int              `json:"version"` // of the model
	Lead        content.FactID   `json:"lead"`
	Facts       []Tested         `json:"facts"` // every fact it tests, the lead first
	Topic       content.Topic    `json:"topic"`
	Signature   string           `json:"signature"` // what makes this item another than its siblings, arrangement left out
	Stem        string           `json:"stem"`
	Figure      *Figure          `json:"figure,omitempty"`
	Interaction Interaction      `json:"interaction"`
	Key         Key              `json:"key"`
	Feedback    []Feedback       `json:"feedback,omitempty"` // per wrong answer, the mistake it is
	Explain     string           `json:"explain"`            // why the key is the key, in one or two sentences
	Chance      Chance           `json:"chance"`
	Shows       []content.FactID `json:"shows,omitempty"` // facts that stem, figure or options give away
	Seconds     int              `json:"seconds"`         // the time it is given on a form
}

// Tested is a fact that an item tests.
type Tested struct {
	Fact      content.FactID `json:"fact"`
	Critical  bool           `json:"critical,omitempty"`
	Isolation bool           `json:"isolation,omitempty"`
	Text      string         `json:"text"` // the fact as one sentence
	Step      string         `json:"step"` // the step that states it, to learn again
}

// Kind is the kind of an interaction, after QTI 3.0's interactions.
type Kind string

// The interactions.
const (
	Choice   Kind = "choice"   // one option
	Multiple Kind = "multiple" // any number of options
	Match    Kind = "match"    // each row one bin
	Order    Kind = "order"    // every option placed, first to last
	Sequence Kind = "sequence" // fasteners in the order of tightening, on the drawing
	Numeric  Kind = "numeric"  // a number in the unit printed beside the box, or one of the options ("not this wrench")
	Hotspot  Kind = "hotspot"  // one step of a list pointed out
)

// Interaction is what the technician does. Ids are letters by place, given
// after shuffling, so they say nothing of the key.
type Interaction struct {
	Kind    Kind     `json:"kind"`
	Options []Option `json:"options,omitempty"` // choice, multiple, order, sequence, hotspot; numeric: answers other than a number
	Rows    []Option `json:"rows,omitempty"`    // match
	Bins    []Option `json:"bins,omitempty"`    // match
	Unit    string   `json:"unit,omitempty"`    // numeric: printed beside the box
	Fixed   int      `json:"fixed,omitempty"`   // choice: how many options at the end stand in a fixed place
	Ordered bool     `json:"ordered,omitempty"` // options stand in a natural order (ascending numbers), not shuffled
}

// Option is one option, row, bin, layer, step or fastener.
type Option struct {
	ID    string `json:"id"`
	Text  string `json:"text,omitempty"`
	Drawn *Drawn `json:"drawn,omitempty"`
}

// Drawn says how a part is drawn in a section: its shape and which way round.
// Toward is the direction of its feature: "left" or "right" in a facing figure,
// "in" (toward the far end) or "out" in a stack; empty where nothing is said of
// it, and then the drawing must not say it either. Mark is a dab of marking paint
// on the face that looks Toward, for shapes whose two sides look alike.
type Drawn struct {
	Shape  content.Shape `json:"shape"`
	Toward string        `json:"toward,omitempty"`
	Mark   bool          `json:"mark,omitempty"`
}

// Figure is a drawing as data, so that any face can draw it. One of its parts is set.
type Figure struct {
	Stack  *StackFigure  `json:"stack,omitempty"`
	Facing *FacingFigure `json:"facing,omitempty"`
	Joint  *JointFigure  `json:"joint,omitempty"`
}

// StackFigure is a bore or a rod seen in section. Placed are the layers that are
// already in, from the far end on.
type StackFigure struct {
	In       string   `json:"in"` // "bore" or "rod"
	From     string   `json:"from"`
	Far      string   `json:"far"`
	Placed   []Option `json:"placed,omitempty"`
	Places   int      `json:"places"`             // how many layers there are in all
	Mirrored bool     `json:"mirrored,omitempty"` // true: layers go in from the right
}

// FacingFigure is the fixed, labelled surrounding of a facing item: the same in
// every option. Left and Right are the labels of its two ends.
type FacingFigure struct {
	Part  string `json:"part"`
	Left  string `json:"left"`
	Right string `json:"right"`
}

// JointFigure is a joint seen from the side of its fasteners. Place i of the
// pattern is the option with index i−1, or, where the fasteners are not the
// options, stands beside Labels[i−1]. Rotation (degrees clockwise) and Mirror turn
// the drawing only. Tight are the places already tightened, in order: their
// numbers in it stand on them.
type JointFigure struct {
	Title    string          `json:"title"`
	Pattern  bolting.Pattern `json:"pattern"`
	Rotation int             `json:"rotation,omitempty"`
	Mirror   bool            `json:"mirror,omitempty"`
	Start    string          `json:"start,omitempty"` // option id of a pinned start fastener, drawn filled
	Labels   []string        `json:"labels,omitempty"`
	Tight    []int           `json:"tight,omitempty"`
}

// Key is the right answer, or the exactly defined set of right answers. Which
// fields are set depends on the interaction.
type Key struct {
	Options  []KeyOption  `json:"options,omitempty"`   // choice, multiple, hotspot: every option with its fact
	Rows     []KeyRow     `json:"rows,omitempty"`      // match
	Pairs    []KeyPair    `json:"pairs,omitempty"`     // order: every pair of the transitive closure among the options shown
	Alike    [][]string   `json:"alike,omitempty"`     // order: sets of interchangeable options (identical parts)
	AllRight bool         `json:"all_right,omitempty"` // order: all right 1, anything else 0 and a critical miss (isolation)
	Sequence *KeySequence `json:"sequence,omitempty"`
	Number   *KeyNumber   `json:"number,omitempty"`
}

// KeyOption says of an option whether it is right, and which fact it belongs to.
// Dangerous marks a wrong option whose choice is a critical miss where its fact
// is critical; a wrong option of a critical fact that is not dangerous (renewing
// what could be refitted) only loses its mark.
type KeyOption struct {
	ID        string         `json:"id"`
	Right     bool           `json:"right,omitempty"`
	Fact      content.FactID `json:"fact"`
	Dangerous bool           `json:"dangerous,omitempty"`
}

// KeyRow is the right bin of a row. Also lists further bins that are right.
// Dangerous lists the wrong bins whose choice is a critical miss where the
// row's fact is critical.
type KeyRow struct {
	Row       string         `json:"row"`
	Bin       string         `json:"bin"`
	Also      []string       `json:"also,omitempty"`
	Fact      content.FactID `json:"fact"`
	Dangerous []string       `json:"dangerous,omitempty"`
}

// KeyPair says that one option comes before another, and which fact states it.
type KeyPair struct {
	Before string         `json:"before"`
	After  string         `json:"after"`
	Fact   content.FactID `json:"fact"`
}

// KeySequence is judged by bolting.Judge; place i of the pattern is the option with index i−1.
type KeySequence struct {
	Pattern bolting.Pattern `json:"pattern"`
	Rule    bolting.Rule    `json:"rule"`
	Example []string        `json:"example"` // one right answer
}

// KeyNumber is the set of right numbers: the union of closed intervals (often
// single values), in the unit of the interaction, as exact decimals or
// fractions; or the option Other ("not this wrench"), with no intervals.
// Mistakes are wrong values that people arrive at, with their feedback.
type KeyNumber struct {
	Exact    string     `json:"exact"` // the exact value before rounding to the graduation, "a/b" or decimal
	Accept   []Interval `json:"accept,omitempty"`
	Other    string     `json:"other,omitempty"`
	Mistakes []Mistake  `json:"mistakes,omitempty"`
}

// Interval is a closed interval; Lo equals Hi for a single value. Both are
// written as big.Rat.RatString writes them.
type Interval struct {
	Lo string `json:"lo"`
	Hi string `json:"hi"`
}

// Mistake is a wrong number that comes from a known mistake.
type Mistake struct {
	Interval Interval `json:"interval"`
	Because  string   `json:"because"`
}

// Feedback is what a technician is told who chose the wrong option, or put the
// row in the wrong bin (Bin set), or took the option before what it needs
// (Before set: Option came before Before).
type Feedback struct {
	Option string `json:"option"`
	Bin    string `json:"bin,omitempty"`
	Before string `json:"before,omitempty"`
	Text   string `json:"text"`
}

// Chance is the chance mark: what a random answer gets. Mean is the expected
// mark, Full the chance of full marks, both exact, written as fractions.
type Chance struct {
	Mean Fraction `json:"mean"`
	Full Fraction `json:"full"`
}

// Fraction is an exact rational, written as "a/b" or "a".
type Fraction struct{ Rat *big.Rat }

// Frac returns a/b as a Fraction; b must not be 0.
func Frac(a, b int64) Fraction { return Fraction{big.NewRat(a, b)} }

// String writes the fraction as "a/b", or "a" where b is 1.
func (f Fraction) String() string {
	if f.Rat == nil {
		return "0"
	}
	return f.Rat.RatString()
}

// MarshalText writes what String returns.
func (f Fraction) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads "a/b", "a" or a decimal.
func (f *Fraction) UnmarshalText(b []byte) error {
	r, ok := new(big.Rat).SetString(string(b))
	if !ok {
		return &FractionError{string(b)}
	}
	f.Rat = r
	return nil
}

// FractionError reports a text that is no fraction.
type FractionError struct{ Text string }

func (e *FractionError) Error() string { return "not a fraction: " + e.Text }
