package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
)

// PolicyPage is the policy of the site or of a procedure, and every one before.
type PolicyPage struct {
	Page
	Procedure  string // "" for the site
	Of         string // the procedure's title
	Procedures []Choice
	Own        bool
	Set        bool // the reader may set it
	Rules      []PolicyRule
	Officer    bool
	Topics     []Choice
	History    []PolicyEntry
	Message    string
	Fault      string // of the topics
}

// PolicyRule is a number of a policy, with what it does.
type PolicyRule struct {
	policyWords
	Value    string
	Min, Max int
	Fault    string
}

// PolicyEntry is a policy that was set, with how it differs from the one before.
type PolicyEntry struct {
	At      time.Time
	By      string
	Site    bool
	Changes []string
	Panel   string // that found the cut; empty: none did
}

// policyWords say of a number of a policy what it is.
type policyWords struct{ Field, Label, Unit, Does string }

var policyFields = []policyWords{
	{"cut", "Cut score", "% of the marks", "A qualifying sitting passes at or above it. A delta sitting has no cut: there all must be right."},
	{"tries", "Tries", "sittings", "So many may fail in a row; then training is due before the next one. Delta sittings count by themselves."},
	{"wait_days", "Waiting time", "days", "From the hand-in of a failed try to the day on which the next may begin. 0: none."},
	{"rebuilds", "Observed rebuilds", "rebuilds", "So many must count, each signed by technician and assessor, before somebody works alone."},
	{"months", "Validity", "months", "How long a clearance lasts from the last signature, its last day included."},
	{"notice_days", "Notice", "days", "So long before it lapses, a clearance stands out in the register."},
	{"grace_days", "Grace", "days", "After a revision that changed facts, whoever was cleared may go on so long while the delta sitting is due. 0: to the end of that day."},
	{"training_window", "Training window", "days", "Who trained somebody does not assess the same one within so many days, unless an exception is recorded. 0: no window."},
	{"wanted", "Level wanted", "% of each fact", "For lessons: the share of a fact that each person is to hold."},
	{"times_a_year", "How often the work comes up", "times a year", "For lessons: what comes up often is taught first."},
}

// number returns a number of a policy by its field, to be read or set.
func number(p *clearance.Policy, field string) *int {
	return map[string]*int{"cut": (*int)(&p.Cut), "tries": &p.Tries, "wait_days": &p.WaitDays, "rebuilds": &p.Rebuilds, "months": &p.Months, "notice_days": &p.NoticeDays,
		"grace_days": &p.GraceDays, "training_window": &p.TrainingWindow, "wanted": &p.Wanted, "times_a_year": &p.TimesAYear}[field]
}

func (f *Face) policy(c *gin.Context) error {
	procedure := c.Query("procedure")
	v, err := f.app.Policy(c.Request.Context(), edge.Caller(c), procedure)
	if err != nil {
		return err
	}
	return f.policyPage(c, http.StatusOK, procedure, v.Policy, nil, nil)
}

// policyPage shows a policy as it is or as it was sent, with what is wrong with it.
func (f *Face) policyPage(c *gin.Context, status int, procedure string, policy clearance.Policy, sent url.Values, wrong *api.Error) error {
	pg, err := f.page(c, "Policy", "register")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	history, err := f.app.Policies(ctx, who, procedure)
	if err != nil {
		return err
	}
	v, err := f.app.Policy(ctx, who, procedure)
	if err != nil {
		return err
	}
	pg.Styles = []string{"revise"}
	p := PolicyPage{Page: pg, Procedure: procedure, Own: v.Own, Set: pg.Person.Role.May(api.ManagePolicy), Officer: policy.Officer, History: policyHistory(history)}
	if p.Procedures, err = f.procedureChoices(c, procedure); err != nil {
		return err
	}
	for _, ch := range p.Procedures {
		if ch.Is {
			p.Of = ch.Text
			p.Title = "Policy: " + ch.Text
		}
	}
	p.fill(policy, sent, wrong)
	return f.render(c, status, "policy", p)
}

