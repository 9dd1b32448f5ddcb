package api

import (
	"context"
	"errors"
	"fmt"
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// EvidenceQuery asks for the evidence of a person's clearance on a procedure.
type EvidenceQuery struct {
	Person    string
	Procedure string
	On        content.Date // the end of that day at the site; zero: today
}

// Evidence is the whole trail of a clearance, or of the road so far, as the
// record stood at the end of a day. The same record gives the same evidence. It
// shows no key.
type Evidence struct {
	Person     EvidencePerson     `json:"person"`
	Procedure  string             `json:"procedure"`
	Title      string             `json:"title"`
	On         content.Date       `json:"on"`
	Standing   clearance.Standing `json:"standing"`
	Trail      clearance.Trail    `json:"trail"`
	Revision   EvidenceRevision   `json:"revision"` // that the standing is about
	Policy     EvidencePolicy     `json:"policy"`
	Sittings   []EvidenceSitting  `json:"sittings"` // every qualifying, confirming and delta sitting, oldest first
	Facts      []EvidenceFact     `json:"facts"`    // every fact missed in one of them
	Read       []EvidenceRead     `json:"read"`     // removed facts that were read and signed for
	Rebuilds   []EvidenceRebuild  `json:"rebuilds"` // oldest first
	Acts       []EvidenceAct      `json:"acts"`     // whatever else bears on it, oldest first
	Entries    []EvidenceEntry    `json:"entries"`  // of the ledger, that attest all of this
	Checkpoint string             `json:"checkpoint"`
	Keys       []string           `json:"keys"`     // public keys of the ledger, in the order in which they signed
	Recorded   time.Time          `json:"recorded"` // time of the last entry under the checkpoint
}

// EvidencePerson is somebody by id, and by the name and role of today's account.
type EvidencePerson struct {
	ID   string `json:"id"` // "" for the program, or whoever runs it
	Name string `json:"name"`
	Role Role   `json:"role,omitempty"`
}

// EvidenceRevision is a revision as it was imported.
type EvidenceRevision struct {
	Revision  string       `json:"revision"`
	Issued    content.Date `json:"issued,omitzero"`
	Imported  time.Time    `json:"imported,omitzero"`
	Adopted   time.Time    `json:"adopted,omitzero"`
	Digest    string       `json:"digest"`              // SHA-256 of text and blueprint as imported, hex
	Blueprint string       `json:"blueprint,omitempty"` // SHA-256 of the blueprint as imported, hex; empty: the program's default
}

// EvidencePolicy is the policy that decided: at the last signature, or without
// one, at the end of the day asked about.
type EvidencePolicy struct {
	Policy clearance.Policy `json:"policy"`
	At     time.Time        `json:"at"`             // when it decided
	Set    time.Time        `json:"set,omitzero"`   // when it was set; zero: never, it is the default
	Site   bool             `json:"site,omitempty"` // set for the whole site
}

// EvidenceSitting is a sitting with its form, hand-in and outcome.
type EvidenceSitting struct {
	ID        string        `json:"id"`
	Mode      Mode          `json:"mode"`
	Confirms  string        `json:"confirms,omitempty"`
	Revision  string        `json:"revision"`
	Build     string        `json:"build,omitempty"`
	Opened    time.Time     `json:"opened"`
	HandedIn  time.Time     `json:"handed_in"`
	TimeUp    bool          `json:"time_up,omitempty"`
	Items     int           `json:"items"`
	Form      string        `json:"form"`      // SHA-256 of the form as set, hex
	Blueprint string        `json:"blueprint"` // SHA-256 of its blueprint, hex; empty: the program's default
	Answers   string        `json:"answers"`   // SHA-256 of the answers as handed in, hex
	Outcome   string        `json:"outcome,omitempty"`
	Marked    time.Time     `json:"marked,omitzero"`
	Marking   int           `json:"marking,omitempty"` // number of the marking that stands
	Rules     int           `json:"rules,omitempty"`
	Total     quiz.Fraction `json:"total,omitzero"` // marks, exact
	Cut       content.Cut   `json:"cut,omitempty"`  // percent
	Percent   int           `json:"percent,omitempty"`
	Critical  int           `json:"critical,omitempty"` // critical facts missed
	Verdict   string        `json:"verdict,omitempty"`  // of the marking
	Final     string        `json:"final,omitempty"`    // with the confirming step; empty where none is on record
	Carries   bool          `json:"carries,omitempty"`  // the standing rests on it
	Void      *EvidenceVoid `json:"void,omitempty"`
}

// EvidenceVoid says that something was struck out.
type EvidenceVoid struct {
	At     time.Time      `json:"at"`
	By     EvidencePerson `json:"by"`
	Reason string         `json:"reason"`
}

// EvidenceFact is a fact that was missed, and when it was right again.
type EvidenceFact struct {
	Fact     content.FactID `json:"fact"`
	Text     string         `json:"text"`
	Critical bool           `json:"critical,omitempty"`
	Missed   []time.Time    `json:"missed"`         // hand-ins in which it was wrong or blank
	Right    time.Time      `json:"right,omitzero"` // first hand-in after the last miss in which all of it was right
}

// EvidenceRead is a set of facts no longer stated, read and signed for.
type EvidenceRead struct {
	Revision string           `json:"revision"`
	At       time.Time        `json:"at"`
	Facts    []content.FactID `json:"facts"`
	Texts    []string         `json:"texts"`
	Digest   string           `json:"digest"`
	Entry    int64            `json:"entry"`
}

// EvidenceAct is another act on the record that bears on the standing.
type EvidenceAct struct {
	At    time.Time      `json:"at"`
	Kind  clearance.Kind `json:"kind"`
	What  string         `json:"what"` // a sentence without a full stop
	By    EvidencePerson `json:"by"`
	Entry int64          `json:"entry"`
}

// EvidenceEntry is an entry of the ledger, with the proof that it is on record.
type EvidenceEntry struct {
	N     int64       `json:"n"`
	Kind  ledger.Kind `json:"kind"`
	ID    string      `json:"id"`
	At    time.Time   `json:"at"`
	About string      `json:"about"`
	Leaf  string      `json:"leaf"`  // its RFC 6962 leaf hash, base64
	Proof string      `json:"proof"` // a C2SP tlog-proof under the checkpoint
}

// Evidence returns the evidence of a clearance: one's own, or anybody's for who
// may read the evidence. One's own stays closed during an own qualifying sitting on the
// procedure. It costs some ten reads for each sitting and entry.
func (a *App) Evidence(ctx context.Context, c Caller, q EvidenceQuery) (Evidence, error) {
	if q.On.IsZero() {
		q.On = a.today()
	}
	var out Evidence
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		if err := w.mayFor(q.Person, ReadEvidence); err != nil {
			return err
		}
		if err := a.closedBook(ctx, r, w, q.Procedure); err != nil {
			return err
		}
		var err error
		out, err = a.gather(ctx, r, q)
		return err
	})
	return out, err
}

