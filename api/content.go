package api

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"sync"

	"soloright/content"
	"soloright/content/procfile"
	"soloright/quiz"
	"soloright/scoring/ledger"
)

// Edition is one revision of a procedure for one build, taken apart and ready to
// write forms from. It never changes and is shared.
type Edition struct {
	Source    *quiz.Source
	Bank      *quiz.Bank
	Blueprint content.Blueprint
}

// blueprint is the blueprint of a mode, with the cut that decides: what is in the
// blueprint is a proposal. Practice has no facts that always appear
// and no bounds on items where one slip may fail a sitting: nothing fails there,
// and so every fact comes up, also those that give the always present ones away.
func (e *Edition) blueprint(m Mode, cut content.Cut) content.Blueprint {
	bp := e.Blueprint
	bp.Cut = cut
	if m == Practice {
		bp.Always, bp.MaxIsolation, bp.MaxCritical = nil, 0, 0
	}
	return bp
}

// contentCache keeps editions by procedure, revision and build: revisions are
// immutable, so an edition once made is right for ever.
type contentCache struct {
	models []quiz.Model
	mu     sync.Mutex
	all    map[[3]string]*Edition
	procs  map[[2]string]*content.Procedure
}

func newContentCache(models []quiz.Model) *contentCache {
	return &contentCache{models: models, all: map[[3]string]*Edition{}, procs: map[[2]string]*content.Procedure{}}
}

// procedure reads a stored revision, once.
func (c *contentCache) procedure(ctx context.Context, r Reader, id, revision string) (*content.Procedure, []byte, error) {
	rev, err := r.Revision(ctx, id, revision)
	if errors.Is(err, ErrNone) {
		return nil, nil, notFound("procedure revision")
	}
	if err != nil {
		return nil, nil, fmt.Errorf("read revision %s %s: %w", id, revision, err)
	}
	p, err := procfile.Stored(id+".yaml", rev.Source)
	if err != nil {
		return nil, nil, fmt.Errorf("stored revision %s %s does not read: %w", id, revision, err)
	}
	return p, rev.Blueprint, nil
}

// edition returns the edition of a revision for a build, making it the first time.
func (c *contentCache) edition(ctx context.Context, r Reader, id, revision, build string) (*Edition, error) {
	key := [3]string{id, revision, build}
	c.mu.Lock()
	e := c.all[key]
	c.mu.Unlock()
	if e != nil {
		return e, nil
	}
	p, bp, err := c.procedure(ctx, r, id, revision)
	if err != nil {
		return nil, err
	}
	if e, err = MakeEdition(p, bp, build, c.models); err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all[key] = e
	return e, nil
}

// MakeEdition takes a procedure apart for a build. An empty blueprint gives the
// default one; facts that a blueprint always wants but the build does not state
// are left out of it. A build that the procedure does not have is Invalid.
func MakeEdition(p *content.Procedure, blueprint []byte, build string, models []quiz.Model) (*Edition, error) {
	if !hasBuild(p, build) {
		return nil, invalid("build", "This procedure has no such build.")
	}
	src := quiz.NewSource(p, build)
	e := &Edition{Source: src, Bank: quiz.NewBank(src, models)}
	if len(blueprint) == 0 {
		e.Blueprint = quiz.DefaultBlueprint(src.Procedure, e.Bank)
		return e, nil
	}
	bp, err := procfile.StoredBlueprint(p.ID+".blueprint.yaml", blueprint)
	if err != nil {
		return nil, err
	}
	e.Blueprint = *bp
	e.Blueprint.Always = slices.DeleteFunc(slices.Clone(bp.Always), func(id content.FactID) bool {
		_, here := src.Index.Fact(id)
		return !here
	})
	return e, nil
}

func hasBuild(p *content.Procedure, build string) bool {
	if len(p.Builds) == 0 {
		return build == ""
	}
	return slices.ContainsFunc(p.Builds, func(b content.Build) bool { return b.ID == build })
}

// Import is the command to put a procedure revision into the record.
type Import struct {
	Name      string // the file's name, for messages
	Source    []byte
	Blueprint []byte
	Adopt     bool // put it in force at once, for who may set the policy; the first revision of a procedure always is
}

// ImportResult says what an import did.
type ImportResult struct {
	Procedure, Revision, Title string
	Facts                      int
	New                        bool // false where the very same text was there already
	InForce                    bool // it is the revision in force by now; else it is kept until somebody adopts it
}

// ImportProcedure reads, checks and keeps a revision. A file with errors changes
// nothing and returns a *procfile.Errors. A revision that is there already with
// another text is a Conflict: a changed procedure needs a new revision. The first
// revision of a procedure is in force at once; a later one is kept and touches
// nobody until it is adopted, unless the command adopts it.
func (a *App) ImportProcedure(ctx context.Context, c Caller, cmd Import) (ImportResult, error) {
	if err := a.allowed(ctx, c, ImportContent); err != nil {
		return ImportResult{}, err
	}
	p, err := procfile.Read(cmd.Name, cmd.Source)
	if err != nil {
		return ImportResult{}, err
	}
	if len(cmd.Blueprint) > 0 {
		if _, err := procfile.ReadBlueprintFor(cmd.Name+" (blueprint)", cmd.Blueprint, p); err != nil {
			return ImportResult{}, err
		}
	}
	res := ImportResult{Procedure: p.ID, Revision: p.Revision, Title: p.Title, Facts: len(content.Facts(p))}
	err = a.inTx(ctx, c, ImportContent, func(tx Tx, w Actor) error {
		if cmd.Adopt {
			if err := w.may(ManagePolicy); err != nil {
				return err
			}
		}
		res.New, res.InForce, err = a.keepRevision(ctx, tx, w, p, cmd)
		return err
	})
	return res, err
}

