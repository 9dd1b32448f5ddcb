package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"soloright/content"
	"soloright/scoring/rebuild"
)

// SaveEntry is the command to keep one place of the sheet of an open rebuild.
// Revision is the client's own counter, as in [SaveAnswer].
type SaveEntry struct {
	Rebuild  string        `json:"-" validate:"required,max=64"`
	Place    string        `json:"-" validate:"required,max=200"`
	Revision int64         `json:"revision" validate:"min=1"`
	Entry    rebuild.Entry `json:"entry" validate:"-"`
}

// KeptPlace says what is kept of a place after a save, and how it is judged.
type KeptPlace struct {
	Place    string
	Revision int64
	Applied  bool // false: an equal or newer revision was there already
	Same     bool // what is kept is what was sent, whoever sent it
	At       time.Time
	Line     rebuild.Line // as it stands on the sheet; empty for the times and the remarks
}

// SaveEntry keeps an entry; when it returns nil the entry is durable. Only the
// assessor writes, and only until the sheet is finished. An entry that cannot be
// kept at its place is Invalid and nothing of it is kept; one that is out of its
// limits is kept, and stands out.
func (a *App) SaveEntry(ctx context.Context, c Caller, cmd SaveEntry) (KeptPlace, error) {
	if err := check(cmd); err != nil {
		return KeptPlace{}, err
	}
	var k KeptPlace
	err := a.inTx(ctx, c, Observe, func(tx Tx, w Actor) error {
		o, err := a.writable(ctx, tx, w, cmd.Rebuild, tx.HoldRebuild)
		if err != nil {
			return err
		}
		k, err = a.putEntry(ctx, tx, o, cmd)
		return err
	})
	return k, err
}

// writable holds the sheet open for this transaction, shared or alone, for its
// assessor, and says why not where it cannot.
func (a *App) writable(ctx context.Context, tx Tx, w Actor, id string, hold func(context.Context, string) (OpenRebuild, error)) (OpenRebuild, error) {
	o, err := hold(ctx, id)
	if errors.Is(err, ErrNone) {
		f, err := tx.Rebuild(ctx, id)
		switch {
		case err == nil && mayLook(w, f.OpenRebuild):
			return o, conflict("finished", "This sheet is finished. It stays as it was kept.")
		case err == nil || errors.Is(err, ErrNone):
			return o, notFound("open rebuild")
		}
		return o, fmt.Errorf("read rebuild %s: %w", id, err)
	}
	if err != nil {
		return o, fmt.Errorf("read rebuild %s: %w", id, err)
	}
	switch {
	case o.Assessor == w.Person.ID:
		return o, nil
	case mayLook(w, o):
		return o, &Error{Kind: Forbidden, Message: "The assessor alone writes on this sheet."}
	}
	return o, notFound("open rebuild")
}

// mayLook: the two people of a rebuild, and who may read the register.
func mayLook(w Actor, o OpenRebuild) bool {
	return w.op || o.Assessor == w.Person.ID || o.Technician == w.Person.ID || w.may(ReadRegister) == nil
}

func (a *App) putEntry(ctx context.Context, tx Tx, o OpenRebuild, cmd SaveEntry) (KeptPlace, error) {
	plan, err := a.plan(ctx, tx, o)
	if err != nil {
		return KeptPlace{}, err
	}
	var bad *rebuild.EntryError
	if err := plan.Check(cmd.Place, cmd.Entry); errors.As(err, &bad) {
		if bad.Field == "place" {
			return KeptPlace{}, notFound("place on this sheet")
		}
		return KeptPlace{}, invalid("entry."+bad.Field, bad.Message)
	}
	started, ended := cmd.Entry.Times()
	for field, t := range map[string]time.Time{"entry.started": started, "entry.ended": ended} {
		if t.After(a.now()) {
			return KeptPlace{}, invalid(field, "This lies in the future.")
		}
	}
	raw, err := json.Marshal(cmd.Entry)
	if err != nil {
		return KeptPlace{}, fmt.Errorf("write entry: %w", err)
	}
	k := KeptEntry{Place: cmd.Place, Revision: cmd.Revision, Entry: raw, Kept: a.now()}
	applied, err := tx.PutRebuildEntry(ctx, o.ID, k)
	if err != nil {
		return KeptPlace{}, fmt.Errorf("keep entry %s/%s: %w", o.ID, cmd.Place, err)
	}
	out, err := a.keptPlace(ctx, tx, o, cmd.Place, raw)
	out.Applied = applied
	return out, err
}

// keptPlace says what stands at a place now, and whether it is what was sent.
func (a *App) keptPlace(ctx context.Context, r Reader, o OpenRebuild, place string, sent []byte) (KeptPlace, error) {
	plan, err := a.plan(ctx, r, o)
	if err != nil {
		return KeptPlace{}, err
	}
	s, err := a.sheetOn(ctx, r, o, plan.At(place)) // the other steps say nothing of it
	if err != nil {
		return KeptPlace{}, err
	}
	out := KeptPlace{Place: place}
	for _, k := range s.kept {
		if k.Place == place {
			out.Revision, out.At, out.Same = k.Revision, k.Kept, bytes.Equal(k.Entry, sent)
		}
	}
	for _, st := range s.record.Steps {
		for _, l := range st.Lines {
			if l.Place == place {
				out.Line = l
			}
		}
	}
	return out, nil
}

