// Package itemhealth judges items by what people answered: the figures of every
// family (lead fact × item model), and flags with their evidence where a family,
// or the sentence of the procedure behind it, may be at fault.
//
// Most figures count a person once for a family: the first time it was met, because
// later meetings show what was learned from the first. Two questions are put to every
// answer, since a small crew answers few items but many times: whether better people
// miss a family more, and whether two crews hold a fact alike. There the answers of
// one person are alike, so they count for less than as many by different people: the
// variance is multiplied by 1 + (m − 1)·ρ (Kish 1965, Survey Sampling), m the answers
// of a person, weighted by themselves, and ρ how alike they are, taken from the
// answers (see [alike]). People are placed by their answers to other facts.
//
// What a fact stated is kept apart: answers from a revision that stated something else
// are a family of their own, so a wrong key of revision A is seen on A's answers
// and does not stain what B states.
//
// # False alarms
//
// Hundreds of families are looked at, each in several ways, so some would look
// bad by luck alone. Every look that luck can fool has a p-value; over all the
// families looked at in one way the p-values are adjusted by Benjamini and Hochberg
// (1995, Journal of the Royal Statistical Society B 57, 289–300), and a flag is
// firm where the adjusted one is at most [Discovery]: of the firm flags of one kind
// no more than that share is false on average, and where nothing is wrong anywhere
// there is no firm flag at all in nine analyses of ten. A flag that is raised by the
// law of its kind and is not firm says so: it is worth a look and no more.
package itemhealth

import (
	"time"

	"soloright/scoring/itemstat"
)

// Discovery is the share of false ones among the firm flags of one kind that is
// put up with.
const Discovery = 0.10

// Family is the unit of statistics.
type Family struct {
	Lead  string `json:"fact"`
	Model string `json:"model"`
}

// Response is one sheet that a person answered, or left blank.
type Response struct {
	Person, Crew string
	Revision     string
	Family
	Value   string // what the lead fact stated then, in any canonical form
	At      time.Time
	Mark    float64 // 0 to 1
	Right   bool    // the lead fact's part is fully right
	Blank   bool
	Item    string  // the concrete item
	Seconds float64 // on the sheet; 0: not known
	Options []Option
	Said    []string // the mistakes that the answer shows
}

// Option is one answer that could be given.
type Option struct {
	Text          string
	Right, Chosen bool
}

// Report is what the answers on one procedure say.
type Report struct {
	People  int      `json:"people"`
	Answers int      `json:"answers"`
	Items   []Health `json:"items"` // worst first, see Rank
	// Dependable are Brennan and Kane's figures of the sittings, see Study.Sitting.
	Dependable itemstat.Dependability `json:"-"`
	Cut        float64                `json:"cut"`
	Fit        Fit                    `json:"fit"`

	tests []*test
}

// Health is what the answers say of one family, as long as its fact stated one thing.
type Health struct {
	Family
	Revisions []string `json:"revisions"` // on which it was asked so
	Current   bool     `json:"current"`   // the fact states the same today
	People    int      `json:"people"`
	Answers   int      `json:"answers"` // also later meetings

	Difficulty     itemstat.Figure `json:"difficulty"` // mean mark
	ItemTotal      itemstat.Figure `json:"item_total"` // of every answer with the person's mean mark on other facts
	Discrimination itemstat.Figure `json:"discrimination"`
	Omitted        itemstat.Figure `json:"omitted"`
	Lower          itemstat.Figure `json:"time_lower"` // quartiles of the seconds on a sheet
	Median         itemstat.Figure `json:"time_median"`
	Upper          itemstat.Figure `json:"time_upper"`
	Rasch          itemstat.Figure `json:"rasch"` // difficulty in logits, of part marks the mean of the steps
	Slope          itemstat.Figure `json:"slope"` // of the 2PL
	Intercept      itemstat.Figure `json:"slope_difficulty"`

	Options []OptionTaken `json:"options"`
	Said    []Said        `json:"said"`
	Items   []Concrete    `json:"items"` // answered most often, the worst first; at most [mostItems]
	Flags   []Flag        `json:"flags"`

	since int
}

// OptionTaken says who took an option, by score group: lower, middle and upper
// third of whoever was offered it, by their marks on other facts.
type OptionTaken struct {
	Text    string               `json:"text"`
	Right   bool                 `json:"right"`
	Offered int                  `json:"offered"`
	People  [itemstat.Groups]int `json:"people"`
	Taken   [itemstat.Groups]int `json:"taken"`
	NotYet  itemstat.Reason      `json:"not_yet,omitempty"` // and no counts, below Need people
	Need    int                  `json:"need,omitempty"`
}

// Said counts a mistake that answers show.
type Said struct {
	Text   string `json:"text"`
	People int    `json:"people"`
}

// Concrete counts the answers to one item of a family, the later ones too.
type Concrete struct {
	Item    string  `json:"item"`
	Answers int     `json:"answers"`
	Mean    float64 `json:"mean"` // mark
}

// mostItems is how many items of a family are told apart.
const mostItems = 12

// Fit says what came of the measurement models.
type Fit struct {
	Families int    `json:"families"` // with enough answers to enter
	Rasch    string `json:"rasch"`    // "settled", or why not
	TwoPL    string `json:"two_pl"`
	// Reliability of abilities by the model with one slope, whatever forms people met.
	Reliability itemstat.Figure `json:"reliability"`
}