// gather collects the evidence part by part.
func (a *App) gather(ctx context.Context, r Reader, q EvidenceQuery) (Evidence, error) {
	g := &gatherer{a: a, ctx: ctx, r: r, q: q, people: map[string]Person{}, about: map[int64]string{}, said: map[content.FactID]string{}}
	g.ev = Evidence{Procedure: q.Procedure, On: q.On, Sittings: []EvidenceSitting{}, Facts: []EvidenceFact{}, Read: []EvidenceRead{}, Rebuilds: []EvidenceRebuild{}, Acts: []EvidenceAct{}}
	for _, part := range []func() error{g.begin, g.revision, g.policy, g.sittings, g.facts, g.rebuilds, g.others, g.proofs} {
		if err := part(); err != nil {
			return Evidence{}, fmt.Errorf("gather the evidence of %s on %s: %w", q.Person, q.Procedure, err)
		}
	}
	return g.ev, nil
}

// gatherer holds what the parts of the evidence share.
type gatherer struct {
	a   *App
	ctx context.Context
	r   Reader
	q   EvidenceQuery
	at  time.Time // the end of the day
	ev  Evidence

	people map[string]Person
	own    []happened                      // the person's acts on the procedure by then
	proc   []happened                      // the procedure's own acts by then
	texts  map[content.FactID]content.Fact // of every revision on record, the newest last
	said   map[content.FactID]string       // what a sitting said of a fact that was missed
	about  map[int64]string                // entries of the ledger, and what each is about
}

// happened is an act that is read already.
type happened struct {
	StoredAct
	event clearance.Event
}

// entry is the number of the ledger entry that attests the act.
func (h happened) entry() int64 { return h.Seq - 1 }

// begin finds the person, the standing, the trail and the acts.
func (g *gatherer) begin() error {
	p, err := g.r.Person(g.ctx, g.q.Person)
	if errors.Is(err, ErrNone) {
		return notFound("person")
	}
	if err != nil {
		return fmt.Errorf("read person: %w", err)
	}
	if err := procedureThere(g.ctx, g.r, g.q.Procedure); err != nil {
		return err
	}
	g.people[p.ID] = p
	g.ev.Person = EvidencePerson{p.ID, p.Name, p.Role}
	err = g.a.register.judge(g.ctx, g.r, func(f *registerCache) error {
		g.at = f.reg.EndOf(g.q.On.Time())
		g.ev.Standing = f.reg.Standing(p.ID, g.q.Procedure, g.at, time.Time{})
		g.ev.Trail = f.reg.Trail(p.ID, g.q.Procedure, g.at, time.Time{})
		return nil
	})
	if err != nil {
		return err
	}
	if g.own, err = g.acts(g.r.ActsOfPerson(g.ctx, p.ID)); err != nil {
		return err
	}
	g.proc, err = g.acts(g.r.ActsOfProcedure(g.ctx, g.q.Procedure))
	return err
}

// acts reads the acts that were on the record by the end of the day.
func (g *gatherer) acts(stored []StoredAct, err error) ([]happened, error) {
	if err != nil {
		return nil, fmt.Errorf("read acts: %w", err)
	}
	var out []happened
	for _, s := range stored {
		if s.At.After(g.at) {
			continue
		}
		e, err := s.Event()
		if err != nil {
			return nil, fmt.Errorf("read act %d: %w", s.Seq, err)
		}
		out = append(out, happened{s, e})
	}
	return out, nil
}

// who is a person by id, with the name of today's account.
func (g *gatherer) who(id string) (EvidencePerson, error) {
	if id == "" {
		return EvidencePerson{Name: "the program, or whoever runs it"}, nil
	}
	p, ok := g.people[id]
	if !ok {
		var err error
		if p, err = g.r.Person(g.ctx, id); err != nil {
			return EvidencePerson{}, fmt.Errorf("read person %s: %w", id, err)
		}
		g.people[id] = p
	}
	return EvidencePerson{p.ID, p.Name, p.Role}, nil
}