// plan is the empty sheet of a rebuild. It follows from a revision, which never
// changes, and is worked out once.
func (a *App) plan(ctx context.Context, r Reader, o OpenRebuild) (rebuild.Plan, error) {
	key := strings.Join(append([]string{o.Procedure, o.Revision, o.Build}, o.Holds...), "\x00")
	if p, ok := a.plans.Load(key); ok {
		return p.(rebuild.Plan), nil
	}
	p, err := a.content.whole(ctx, r, o.Procedure, o.Revision)
	if err != nil {
		return rebuild.Plan{}, err
	}
	plan := rebuild.NewPlan(p, o.Build, o.Holds)
	a.plans.Store(key, plan)
	return plan, nil
}

// openSheet is the sheet of an open rebuild as it stands.
type openSheet struct {
	plan   rebuild.Plan
	kept   []KeptEntry
	filled map[string]rebuild.Kept
	record rebuild.Record
}

// sheet fills the sheet of an open rebuild with what is kept, and judges it by the
// wrenches as they are on record now.
func (a *App) sheet(ctx context.Context, r Reader, o OpenRebuild) (openSheet, error) {
	plan, err := a.plan(ctx, r, o)
	if err != nil {
		return openSheet{}, err
	}
	return a.sheetOn(ctx, r, o, plan)
}

// sheetOn is sheet on a plan, or on a part of one.
func (a *App) sheetOn(ctx context.Context, r Reader, o OpenRebuild, plan rebuild.Plan) (s openSheet, err error) {
	s.plan = plan
	if s.kept, err = r.RebuildEntries(ctx, o.ID); err != nil {
		return s, fmt.Errorf("read entries of %s: %w", o.ID, err)
	}
	s.filled = map[string]rebuild.Kept{}
	for _, k := range s.kept {
		e, err := readEntry(k)
		if err != nil {
			return s, err
		}
		s.filled[k.Place] = rebuild.Kept{Entry: e, At: k.Kept}
	}
	wrenches, err := a.wrenchesOf(ctx, r, s.filled)
	if err != nil {
		return s, err
	}
	head := rebuild.Head{Rebuild: o.ID, Zone: a.zone, Today: content.DateOf(a.now().In(a.zone))}
	for id, to := range map[string]*rebuild.Person{o.Technician: &head.Technician, o.Assessor: &head.Assessor} {
		p, err := r.Person(ctx, id)
		if err != nil {
			return s, fmt.Errorf("read person: %w", err)
		}
		*to = rebuild.Person{ID: id, Name: p.Name}
	}
	s.record = rebuild.Fill(s.plan, head, s.filled, wrenches)
	return s, nil
}

// readEntry reads an entry as it was kept: strictly, so that a field that this
// program does not know is not left out of a sheet.
func readEntry(k KeptEntry) (e rebuild.Entry, err error) {
	d := json.NewDecoder(bytes.NewReader(k.Entry))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		return e, fmt.Errorf("read entry %s: %w", k.Place, err)
	}
	return e, nil
}

// wrenchesOf reads the wrenches that entries name, with their calibrations.
func (a *App) wrenchesOf(ctx context.Context, r Reader, entries map[string]rebuild.Kept) (map[string]rebuild.Wrench, error) {
	out := map[string]rebuild.Wrench{}
	for _, e := range entries {
		id := e.Wrench
		if _, done := out[id]; id == "" || done {
			continue
		}
		w, err := r.Wrench(ctx, id)
		if errors.Is(err, ErrNone) {
			continue // the sheet says so
		}
		if err != nil {
			return nil, fmt.Errorf("read wrench %s: %w", id, err)
		}
		all, err := r.Calibrations(ctx, id)
		if err != nil {
			return nil, fmt.Errorf("read calibrations of %s: %w", id, err)
		}
		out[id] = measuring(w, all)
	}
	return out, nil
}

// changedSince names the places that were written on after an instant.
func (s openSheet) changedSince(seen time.Time, zone *time.Location) string {
	what := map[string]string{rebuild.PlaceTimes: "the stated times", rebuild.PlaceRemarks: "the remarks"}
	for _, st := range s.record.Steps {
		for _, l := range st.Lines {
			what[l.Place] = l.What
		}
	}
	var out []string
	for _, k := range s.kept {
		if k.Kept.After(seen) {
			out = append(out, what[k.Place]+" at "+k.Kept.In(zone).Format("15:04:05"))
		}
	}
	if len(out) == 0 {
		return "what is on record of a person or a wrench on it"
	}
	return strings.Join(out, "; ")
}
