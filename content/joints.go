package content

import (
	"soloright/content/bolting"
	"soloright/content/torque"
)

// Joint is a bolted or screwed joint and how it is tightened.
type Joint struct {
	ID        string          `json:"id"`
	Title     string          `json:"title"`
	Fastener  string          `json:"fastener"` // part id
	Pattern   bolting.Pattern `json:"pattern"`
	Lengths   []Length        `json:"lengths,omitempty"` // where fasteners of different lengths go
	Tighten   Tighten         `json:"tighten"`
	Thread    string          `json:"thread,omitempty"`     // the thread state that the torque assumes: "clean and dry", "oiled"; required for a torque
	LoadSteps []int           `json:"load_steps,omitempty"` // percent of the target, rising, last 100
	Sequence  *Sequence       `json:"sequence,omitempty"`
	CheckPass *CheckPass      `json:"check_pass,omitempty"`
	Align     *Align          `json:"align,omitempty"`
	Again     *Again          `json:"again,omitempty"`
	Builds    []string        `json:"builds,omitempty"`
	Step      string          `json:"step,omitempty"`
}

// Length says which length of fastener goes at which places (1..N).
type Length struct {
	ID     string          `json:"id"`
	At     []int           `json:"at"`
	Length torque.Quantity `json:"length"`
}

// TightenBy is the way in which a joint is brought to its preload.
type TightenBy string

// The ways of tightening.
const (
	ByTorque      TightenBy = "torque"
	ByTorqueAngle TightenBy = "torque-and-angle"
	ByTurns       TightenBy = "turns" // Angle beyond snug
	ByGap         TightenBy = "gap"
	ToStop        TightenBy = "stop" // metal to metal, no more
)

// Tighten is the target of a joint. Which fields are set depends on By: Torque
// and Tolerance for torque; also Angle for torque and angle; Angle for turns;
// Gap and Tolerance for gap; none for stop.
type Tighten struct {
	By        TightenBy         `json:"by"`
	Torque    *torque.Quantity  `json:"torque,omitempty"`
	Tolerance *torque.Tolerance `json:"tolerance,omitempty"`
	Angle     *torque.Quantity  `json:"angle,omitempty"`
	Gap       *torque.Quantity  `json:"gap,omitempty"`
	Critical  bool              `json:"critical,omitempty"`
}

// Sequence is the order in which the fasteners of one pass are tightened.
type Sequence struct {
	Rule     bolting.Rule `json:"rule"`
	Critical bool         `json:"critical,omitempty"`
}

// CheckPass is the last pass: round the circle at full torque.
type CheckPass struct {
	Do  string  `json:"do"`
	Not []Wrong `json:"not"`
}

// Align says how the holes of a torqued part are brought round. Angles are the
// aligned positions, in degrees from a mark, in the tightening direction. There
// is always a maximum: of torque or of extra angle after target.
type Align struct {
	Every     torque.Quantity  `json:"every"` // the holes line up every so many degrees: "60 °"
	Hand      string           `json:"hand"`  // "right" or "left"
	MaxTorque *torque.Quantity `json:"max_torque,omitempty"`
	MaxAngle  *torque.Quantity `json:"max_angle,omitempty"`
	Critical  bool             `json:"critical,omitempty"`
}

// Again says when the joint is tightened again: after something, or never.
type Again struct {
	When string  `json:"when"` // "after the first heat cycle, cold"; "never"
	Not  []Wrong `json:"not"`
}

// Limit is a range of a measured value; either end may be missing. Limits are inclusive.
type Limit struct {
	Min *torque.Quantity `json:"min,omitempty"`
	Max *torque.Quantity `json:"max,omitempty"`
}

// WorkOut is how a measurement is worked out from readings.
type WorkOut string

// The ways of working a measurement out.
const (
	HalfRange  WorkOut = "half-range" // half of largest less smallest: run-out as eccentricity
	Range      WorkOut = "range"      // largest less smallest
	Difference WorkOut = "difference" // first reading less second
	Sum        WorkOut = "sum"
	Mean       WorkOut = "mean"
	Direct     WorkOut = "direct" // the reading itself
)

