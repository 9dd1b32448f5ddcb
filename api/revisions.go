package api

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// RevisionState is where a revision is.
type RevisionState string

// The states of a revision.
const (
	RevisionKept      RevisionState = "kept" // on the record, not adopted
	RevisionInForce   RevisionState = "in force"
	RevisionReplaced  RevisionState = "replaced"  // by a later one
	RevisionWithdrawn RevisionState = "withdrawn" // with the procedure, while it was in force
)

// RevisionLine is one revision of a procedure with what became of it.
type RevisionLine struct {
	Revision string
	Title    string
	Issued   content.Date // as its file says
	Imported time.Time
	By       string // name of who imported it
	State    RevisionState
	Adopted  []Decided // when it came into force; more than once where the procedure was withdrawn between
	Ended    time.Time // when it was replaced or withdrawn; zero while it is in force
}

// Decided says when something was decided, and by whom.
type Decided struct {
	At     time.Time
	By     string // name
	Reason string // where one is given
}

// RevisionList is every revision of a procedure.
type RevisionList struct {
	Procedure string
	Title     string
	InForce   string         // "" where the procedure is withdrawn
	Withdrawn *Decided       // nil: it is not
	Revisions []RevisionLine // the one imported last first
}

// Revisions lists every revision of a procedure with its dates, for anybody who is
// signed in.
func (a *App) Revisions(ctx context.Context, c Caller, procedure string) (RevisionList, error) {
	var out RevisionList
	err := a.read(ctx, c, "", func(r Reader, _ Actor) (err error) {
		out, err = a.revisions(ctx, r, procedure)
		return err
	})
	return out, err
}

func (a *App) revisions(ctx context.Context, r Reader, procedure string) (RevisionList, error) {
	all, err := r.Revisions(ctx, procedure)
	if err != nil {
		return RevisionList{}, fmt.Errorf("read revisions of %s: %w", procedure, err)
	}
	if len(all) == 0 {
		return RevisionList{}, notFound("procedure")
	}
	known, err := readNames(ctx, r)
	if err != nil {
		return RevisionList{}, err
	}
	out := RevisionList{Procedure: procedure, Title: known.title(procedure)}
	for _, rev := range all {
		out.Revisions = append(out.Revisions, RevisionLine{Revision: rev.Revision, Title: rev.Title, Issued: rev.Issued, Imported: rev.Imported, By: known.person(rev.By), State: RevisionKept})
	}
	acts, err := adoptions(ctx, r, procedure)
	if err != nil {
		return RevisionList{}, err
	}
	for _, s := range acts {
		e, err := s.Event()
		if err != nil {
			return RevisionList{}, err
		}
		out.take(e, known)
	}
	slices.Reverse(out.Revisions)
	return out, nil
}

// adoptions returns the adoptions and withdrawals of a procedure, in the order of
// the record.
func adoptions(ctx context.Context, r Reader, procedure string) ([]StoredAct, error) {
	var out []StoredAct
	for _, k := range []clearance.Kind{clearance.RevisionAdopted{}.Kind(), clearance.ProcedureWithdrawn{}.Kind()} {
		all, err := r.ActsOfKind(ctx, ActFilter{Kind: k, Procedure: procedure})
		if err != nil {
			return nil, fmt.Errorf("list %q on %s: %w", k, procedure, err)
		}
		out = append(out, all...)
	}
	slices.SortFunc(out, func(a, b StoredAct) int { return cmp.Compare(a.Seq, b.Seq) })
	return out, nil
}

// take brings the list to where an event left it.
func (l *RevisionList) take(e clearance.Event, known names) {
	switch act := e.Act.(type) {
	case clearance.RevisionAdopted:
		l.end(e.At, RevisionReplaced)
		l.InForce, l.Withdrawn = act.Revision, nil
		for i := range l.Revisions {
			if rev := &l.Revisions[i]; rev.Revision == act.Revision {
				rev.State, rev.Ended = RevisionInForce, time.Time{}
				rev.Adopted = append(rev.Adopted, Decided{At: e.At, By: known.person(e.By)})
			}
		}
	case clearance.ProcedureWithdrawn:
		l.end(e.At, RevisionWithdrawn)
		l.InForce, l.Withdrawn = "", &Decided{At: e.At, By: known.person(e.By), Reason: act.Reason}
	}
}

// end puts an end to the revision that is in force, or was withdrawn.
func (l *RevisionList) end(at time.Time, s RevisionState) {
	for i := range l.Revisions {
		rev := &l.Revisions[i]
		if rev.State == RevisionInForce {
			rev.Ended = at
		}
		if rev.State == RevisionInForce || rev.State == RevisionWithdrawn {
			rev.State = s
		}
	}
}

// RevisionText is a revision as it was imported, to the byte.
type RevisionText struct {
	Source    []byte
	Blueprint []byte // empty: it had none
	Digest    []byte // SHA-256 of Source, a zero byte, Blueprint, as it stands in the record
}

// RevisionText returns the text of a revision as it was imported, for whoever
// imports procedures or adopts them: what it states wrong on purpose stands in it
// too, so it is a Conflict while the caller has a qualifying or delta sitting on
// the procedure open.
func (a *App) RevisionText(ctx context.Context, c Caller, procedure, revision string) (RevisionText, error) {
	var out RevisionText
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		if w.may(ImportContent) != nil {
			if err := w.may(ManagePolicy); err != nil {
				return err
			}
		}
		if err := a.closedBook(ctx, r, w, procedure); err != nil {
			return err
		}
		rev, err := r.Revision(ctx, procedure, revision)
		if errors.Is(err, ErrNone) {
			return notFound("procedure revision")
		}
		if err != nil {
			return fmt.Errorf("read revision %s of %s: %w", revision, procedure, err)
		}
		out = RevisionText{Source: rev.Source, Blueprint: rev.Blueprint, Digest: rev.Digest}
		return nil
	})
	return out, err
}

// WithdrawProcedure is the command to withdraw a procedure.
type WithdrawProcedure struct {
	Procedure string `json:"-" validate:"required,max=64"`
	Reason    string `json:"reason" validate:"required,min=10,max=1000"`
}

// WithdrawProcedure withdraws a procedure from now on: nobody is cleared on it, and
// nobody sits on it, until a revision is adopted again. Clearances are not lost:
// whoever stood on the revision that is adopted then is cleared again, as long as
// the clearance lasts. Withdrawn for the same reason by the same officer it stays so;
// withdrawn otherwise already it is a Conflict.
func (a *App) WithdrawProcedure(ctx context.Context, c Caller, cmd WithdrawProcedure) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.decide(ctx, c, ManagePolicy, func(tx Tx, w Actor) ([]newAct, error) {
		if err := w.named(); err != nil {
			return nil, err
		}
		if err := procedureThere(ctx, tx, cmd.Procedure); err != nil {
			return nil, err
		}
		all, err := adoptions(ctx, tx, cmd.Procedure)
		if err != nil {
			return nil, err
		}
		act := clearance.ProcedureWithdrawn{Procedure: cmd.Procedure, Reason: cmd.Reason}
		last, _ := lastAct(all, func(StoredAct) bool { return true })
		switch {
		case sameAct(last, w, act):
			return nil, nil
		case last.Kind == act.Kind():
			return nil, conflict("withdrawn", "This procedure is withdrawn already.")
		}
		return []newAct{{act: act}}, nil
	})
}
