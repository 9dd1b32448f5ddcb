package api

import (
	"context"
	"slices"
	"strings"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// RegisterLine is a standing with the names that its ids stand for. Its sentences
// name procedures by their titles.
type RegisterLine struct {
	clearance.Standing
	Name  string // of the person, as printed
	Crew  string
	Title string // of the procedure
}

// Gone reports whether the clearance was withdrawn or the person has left.
func (l RegisterLine) Gone() bool {
	return l.State == clearance.StateWithdrawn || l.State == clearance.StateLeft
}

// MayAlone is the choice of whoever is cleared, also while held within the grace.
const MayAlone = "may work alone"

// RegisterChoices are what the register can be narrowed to, besides everything.
var RegisterChoices = []string{MayAlone, string(clearance.Cleared), string(clearance.Held), string(clearance.Lapsed), string(clearance.NotCleared),
	string(clearance.StateSuspended), string(clearance.StateWithdrawn), string(clearance.StateLeft), string(clearance.ProcedureNotActive)}

// RegisterAsk asks for a part of the register. Zero fields do not filter.
type RegisterAsk struct {
	On        content.Date // the end of that day at the site; zero: today
	KnownNow  bool         // by what is on the record now, not by what was at the end of that day
	Procedure string
	Person    string
	Name      string // part of the name, in any case
	State     string // one of RegisterChoices
	From      int    // the first line, counted from 1
	Limit     int    // how many lines; 0: all
}

// RegisterPart is a part of the register.
type RegisterPart struct {
	On    content.Date
	Total int // lines of the whole
	From  int // of the first of these
	Lines []RegisterLine
}

// RegisterPart returns a part of the register, by the names of people and then by
// procedure. Without a state it walks for the lines of the part only; with one it
// walks for everybody.
func (a *App) RegisterPart(ctx context.Context, c Caller, q RegisterAsk) (RegisterPart, error) {
	if q.On.IsZero() {
		q.On = a.today()
	}
	if q.State != "" && !slices.Contains(RegisterChoices, q.State) {
		return RegisterPart{}, invalid("state", "The state must be one of: "+strings.Join(RegisterChoices, ", ")+".")
	}
	out := RegisterPart{On: q.On, From: max(1, q.From), Lines: []RegisterLine{}}
	err := a.readRegister(ctx, c, func(f *registerCache, n names) error {
		var known time.Time
		if q.KnownNow {
			known = a.now()
		}
		people := n.order
		switch {
		case q.Person != "":
			people = []string{q.Person}
		case q.Name != "":
			people = n.like(q.Name)
		}
		limit := q.Limit
		if limit == 0 {
			limit = f.reg.Pairs()
		}
		out.Lines = make([]RegisterLine, 0, min(limit, f.reg.Pairs()))
		if q.State == "" {
			out.Total = f.reg.Part(people, q.Procedure, q.On, known, out.From-1, limit, func(s clearance.Standing) { out.Lines = append(out.Lines, n.line(s)) })
			return nil
		}
		f.reg.Part(people, q.Procedure, q.On, known, 0, -1, func(s clearance.Standing) {
			if !chosen(s, q.State) {
				return
			}
			if out.Total++; out.Total >= out.From && len(out.Lines) < limit {
				out.Lines = append(out.Lines, n.line(s))
			}
		})
		return nil
	})
	return out, err
}

func chosen(s clearance.Standing, state string) bool {
	if state == MayAlone {
		return s.Cleared
	}
	return string(s.State) == state
}

// readRegister runs f on the register, with the names, for who may read it.
func (a *App) readRegister(ctx context.Context, c Caller, f func(*registerCache, names) error) error {
	return a.read(ctx, c, ReadRegister, func(r Reader, _ Actor) error {
		n, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		return a.register.judge(ctx, r, func(reg *registerCache) error { return f(reg, n) })
	})
}

// CoverLine says how well a procedure in force is covered on a day.
type CoverLine struct {
	Procedure string
	Title     string
	Revision  string // in force now
	Alone     int    // people who may do it alone
	Only      *RegisterLine
	Lapsing   int // of those, how many will not be within the days asked about
	Held      int
	Stopped   int // suspended or withdrawn
	Road      int // on the way to a clearance
}

// CoverDays is the notice that the cover is looked at with where nothing else is asked.
const CoverDays = 30

// Cover returns, for each procedure in force, how many may do it alone at the end
// of a day (zero: today), and who it is where it is one only: when that one is
// away, nobody can. It costs a walk for everybody.
func (a *App) Cover(ctx context.Context, c Caller, on content.Date) ([]CoverLine, error) {
	if on.IsZero() {
		on = a.today()
	}
	out := []CoverLine{}
	err := a.readRegister(ctx, c, func(f *registerCache, n names) error {
		lines := map[string]*CoverLine{}
		for id, rev := range f.inForce {
			if f.withdrawn[id] {
				continue
			}
			lines[id] = &CoverLine{Procedure: id, Title: n.title(id), Revision: rev}
		}
		last := content.DateOf(on.Time().AddDate(0, 0, CoverDays))
		for s := range f.reg.On(on, time.Time{}) {
			if l := lines[s.Procedure]; l != nil {
				l.count(s, n, last)
			}
		}
		for _, l := range lines {
			if l.Alone != 1 {
				l.Only = nil
			}
			out = append(out, *l)
		}
		slices.SortFunc(out, func(x, y CoverLine) int { return strings.Compare(x.Title+x.Procedure, y.Title+y.Procedure) })
		return nil
	})
	return out, err
}

func (l *CoverLine) count(s clearance.Standing, n names, last content.Date) {
	if s.Cleared {
		l.Alone++
		if s.Last().Before(last) {
			l.Lapsing++
		}
		if l.Alone == 1 {
			line := n.line(s)
			l.Only = &line
		}
	}
	switch {
	case s.State == clearance.Held:
		l.Held++
	case s.State == clearance.StateSuspended || s.State == clearance.StateWithdrawn:
		l.Stopped++
	case s.OnTheRoad():
		l.Road++
	}
}

// Lapsing returns whoever is cleared today and will not be within so many days as
// the record stands, soonest first.
func (a *App) Lapsing(ctx context.Context, c Caller, days int) ([]RegisterLine, error) {
	if days < 0 || days > 3650 {
		return nil, invalid("days", "The days must be from 0 to 3650.")
	}
	var out []RegisterLine
	err := a.readRegister(ctx, c, func(f *registerCache, n names) error {
		out = n.lines(f.reg.Lapsing(a.today(), days, time.Time{}))
		return nil
	})
	return out, err
}

// StandingLine is [App.Standing] with its names, by what is known now or was at
// the end of the day.
func (a *App) StandingLine(ctx context.Context, c Caller, person, procedure string, on content.Date, knownNow bool) (RegisterLine, error) {
	q := StandingQuery{Person: person, Procedure: procedure, On: on}
	if knownNow {
		q.Known = a.now()
	}
	s, err := a.Standing(ctx, c, q)
	if err != nil {
		return RegisterLine{}, err
	}
	var l RegisterLine
	err = a.store.Read(ctx, func(r Reader) error {
		n, err := readNames(ctx, r)
		l = n.line(s)
		return err
	})
	return l, err
}
