package v1

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/itemstat"
)

// Interval is an interval of shares, 0 to 1.
type Interval struct {
	Lo float64 `json:"lo"`
	Hi float64 `json:"hi"`
}

// HeldShare is a share of what is held, with the chance that it is below the cut.
type HeldShare struct {
	Share itemstat.Figure `json:"share"`
	Below float64         `json:"below"`
}

// Risk is how sure one result is. Without_crew says why the crew's results do not
// count yet.
type Risk struct {
	Sitting        string          `json:"sitting"`
	Person         string          `json:"person"`
	Procedure      string          `json:"procedure"`
	Cut            content.Cut     `json:"cut"`
	Right          int             `json:"right"`
	Of             int             `json:"of"`
	Tries          int             `json:"tries"`
	CrewPeople     int             `json:"crew_people"`
	Below          float64         `json:"below"` // the risk: by the crew where it counts, else alone
	ByCrew         *HeldShare      `json:"by_crew,omitempty"`
	Alone          HeldShare       `json:"alone"` // by Jeffreys's prior
	WithoutCrew    string          `json:"without_crew,omitempty"`
	Wilson         Interval        `json:"wilson"`
	ClopperPearson Interval        `json:"clopper_pearson"`
	Jeffreys       Interval        `json:"jeffreys"`
	SEM            itemstat.Figure `json:"absolute_sem"`
}

func (f *face) risk(c *gin.Context) error {
	r, err := f.app.Risk(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	out := Risk{Sitting: r.Sitting, Person: r.Person, Procedure: r.Procedure, Cut: r.Cut, Right: r.Right, Of: r.Of, Tries: r.Tries, CrewPeople: r.CrewPeople,
		Below: r.Below(), Alone: HeldShare(r.Alone), WithoutCrew: r.Why, Wilson: Interval(r.Wilson), ClopperPearson: Interval(r.ClopperPearson), Jeffreys: Interval(r.Jeffreys), SEM: r.SEM}
	if r.Crew != nil {
		out.ByCrew = &HeldShare{r.Crew.Share, r.Crew.Below}
	}
	return send(c, http.StatusOK, out)
}

// Mastery is what a practice sitting says so far.
type Mastery struct {
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Right   int     `json:"right"`
	Of      int     `json:"of"`
	Verdict string  `json:"verdict"` // go on, master, non-master
	Missed  int     `json:"critical_missed"`
}

func (f *face) mastery(c *gin.Context) error {
	m, err := f.app.Mastery(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Mastery{m.Low, m.High, m.Right, m.Of, string(m.Verdict), m.Missed})
}

// Consistency is how often the same verdict would come again, seen by the total
// alone.
type Consistency struct {
	Agreement itemstat.Figure `json:"agreement"`
	Kappa     itemstat.Figure `json:"kappa"`
}

// TotalOnly are the figures that see only the total: no critical fact, and sheets of
// the same number as if they were the same question.
type TotalOnly struct {
	Subkoviak       Consistency     `json:"subkoviak"`
	Huynh           Consistency     `json:"huynh"`
	LivingstonLewis Consistency     `json:"livingston_lewis"`
	Right           itemstat.Figure `json:"verdict_agrees_with_true_score"`
	FalsePass       itemstat.Figure `json:"false_pass"`
	FalseFail       itemstat.Figure `json:"false_fail"`
}

// Sureness is how surely a procedure's forms tell who holds it.
type Sureness struct {
	Procedure string          `json:"procedure"`
	Revision  string          `json:"revision"`
	Items     int             `json:"items"`
	Cut       content.Cut     `json:"cut"`
	Needed    int             `json:"needed"`
	Tries     int             `json:"tries"`
	People    int             `json:"people"`
	Phi       itemstat.Figure `json:"phi_at_the_cut"`
	SEM       itemstat.Figure `json:"absolute_sem"`
	TotalOnly TotalOnly       `json:"total_only"`
}

func (f *face) sureness(c *gin.Context) error {
	s, err := f.app.Sureness(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Sureness{Procedure: s.Procedure, Revision: s.Revision, Items: s.Items, Cut: s.Cut, Needed: s.Needed, Tries: s.Tries, People: s.People, Phi: s.Phi, SEM: s.SEM,
		TotalOnly: TotalOnly{Subkoviak: Consistency(s.Subkoviak), Huynh: Consistency(s.Huynh), LivingstonLewis: Consistency(s.LivingstonLewis),
			Right: s.Accuracy.Right, FalsePass: s.Accuracy.FalsePass, FalseFail: s.Accuracy.FalseFail}})
}

// TestPlan is the shortest test that keeps to the two risks, with what they come to.
type TestPlan struct {
	Length    int     `json:"length"`
	Cut       int     `json:"cut"`        // right answers needed
	FalsePass float64 `json:"false_pass"` // within the tries
	FalseFail float64 `json:"false_fail"` // of one try
}

func (f *face) planTest(c *gin.Context) error {
	var cmd api.PlanLength
	if err := decode(c, &cmd); err != nil {
		return err
	}
	p, err := f.app.PlanTest(c.Request.Context(), edge.Caller(c), cmd, 0, 0)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, TestPlan(p.Plan))
}
