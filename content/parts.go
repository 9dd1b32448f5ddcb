package content

import "soloright/content/torque"

// Shape is the drawn shape of a part: every shape has a section that web/drawing
// can draw, see [Shapes].
type Shape string

// The drawn shapes.
const (
	ShapeORing         Shape = "o-ring"
	ShapeCupSeal       Shape = "cup-seal"
	ShapeLipSeal       Shape = "lip-seal"
	ShapeBush          Shape = "bush"
	ShapeRetainingRing Shape = "retaining-ring" // concave push-in ring with fingers
	ShapeGasket        Shape = "gasket"
	ShapePin           Shape = "pin"
	ShapeSpool         Shape = "spool-valve"
	ShapePlate         Shape = "plate"
	ShapeDiaphragm     Shape = "diaphragm"
	ShapeBall          Shape = "ball"
	ShapeSeat          Shape = "seat"
	ShapeCap           Shape = "cap"
	ShapeHousing       Shape = "housing"
	ShapeRod           Shape = "rod"
	ShapeBolt          Shape = "bolt"
	ShapeNut           Shape = "nut"
	ShapeWasher        Shape = "washer"
	ShapeSpring        Shape = "spring"
	ShapeSealFace      Shape = "seal-face" // the ring of a mechanical seal with its lapped nose
	ShapeSleeve        Shape = "sleeve"
	ShapeFlange        Shape = "flange"
	ShapeOther         Shape = "other"
)

// Drawing is what is to know of a shape's section: whether its two ways round
// look different (Asymmetric), and then by which feature. Parts that look alike
// get a dab of marking paint on one face in a figure of facings, so that nothing
// is given away.
type Drawing struct {
	Asymmetric bool
	Feature    string
}

// Shapes holds what is to know of each drawn shape.
var Shapes = map[Shape]Drawing{
	ShapeORing: {}, ShapeBush: {}, ShapeGasket: {}, ShapeBall: {}, ShapeSeat: {}, ShapeRod: {},
	ShapeNut: {}, ShapeWasher: {}, ShapeSpring: {}, ShapeSleeve: {}, ShapeOther: {},
	ShapeCupSeal:       {true, "open side"},
	ShapeLipSeal:       {true, "lip"},
	ShapeRetainingRing: {true, "hollow side"},
	ShapePin:           {true, "head"},
	ShapeSpool:         {true, "stem"},
	ShapePlate:         {true, "rounded edge"},
	ShapeDiaphragm:     {true, "bulge"},
	ShapeCap:           {true, "open side"},
	ShapeHousing:       {true, "wide bore"},
	ShapeBolt:          {true, "head"},
	ShapeSealFace:      {true, "nose"},
	ShapeFlange:        {true, "raised face"},
}

// Disposition says what becomes of a part at strip-down.
type Disposition string

// The dispositions.
const (
	AlwaysRenew   Disposition = "always-renew"
	InspectRefit  Disposition = "inspect" // inspect, refit if within limits
	RefitAsItIs   Disposition = "refit"   // refit as it is
	NoDisposition Disposition = ""        // the procedure does not say
)

// Part is one part of the machine.
type Part struct {
	ID          string      `json:"id"`
	Name        string      `json:"name"` // as on the parts list, singular, lower case
	Shape       Shape       `json:"shape"`
	Quantity    int         `json:"quantity,omitempty"` // 0: not stated
	Material    string      `json:"material,omitempty"`
	Disposition Disposition `json:"disposition,omitempty"`
	Critical    bool        `json:"critical,omitempty"` // of the disposition: refitting one that must be renewed
	Surfaces    []Surface   `json:"surfaces,omitempty"`
	Facing      *Facing     `json:"facing,omitempty"`
	Builds      []string    `json:"builds,omitempty"`
	Step        string      `json:"step,omitempty"` // the step that states it; by default the first assembly step that lists it, else the first
}

// Treatment is what goes on a surface.
type Treatment string

// The treatments of a surface.
const (
	DryClean   Treatment = "dry-and-clean"
	Lubricate  Treatment = "lubricant" // a named lubricant, see Surface.Product
	AntiSeize  Treatment = "anti-seize"
	ThreadLock Treatment = "threadlock"
	AsSupplied Treatment = "as-supplied" // comes ready lubricated or coated: add nothing
)

// Surface is one surface of a part and what goes on it.
type Surface struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"` // "outer lip", "faces", "threads"
	Treatment Treatment `json:"treatment"`
	Product   string    `json:"product,omitempty"` // the named lubricant, anti-seize or threadlock
	Never     []Wrong   `json:"never,omitempty"`   // products that must not go on it, and why
	Critical  bool      `json:"critical,omitempty"`
}

// FacingKind says whether a part has a right way round.
type FacingKind string

// The kinds of facing.
const (
	Directional FacingKind = "directional"
	Reversible  FacingKind = "reversible"
	AsPipework  FacingKind = "as-the-pipework-requires"
)

// Facing says which way round a part goes. A directional part has a feature
// that faces Toward and so away from Away; both are the ends of one labelled
// surrounding and are given for the other kinds too, so that their figure looks
// the same.
type Facing struct {
	Kind     FacingKind `json:"kind"`
	Feature  string     `json:"feature,omitempty"` // "open side", without an article; required for directional
	Toward   string     `json:"toward"`            // "air chamber (pressure side)"
	Away     string     `json:"away"`              // "centre of the pump"
	Because  string     `json:"because,omitempty"`
	Wrong    string     `json:"if_wrong,omitempty"` // what happens when it is mirrored
	Critical bool       `json:"critical,omitempty"` // only a directional facing may be critical
}

// Stack is a set of layers that go into a bore or onto a rod from a named end,
// as a partial order.
type Stack struct {
	ID     string   `json:"id"`
	Title  string   `json:"title"`
	In     string   `json:"in"`   // "bore" or "rod"
	From   string   `json:"from"` // the end the layers go in from
	Far    string   `json:"far"`  // the other end
	Layers []Layer  `json:"layers"`
	Builds []string `json:"builds,omitempty"`
	Step   string   `json:"step,omitempty"`
}

// Layer is one layer of a stack. Two layers of the same part are
// interchangeable. On lists the layers that must be in place before it.
type Layer struct {
	ID       string   `json:"id"`
	Part     string   `json:"part"`
	On       []string `json:"on,omitempty"`
	Split    *Split   `json:"split,omitempty"`
	Critical bool     `json:"critical,omitempty"` // putting it in before what it lies on
}

// Split says where the gap or split of a ring stands.
type Split struct {
	Angle torque.Quantity `json:"angle"` // degrees, clockwise seen from Stack.From
	From  string          `json:"from"`  // what the angle is measured from, without an article
	Not   []WrongAngle    `json:"not"`
}

// WrongAngle is an angle that is stated to be wrong.
type WrongAngle struct {
	Angle   torque.Quantity `json:"angle"`
	Because string          `json:"because"`
}
