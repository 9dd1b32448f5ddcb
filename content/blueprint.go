package content

// Blueprint says what a form must hold. It stands beside the procedure, in a
// file of its own; quiz.DefaultBlueprint makes a sound one where there is none.
type Blueprint struct {
	Procedure string      `json:"procedure"`
	Items     int         `json:"items"`            // 24 to 40
	Minutes   int         `json:"minutes"`          // the time allowed
	Cut       Cut         `json:"cut"`              // the share of the marks that passes
	Topics    []TopicRule `json:"topics"`           // minima and maxima by topic
	Always    []FactID    `json:"always,omitempty"` // facts that always appear

	// Each item on a critical fact, and one on isolation above all, is a risk of
	// failing by one slip. So their number may be bounded; 0 means no bound.
	MinIsolation int `json:"min_isolation,omitempty"` // items that lead with a fact on isolation or the return to service, another one on each form
	MaxIsolation int `json:"max_isolation,omitempty"` // items without mercy: they test a fact on isolation, or more critical facts than can be confirmed
	MaxCritical  int `json:"max_critical,omitempty"`  // items that test a critical fact, those on isolation among them

	// Once items have statistics, forms are steered so that each is as hard as another
	// for somebody who stands at the cut; 0 asks for nothing.
	Difficulty  int `json:"difficulty,omitempty"`  // the mark that somebody at the cut is to expect, in whole percent
	Information int `json:"information,omitempty"` // what a form is to tell at the cut at least, per squared logit
}

// Cut is a cut score as an exact fraction of whole percent: 80 means total/n ≥ 0.80.
type Cut int

// TopicRule bounds the number of items on a topic. Max 0 means no bound.
type TopicRule struct {
	Topic Topic `json:"topic"`
	Min   int   `json:"min"`
	Max   int   `json:"max,omitempty"`
}
