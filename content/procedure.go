// Package content holds procedure data: what a careful manual says, as data.
//
// A [Procedure] is read by procfile, checked by [Validate], and taken apart by
// [Facts] into the smallest things that it states and a technician must hold.
// Everything else in Soloright hangs on those facts: items are written from
// them, forms cover them, marks are given on them, and two revisions are
// compared by them.
//
// The json tags are the keys of a procedure file. Fields that are not marked
// required in FORMAT.md may be left out.
package content

import "soloright/content/torque"

// Procedure is one revision of one rebuild procedure. It is never changed after
// it was read; a new revision is a new Procedure with the same ID.
type Procedure struct {
	ID            string        `json:"id"`
	Title         string        `json:"title"`
	Equipment     string        `json:"equipment"` // equipment class, "air-operated double-diaphragm pump, metallic"
	Revision      string        `json:"revision"`
	Issued        Date          `json:"issued"`
	Owner         string        `json:"owner"` // the office that answers for it, never a person
	Summary       string        `json:"summary,omitempty"`
	Builds        []Build       `json:"builds,omitempty"`
	Prerequisites []string      `json:"prerequisites,omitempty"` // ids of procedures
	Isolation     *Isolation    `json:"isolation,omitempty"`
	Energies      []Energy      `json:"energies,omitempty"`
	Openings      []Opening     `json:"openings,omitempty"`
	Tools         []Tool        `json:"tools,omitempty"`
	Parts         []Part        `json:"parts,omitempty"`
	Stacks        []Stack       `json:"stacks,omitempty"`
	Joints        []Joint       `json:"joints,omitempty"`
	Settings      []Setting     `json:"settings,omitempty"`
	Inspections   []Inspection  `json:"inspections,omitempty"`
	Tests         []Test        `json:"tests,omitempty"`
	Observations  []Observation `json:"observations,omitempty"`
	Faults        []Fault       `json:"faults,omitempty"`
	Hazards       []Hazard      `json:"hazards,omitempty"`
	Steps         []Step        `json:"steps"`
}

// Build is a named variant of the machine. Whatever lists builds holds for
// those builds only; whatever lists none holds for all.
type Build struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

// Wrong is something that the procedure states to be wrong, with the reason: the
// only source of distractors. Because is shown to whoever chose it.
type Wrong struct {
	Text    string `json:"text"`
	Because string `json:"because"`
}

// Isolation is the frame round the energies: what comes before the first
// isolating point, what is the first opening, and how the machine goes back to
// service. The order is that of 29 CFR 1910.147(d) and, in time, (e).
type Isolation struct {
	Prepare      []Action `json:"prepare"`       // in order, before the shutdown
	Shutdown     Action   `json:"shutdown"`      // by the normal stop
	FirstOpening Action   `json:"first_opening"` // nothing is opened before every energy is proved zero
	Restore      []Action `json:"restore,omitempty"`
	Step         string   `json:"step"`                   // the step that states it
	RestoreStep  string   `json:"restore_step,omitempty"` // the step that states the return to service; by default Step
}

// Action is one act, in the imperative.
type Action struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// EnergyKind is a kind of hazardous energy.
type EnergyKind string

// The kinds of energy that a procedure may list.
const (
	Pneumatic  EnergyKind = "pneumatic"
	Process    EnergyKind = "process" // pressure or level of the pumped fluid
	Electrical EnergyKind = "electrical"
	Mechanical EnergyKind = "mechanical" // rotation, springs
	Gravity    EnergyKind = "gravity"
	Thermal    EnergyKind = "thermal"
	Chemical   EnergyKind = "chemical"
)

// Energy is one source to be isolated, locked, relieved and proved zero. For each
// source the four acts follow each other; sources may interleave; every proof
// comes before the first opening.
type Energy struct {
	ID      string     `json:"id"`
	Kind    EnergyKind `json:"kind"`
	Source  string     `json:"source"`
	Isolate string     `json:"isolate"` // the act at the isolating point
	Lock    string     `json:"lock"`
	Relieve string     `json:"relieve"` // downstream of the lock
	Prove   string     `json:"prove"`   // how zero is proved
	NoProof []Wrong    `json:"no_proof,omitempty"`
	Returns *Return    `json:"returns,omitempty"` // set where it can build up again
	Step    string     `json:"step"`
}

// Return says how an energy can build up again and what is done about it.
type Return struct {
	How string  `json:"how"`
	Do  string  `json:"do"`
	Not []Wrong `json:"not,omitempty"`
}

// Opening says how a joint that may still hold pressure is opened.
type Opening struct {
	ID    string  `json:"id"`
	Title string  `json:"title"`
	Do    string  `json:"do"` // which fasteners are eased first, by how much, standing where
	Not   []Wrong `json:"not"`
	Joint string  `json:"joint,omitempty"`
	Step  string  `json:"step"`
}

// Tool is a tool or a gauge. A torque wrench states its scale, an adapter its length.
type Tool struct {
	ID      string           `json:"id"`
	Name    string           `json:"name"`
	Wrench  *Wrench          `json:"wrench,omitempty"`
	Adapter *torque.Quantity `json:"adapter,omitempty"` // effective length of a crowfoot or extension
}

// Wrench is the scale of a torque wrench as the procedure file states it.
type Wrench struct {
	Min        torque.Quantity `json:"min"`
	Max        torque.Quantity `json:"max"`
	Graduation torque.Quantity `json:"graduation"` // for a digital display its last digit
	Digital    bool            `json:"digital,omitempty"`
	Length     torque.Quantity `json:"length"` // centre of the square drive to the grip's mark
}

// Step is one step of the work. After holds the ids of the steps that must be
// done before; the steps form a graph without cycles, not a list.
type Step struct {
	ID       string   `json:"id"`
	Phase    Phase    `json:"phase"`
	Text     string   `json:"text"`
	After    []string `json:"after,omitempty"`
	Parts    []string `json:"parts,omitempty"`
	Joint    string   `json:"joint,omitempty"`
	Stack    string   `json:"stack,omitempty"`
	Tools    []string `json:"tools,omitempty"`
	ToolsToo []string `json:"also_accepted,omitempty"`
	ToolsNot []NoTool `json:"tools_not,omitempty"`
	Greases  []string `json:"greases,omitempty"` // surfaces "part/surface" that get their lubricant at this step
	Hold     *Hold    `json:"hold,omitempty"`
	Why      string   `json:"why,omitempty"`
	Critical bool     `json:"critical,omitempty"` // taking it out of order is a critical miss
	Builds   []string `json:"builds,omitempty"`
}

// NoTool is a tool that must not be used at a step.
type NoTool struct {
	Tool    string `json:"tool"`
	Because string `json:"because"`
}

// Hold marks a hold point: work stops until the assessor has looked. Unless says
// on what condition it may not apply; a critical hold point has no condition.
type Hold struct {
	Look     string `json:"look"` // what the assessor looks at
	Unless   string `json:"unless,omitempty"`
	Critical bool   `json:"critical,omitempty"`
}

// Phase is the part of the work that a step belongs to.
type Phase string

// The phases, in the order of the work.
const (
	PhaseIsolate  Phase = "isolate"
	PhaseStrip    Phase = "strip"
	PhaseInspect  Phase = "inspect"
	PhaseClean    Phase = "clean"
	PhaseAssemble Phase = "assemble"
	PhaseTest     Phase = "test"
)

// Phases lists the phases in the order of the work.
var Phases = []Phase{PhaseIsolate, PhaseStrip, PhaseInspect, PhaseClean, PhaseAssemble, PhaseTest}