// keepRevision writes a revision that is new, and adopts it where it is the first
// one or the command says so.
func (a *App) keepRevision(ctx context.Context, tx Tx, w Actor, p *content.Procedure, cmd Import) (isNew, inForce bool, err error) {
	rev := Revision{Procedure: p.ID, Revision: p.Revision, Title: p.Title, Issued: p.Issued, Source: cmd.Source, Blueprint: cmd.Blueprint,
		Digest: revisionDigest(cmd.Source, cmd.Blueprint), Imported: a.now(), By: w.Person.ID}
	if _, err := tx.LockLedger(ctx); err != nil { // nobody adopts another one meanwhile
		return false, false, err
	}
	old, err := tx.Revision(ctx, p.ID, p.Revision)
	isNew = errors.Is(err, ErrNone)
	switch {
	case err == nil && !bytes.Equal(old.Digest, rev.Digest):
		return false, false, conflict("imported", fmt.Sprintf("Revision %s of %s is in the record with another text. Give the changed procedure a new revision.", p.Revision, p.ID))
	case err != nil && !isNew:
		return false, false, fmt.Errorf("read revision: %w", err)
	}
	plan, err := a.planAdoption(ctx, tx, p)
	if err != nil && (isNew || cmd.Adopt) {
		return false, false, err
	}
	var entries []ledger.Entry
	if isNew {
		if err := tx.AddRevision(ctx, rev); err != nil {
			return false, false, fmt.Errorf("keep revision %s %s: %w", p.ID, p.Revision, err)
		}
		entries = append(entries, revisionImported(rev, w.by()))
	}
	var acts []newAct
	if plan.adopts() && (plan.From == "" || cmd.Adopt) {
		acts = append(acts, newAct{act: plan.act})
	}
	return isNew, len(acts) > 0 || plan.inForce(), a.withActs(ctx, tx, w, entries, acts...)
}

func revisionDigest(source, blueprint []byte) []byte {
	h := sha256.New()
	h.Write(source)
	h.Write([]byte{0})
	h.Write(blueprint)
	return h.Sum(nil)
}

// Procedures returns the revision in force of every procedure, by id.
func (a *App) Procedures(ctx context.Context, c Caller) ([]*content.Procedure, error) {
	var out []*content.Procedure
	err := a.read(ctx, c, "", func(r Reader, _ Actor) error {
		revs, err := r.CurrentRevisions(ctx)
		if err != nil {
			return fmt.Errorf("list procedures: %w", err)
		}
		out = nil
		for _, rev := range revs {
			p, err := a.inForce(ctx, r, rev)
			if err != nil {
				return err
			}
			out = append(out, p)
		}
		return nil
	})
	return out, err
}

// whole returns a revision with all its builds, read once.
func (c *contentCache) whole(ctx context.Context, r Reader, id, revision string) (*content.Procedure, error) {
	key := [2]string{id, revision}
	c.mu.Lock()
	p := c.procs[key]
	c.mu.Unlock()
	if p != nil {
		return p, nil
	}
	p, _, err := c.procedure(ctx, r, id, revision)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.procs[key] = p
	return p, nil
}

// inForce returns the procedure by the revision in force, given the one that was
// imported last.
func (a *App) inForce(ctx context.Context, r Reader, newest Revision) (*content.Procedure, error) {
	adopted, err := a.revisionInForce(ctx, r, newest.Procedure)
	if err != nil {
		return nil, err
	}
	return a.content.whole(ctx, r, newest.Procedure, cmp.Or(adopted, newest.Revision))
}

// current returns the revision of a procedure that is in force: the one adopted
// last.
func (a *App) current(ctx context.Context, r Reader, id string) (Revision, error) {
	revs, err := r.CurrentRevisions(ctx)
	if err != nil {
		return Revision{}, fmt.Errorf("list procedures: %w", err)
	}
	for _, rev := range revs {
		if rev.Procedure != id {
			continue
		}
		adopted, err := a.revisionInForce(ctx, r, id)
		if err != nil || adopted == "" || adopted == rev.Revision {
			return rev, err
		}
		if rev, err = r.Revision(ctx, id, adopted); err != nil {
			return Revision{}, fmt.Errorf("read revision %s %s: %w", id, adopted, err)
		}
		return rev, nil
	}
	return Revision{}, notFound("procedure")
}

// Procedure returns a procedure with all that it states; an empty revision is the
// current one. It is a Conflict while the caller has a qualifying sitting on it open.
func (a *App) Procedure(ctx context.Context, c Caller, id, revision string) (*content.Procedure, error) {
	var p *content.Procedure
	err := a.read(ctx, c, "", func(r Reader, w Actor) (err error) {
		if err := a.closedBook(ctx, r, w, id); err != nil {
			return err
		}
		if revision == "" {
			rev, err := a.current(ctx, r, id)
			if err != nil {
				return err
			}
			revision = rev.Revision
		}
		p, err = a.content.whole(ctx, r, id, revision)
		return err
	})
	return p, err
}
