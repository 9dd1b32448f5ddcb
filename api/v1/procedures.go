package v1

import (
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/content/procfile"
	"soloright/quiz"
)

// Cautions stand with every procedure.
var Cautions = []string{
	"Isolate, lock out and prove zero energy before any joint is opened.",
	"Bleed air and process pressure, drain and flush.",
	"Read the safety data sheet of what was pumped and wear the protective equipment it asks for.",
	"Follow the maker's manual, local codes and licensed practice where they say otherwise.",
}

// ProcedureLine is a procedure in a list.
type ProcedureLine struct {
	ID        string          `json:"id"`
	Title     string          `json:"title"`
	Equipment string          `json:"equipment"`
	Revision  string          `json:"revision"`
	Issued    content.Date    `json:"issued"`
	Owner     string          `json:"owner"`
	Builds    []content.Build `json:"builds"`
	Cautions  []string        `json:"cautions"`
}

// Procedures is a list of procedures.
type Procedures struct {
	Procedures []ProcedureLine `json:"procedures"`
}

// Procedure is a procedure with its steps and facts.
type Procedure struct {
	ProcedureLine
	Prerequisites []string `json:"prerequisites"`
	Steps         []Step   `json:"steps"`
	Facts         []Fact   `json:"facts"`
}

// Step is a step of a procedure.
type Step struct {
	ID    string        `json:"id"`
	Phase content.Phase `json:"phase"`
	Text  string        `json:"text"`
	After []string      `json:"after"`
	Why   string        `json:"why,omitempty"`
	Hold  bool          `json:"hold"`
}

// Fact is a fact of a procedure.
type Fact struct {
	ID       content.FactID   `json:"id"`
	Kind     content.FactKind `json:"kind"`
	Topic    content.Topic    `json:"topic"`
	Critical bool             `json:"critical"`
	Step     string           `json:"step"`
	Text     string           `json:"text"`
}

func lineOf(p *content.Procedure) ProcedureLine {
	return ProcedureLine{ID: p.ID, Title: p.Title, Equipment: p.Equipment, Revision: p.Revision, Issued: p.Issued, Owner: p.Owner,
		Builds: append([]content.Build{}, p.Builds...), Cautions: Cautions}
}

func factOf(f content.Fact) Fact {
	return Fact{ID: f.ID, Kind: f.Kind, Topic: f.Kind.Topic(), Critical: f.Critical, Step: f.Step, Text: f.Text}
}

func (f *face) procedures(c *gin.Context) error {
	all, err := f.app.Procedures(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Procedures{Procedures: []ProcedureLine{}}
	for _, p := range all {
		out.Procedures = append(out.Procedures, lineOf(p))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) procedure(c *gin.Context) error {
	p, err := f.app.Procedure(c.Request.Context(), edge.Caller(c), c.Param("procedure"), c.Query("revision"))
	if err != nil {
		return err
	}
	out := Procedure{ProcedureLine: lineOf(p), Prerequisites: append([]string{}, p.Prerequisites...), Steps: []Step{}, Facts: []Fact{}}
	for _, s := range p.Steps {
		out.Steps = append(out.Steps, Step{ID: s.ID, Phase: s.Phase, Text: s.Text, After: append([]string{}, s.After...), Why: s.Why, Hold: s.Hold != nil})
	}
	for _, fact := range content.Facts(p) {
		out.Facts = append(out.Facts, factOf(fact))
	}
	return send(c, http.StatusOK, out)
}

// Imported says what an import did.
type Imported struct {
	Procedure string `json:"procedure"`
	Revision  string `json:"revision"`
	Title     string `json:"title"`
	Facts     int    `json:"facts"`
	New       bool   `json:"new"`
	InForce   bool   `json:"in_force"` // false: it is kept until a safety officer adopts it
}

// importProcedure takes a procedure file as it is, application/yaml (RFC 9512).
func (f *face) importProcedure(c *gin.Context) error {
	if c.ContentType() != "application/yaml" {
		return &api.Error{Kind: edge.BadType, Message: "Send the procedure file as application/yaml."}
	}
	src, err := whole(edge.Upload(c))
	if err != nil {
		return err
	}
	res, err := f.app.ImportProcedure(c.Request.Context(), edge.Caller(c), api.Import{Name: "procedure", Source: src})
	var bad *procfile.Errors
	if errors.As(err, &bad) {
		return fileProblem(bad)
	}
	if err != nil {
		return err
	}
	status := http.StatusOK
	if res.New {
		status = http.StatusCreated
	}
	return send(c, status, Imported(res))
}

// fileProblem names every error of a procedure file: the path to it as the
// field, and where in the file it stands.
func fileProblem(bad *procfile.Errors) error {
	e := &api.Error{Kind: api.Invalid, Message: "The procedure file has errors. Nothing was changed.", Err: bad}
	for _, x := range bad.List {
		message := fmt.Sprintf("line %d, column %d: %s", x.Line, x.Column, x.Message)
		if x.Remedy != "" {
			message += "; " + x.Remedy
		}
		e.Fields = append(e.Fields, api.FieldError{Field: x.Path, Message: message})
	}
	return e
}

// PreviewFact is a fact with sample items and their keys.
type PreviewFact struct {
	Fact  Fact        `json:"fact"`
	Items []quiz.Item `json:"items"`
	Why   string      `json:"why,omitempty"`
}

// Preview is every fact of a procedure.
type Preview struct {
	Facts []PreviewFact `json:"facts"`
}

func (f *face) items(c *gin.Context) error {
	var seed quiz.Seed
	b, err := hex.DecodeString(c.Query("seed"))
	if err != nil || len(b) > len(seed) {
		return &api.Error{Kind: api.Invalid, Message: "The seed is not readable.", Err: err,
			Fields: []api.FieldError{{Field: "seed", Message: fmt.Sprintf("must be hex digits, two for a byte, %d at most", 2*len(seed))}}}
	}
	copy(seed[:], b)
	facts, err := f.app.Preview(c.Request.Context(), edge.Caller(c), c.Param("procedure"), c.Query("revision"), c.Query("build"), seed)
	if err != nil {
		return err
	}
	out := Preview{Facts: []PreviewFact{}}
	for _, pf := range facts {
		out.Facts = append(out.Facts, PreviewFact{Fact: factOf(pf.Fact), Items: append([]quiz.Item{}, pf.Items...), Why: pf.Why})
	}
	return send(c, http.StatusOK, out)
}