// fill puts the values in, as they were sent where they were.
func (p *PolicyPage) fill(policy clearance.Policy, sent url.Values, wrong *api.Error) {
	faults := map[string]string{}
	if wrong != nil {
		p.Message = wrong.Message
		for _, f := range wrong.Fields {
			faults[strings.TrimPrefix(f.Field, "policy.")] = f.Message
		}
	}
	for _, w := range policyFields {
		r := PolicyRule{policyWords: w, Value: strconv.Itoa(*number(&policy, w.Field)), Fault: faults[w.Field]}
		if sent != nil {
			r.Value = sent.Get(w.Field)
		}
		for _, b := range clearance.PolicyBounds {
			if b.Field == w.Field {
				r.Min, r.Max = b.Min, b.Max
			}
		}
		p.Rules = append(p.Rules, r)
	}
	for _, t := range clearance.ObserveTopics {
		p.Topics = append(p.Topics, Choice{string(t), upperFirst(t), slices.Contains(policy.ObserveAgain, t)})
	}
	p.Fault = faults["observe_again"]
}

func (f *Face) setPolicy(c *gin.Context) error {
	procedure := c.PostForm("procedure")
	policy, wrong := readPolicy(c)
	var err error
	if wrong == nil {
		_, err = f.app.SetPolicy(c.Request.Context(), edge.Caller(c), api.SetPolicy{Procedure: procedure, Policy: policy})
		if api.KindOf(err) == api.Invalid {
			wrong = edge.Known(err)
		}
	}
	switch {
	case wrong != nil:
		return f.policyPage(c, edge.Status(wrong.Kind), procedure, policy, c.Request.PostForm, wrong)
	case err != nil:
		return err
	case procedure == "":
		return seeOther(c, "/policy")
	}
	return seeOther(c, "/policy?procedure=%s", url.QueryEscape(procedure))
}

// readPolicy reads the form; what is no whole number is named.
func readPolicy(c *gin.Context) (clearance.Policy, *api.Error) {
	p := clearance.Policy{Officer: c.PostForm("officer") == "yes"}
	var wrong []api.FieldError
	for _, w := range policyFields {
		n, err := strconv.Atoi(strings.TrimSpace(c.PostForm(w.Field)))
		if err != nil {
			wrong = append(wrong, api.FieldError{Field: w.Field, Message: strings.ToLower(w.Label) + " is not a whole number"})
		}
		*number(&p, w.Field) = n
	}
	for _, t := range c.PostFormArray("observe_again") {
		p.ObserveAgain = append(p.ObserveAgain, clearance.ObserveTopic(t))
	}
	if wrong == nil {
		return p, nil
	}
	return p, &api.Error{Kind: api.Invalid, Message: upperFirst(wrong[0].Message) + ". Nothing was changed.", Fields: wrong}
}

// policyHistory says of each policy what it changed of the one of its kind before.
func policyHistory(lines []api.PolicyLine) []PolicyEntry {
	var out []PolicyEntry
	for i, l := range lines {
		before := clearance.DefaultPolicy()
		if at := slices.IndexFunc(lines[i+1:], func(x api.PolicyLine) bool { return x.Procedure == l.Procedure }); at >= 0 {
			before = lines[i+1+at].Policy
		} else if at := slices.IndexFunc(lines[i+1:], func(x api.PolicyLine) bool { return x.Procedure == "" }); at >= 0 {
			before = lines[i+1+at].Policy // the site's was in force for it
		}
		out = append(out, PolicyEntry{At: l.At, By: l.By, Site: l.Procedure == "", Changes: policyChanges(before, l.Policy), Panel: l.Panel})
	}
	return out
}

func policyChanges(was, is clearance.Policy) []string {
	var out []string
	for _, w := range policyFields {
		if a, b := *number(&was, w.Field), *number(&is, w.Field); a != b {
			out = append(out, fmt.Sprintf("%s: %d → %d %s", w.Label, a, b, w.Unit))
		}
	}
	if was.Officer != is.Officer {
		out = append(out, map[bool]string{true: "A safety officer signs too", false: "A safety officer signs no more"}[is.Officer])
	}
	for _, t := range clearance.ObserveTopics {
		a, b := slices.Contains(was.ObserveAgain, t), slices.Contains(is.ObserveAgain, t)
		if a != b {
			out = append(out, map[bool]string{true: "Observed again: ", false: "Observed again no more: "}[b]+string(t))
		}
	}
	if len(out) == 0 {
		out = append(out, "As before")
	}
	return out
}
