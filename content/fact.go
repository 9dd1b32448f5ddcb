package content

// FactID names a fact. It is made from authored ids only, never from wording or
// order, so it is stable across revisions: "facing/rod-cup-seal".
type FactID string

// Fact is the smallest thing that a procedure states and a technician must hold.
type Fact struct {
	ID       FactID
	Kind     FactKind
	Critical bool   // missing it fails a sitting, see scoring
	Step     string // the step that states it
	Text     string // one plain sentence, for feedback and for the trainer
	Value    string // what is stated, canonical: two revisions state the same when it is equal
	Subject  string // id of the part, joint, energy … that it is about
	Sub      string // id within the subject: a surface, a layer, a case; else ""
	Other    string // the second end of an ordered pair; else ""
}

// Isolation reports whether the fact is on isolation: no mercy for a miss.
func (f Fact) Isolation() bool {
	switch f.Kind {
	case KindIsolation, KindProof, KindReturn, KindOpening:
		return true
	}
	return false
}

// FactKind is the kind of a fact: which element states it and so which item
// models can write on it.
type FactKind string

// The kinds of fact. In brackets the form of the id.
const (
	KindIsolation   FactKind = "isolation"   // [isolation/ENERGY] isolate, lock, relieve, prove, in this order; [isolation/shutdown]; [isolation/opening]
	KindRestore     FactKind = "restore"     // [restore/ACTION] comes after the action before it
	KindProof       FactKind = "proof"       // [proof/ENERGY] how zero is proved
	KindReturn      FactKind = "return"      // [return/ENERGY] what is done because it can build up again
	KindOpening     FactKind = "opening"     // [opening/ID]
	KindQuantity    FactKind = "quantity"    // [quantity/PART]
	KindDisposition FactKind = "disposition" // [disposition/PART]
	KindSurface     FactKind = "surface"     // [surface/PART/SURFACE] what goes on it
	KindNever       FactKind = "never"       // [never/PART/SURFACE] what must not go on it
	KindGrease      FactKind = "grease"      // [grease/PART/SURFACE] at which step it gets its lubricant
	KindFacing      FactKind = "facing"      // [facing/PART]
	KindLayer       FactKind = "layer"       // [layer/STACK/LAYER/ON] the layer goes in after ON
	KindSplit       FactKind = "split"       // [split/STACK/LAYER]
	KindTarget      FactKind = "target"      // [target/JOINT]
	KindThread      FactKind = "thread"      // [thread/JOINT] the thread state that the torque assumes
	KindLoadSteps   FactKind = "load-steps"  // [load-steps/JOINT]
	KindSequence    FactKind = "sequence"    // [sequence/JOINT]
	KindCheckPass   FactKind = "check-pass"  // [check-pass/JOINT]
	KindAlign       FactKind = "align"       // [align/JOINT]
	KindLength      FactKind = "length"      // [length/JOINT/LENGTH] which places get it
	KindAgain       FactKind = "again"       // [again/JOINT] when it is tightened again
	KindSetting     FactKind = "setting"     // [setting/ID] its limits
	KindWorkOut     FactKind = "work-out"    // [work-out/SETTING] how it is worked out
	KindTest        FactKind = "test"        // [test/ID] medium, pressure, hold time
	KindCriterion   FactKind = "criterion"   // [criterion/TEST/CRITERION]
	KindInspection  FactKind = "inspection"  // [inspection/ID] the limit; [inspection/ID/CASE] the verdict
	KindClean       FactKind = "clean"       // [clean/INSPECTION] permitted cleaning media
	KindObservation FactKind = "observation" // [observation/ID] normal or a fault
	KindCause       FactKind = "cause"       // [cause/FAULT/CAUSE]
	KindHazard      FactKind = "hazard"      // [hazard/ID] its controls
	KindTools       FactKind = "tools"       // [tools/STEP]
	KindPrecede     FactKind = "precede"     // [precede/STEP/AFTER] the step comes after AFTER
	KindHold        FactKind = "hold"        // [hold/STEP] work stops here until the assessor has looked
)

// Topic is what a blueprint counts items by. It follows from the kind of the
// lead fact, so every procedure has the same topics.
type Topic string

// The topics, in the order in which a sheet list shows them.
const (
	TopicIsolation  Topic = "isolation and hazards"
	TopicParts      Topic = "parts and surfaces"
	TopicFitting    Topic = "stacks and facings"
	TopicTightening Topic = "tightening"
	TopicInspection Topic = "inspection"
	TopicTesting    Topic = "settings and tests"
	TopicDiagnosis  Topic = "diagnosis"
	TopicOrder      Topic = "order of work"
)

// Topics lists the topics in order.
var Topics = []Topic{TopicIsolation, TopicParts, TopicFitting, TopicTightening, TopicInspection, TopicTesting, TopicDiagnosis, TopicOrder}

// Topic returns the topic of facts of the kind.
func (k FactKind) Topic() Topic {
	switch k {
	case KindIsolation, KindRestore, KindProof, KindReturn, KindOpening, KindHazard:
		return TopicIsolation
	case KindFacing, KindLayer, KindSplit:
		return TopicFitting
	case KindTarget, KindThread, KindLoadSteps, KindSequence, KindCheckPass, KindAlign, KindLength, KindAgain:
		return TopicTightening
	case KindInspection, KindClean:
		return TopicInspection
	case KindSetting, KindWorkOut, KindTest, KindCriterion:
		return TopicTesting
	case KindObservation, KindCause:
		return TopicDiagnosis
	case KindPrecede, KindHold, KindTools:
		return TopicOrder
	}
	return TopicParts
}
