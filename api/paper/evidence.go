package paper

import (
	"fmt"
	"io"
	"time"
	"unicode"
	"unicode/utf8"

	"soloright/api"
	"soloright/scoring/ledger"
)

// Evidence writes the evidence of a clearance as a PDF of framed sheets. The same
// evidence gives the same bytes: its dates are those of the record. Times are
// printed in the given zone.
func Evidence(w io.Writer, e api.Evidence, size Size, zone *time.Location) error {
	p := &evidencePrint{e: e, zone: zone}
	block := titleBlock{Type: "Evidence of a clearance", Title: e.Person.Name + " – " + e.Title, ID: e.Procedure + " / " + short(e.Person.ID),
		Revision: e.Revision.Revision, Issued: e.On.String(), Owner: p.origin()}
	return layOut(w, size, block, e.Recorded, func(s *sheets) {
		p.sheets = s
		for _, part := range []func(){p.standing, s.warning, p.rests, p.policy, p.sittings, p.facts, p.read, p.rebuilds, p.acts, p.entries, p.check} {
			part()
		}
	})
}

// evidencePrint is one evidence on its way to paper.
type evidencePrint struct {
	*sheets
	e    api.Evidence
	zone *time.Location
}

// short is the beginning of an id, enough to tell people apart on paper.
func short(id string) string { return id[:min(8, len(id))] }

// origin is the name of the ledger, from its checkpoint.
func (p *evidencePrint) origin() string {
	at, err := ledger.ParseCheckpoint([]byte(p.e.Checkpoint))
	if err != nil {
		return ""
	}
	return at.Origin
}

func (p *evidencePrint) when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(p.zone).Format("2006-01-02 15:04")
}

func (p *evidencePrint) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(p.zone).Format(time.DateOnly)
}

func (p *evidencePrint) standing() {
	e := p.e
	word := "MAY NOT WORK ALONE"
	if e.Standing.Cleared {
		word = "MAY WORK ALONE"
	}
	p.use(bold.at(15))
	p.Text(p.left(), p.y+6, word)
	p.y += 9
	p.text(body.at(10.5), capital(e.Standing.Reason)+".")
	p.gap(2)
	p.about()
	for _, next := range e.Standing.Next {
		p.text(body, "Missing: "+next+".")
	}
}

// about names whom and what the evidence is about, and of when it is.
func (p *evidencePrint) about() {
	e := p.e
	size := ""
	if at, err := ledger.ParseCheckpoint([]byte(e.Checkpoint)); err == nil {
		size = fmt.Sprintf("%d entries, the last of %s", at.Size, p.when(e.Recorded))
	}
	p.sheets.facts(fact{"Person", e.Person.Name + " (" + string(e.Person.Role) + "), " + e.Person.ID}, fact{"Procedure", e.Title + ", " + e.Procedure},
		fact{"As of", "the end of " + e.On.String()}, fact{"Record", size}, fact{"Clearance began", p.when(e.Trail.From)},
		fact{"Times", "in " + e.Recorded.In(p.zone).Format("UTC-07:00")})
}

// rests is the revision.
func (p *evidencePrint) rests() {
	r := p.e.Revision
	p.heading("Revision")
	if r.Revision == "" {
		p.text(body, "No revision of the procedure is in force.")
		return
	}
	blueprint := r.Blueprint
	if blueprint == "" {
		blueprint = "the program’s default"
	}
	p.sheets.facts(fact{"Revision", r.Revision}, fact{"Issued", r.Issued.String()}, fact{"Put on the record", p.when(r.Imported)}, fact{"Adopted", p.when(r.Adopted)},
		fact{"SHA-256 of its text", r.Digest}, fact{"SHA-256 of its blueprint", blueprint})
}

func (p *evidencePrint) policy() {
	q := p.e.Policy
	p.heading("Policy that decided")
	set := "the program’s default; none was set"
	if !q.Set.IsZero() {
		set = "set on " + p.when(q.Set)
		if q.Site {
			set += " for the whole site"
		}
	}
	p.sheets.facts(fact{"In force", "on " + p.when(q.At) + ", " + set}, fact{"It asks for", PolicyWords(q.Policy)})
}

// capital begins a sentence.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