// Setting is a dimension that is set or measured.
type Setting struct {
	ID         string          `json:"id"`
	Title      string          `json:"title"`
	Datum      string          `json:"datum"` // what it is measured from
	WorkOut    WorkOut         `json:"work_out"`
	Readings   []string        `json:"readings"`   // the name of each reading; for ranges the clock positions
	Near       torque.Quantity `json:"near"`       // a plausible reading, for making up others
	Resolution torque.Quantity `json:"resolution"` // of the gauge: readings are multiples of it
	Limit      Limit           `json:"limit"`
	Critical   bool            `json:"critical,omitempty"`
	Builds     []string        `json:"builds,omitempty"`
	Step       string          `json:"step"`
}

// Test is a test at the end of the work or between.
type Test struct {
	ID       string          `json:"id"`
	Title    string          `json:"title"`
	Medium   string          `json:"medium"`
	Pressure torque.Quantity `json:"pressure"`
	Hold     torque.Quantity `json:"hold_time"`
	Look     string          `json:"look"` // where to look
	Accept   []Criterion     `json:"accept"`
	Critical bool            `json:"critical,omitempty"`
	Builds   []string        `json:"builds,omitempty"`
	Step     string          `json:"step"`
}

// Criterion is one thing that a test must show. It is numeric (Limit, with
// Resolution of the gauge) or described (Pass and Fail, what may be seen).
type Criterion struct {
	ID         string           `json:"id"`
	What       string           `json:"what"` // "drop of pressure over the hold time"
	Limit      *Limit           `json:"limit,omitempty"`
	Resolution *torque.Quantity `json:"resolution,omitempty"`
	Pass       []string         `json:"pass,omitempty"`
	Fail       []Wrong          `json:"fail,omitempty"`
}

// Verdict is what an inspection decides.
type Verdict string

// The verdicts of an inspection.
const (
	VerdictRefit Verdict = "refit"
	VerdictDress Verdict = "dress" // dress, then refit
	VerdictRenew Verdict = "renew"
)

// Inspection is one look at one feature: numeric (Limit: within is refit, outside
// is Outside) or described (Cases).
type Inspection struct {
	ID         string           `json:"id"`
	Part       string           `json:"part"`
	Feature    string           `json:"feature"`
	Limit      *Limit           `json:"limit,omitempty"`
	Resolution *torque.Quantity `json:"resolution,omitempty"`
	Outside    Verdict          `json:"outside,omitempty"`
	Cases      []Case           `json:"cases,omitempty"`
	Clean      *Clean           `json:"clean,omitempty"`
	Critical   bool             `json:"critical,omitempty"`
	Builds     []string         `json:"builds,omitempty"`
	Step       string           `json:"step"`
}

// Case is something that may be seen and its verdict. Because is the reason and
// the feedback to whoever decided otherwise.
type Case struct {
	ID      string  `json:"id"`
	Seen    string  `json:"seen"`
	Verdict Verdict `json:"verdict"`
	Because string  `json:"because"`
}

// Clean lists what a feature may be cleaned with and what never.
type Clean struct {
	With []string `json:"with"`
	Not  []Wrong  `json:"not"`
}

// Observation is something seen on the bench or in service: normal, or a fault.
type Observation struct {
	ID       string   `json:"id"`
	Seen     string   `json:"seen"`
	Normal   bool     `json:"normal,omitempty"`
	Means    string   `json:"means"` // what it comes from
	Not      []Wrong  `json:"not"`   // readings of it that are wrong
	Critical bool     `json:"critical,omitempty"`
	Builds   []string `json:"builds,omitempty"`
	Step     string   `json:"step"`
}

// Fault is a symptom in service, its probable causes, and what it is not.
type Fault struct {
	ID      string   `json:"id"`
	Symptom string   `json:"symptom"`
	Causes  []Cause  `json:"causes"`
	Not     []Wrong  `json:"not"`
	Builds  []string `json:"builds,omitempty"`
	Step    string   `json:"step"`
}

// Cause is one probable cause of a fault.
type Cause struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Hazard is a hazard of the work with its controls, and what is not a control.
type Hazard struct {
	ID       string   `json:"id"`
	Hazard   string   `json:"hazard"`
	Controls []Cause  `json:"controls"`
	Not      []Wrong  `json:"not"`
	Critical bool     `json:"critical,omitempty"`
	Builds   []string `json:"builds,omitempty"`
	Step     string   `json:"step"`
}
