package api

import (
	"context"
	"errors"
	"fmt"
	"regexp"

	"soloright/content"
	"soloright/content/torque"
	"soloright/scoring/ledger"
	"soloright/scoring/rebuild"
)

// AddWrench is the command to put a torque wrench on the register of wrenches.
type AddWrench struct {
	ID      string     `json:"id" validate:"required,max=64"` // as engraved
	Kind    WrenchKind `json:"kind" validate:"required,oneof=setting indicating"`
	Lowest  string     `json:"lowest,omitempty" validate:"max=64"` // of its scale, with the unit; both or none
	Highest string     `json:"highest,omitempty" validate:"max=64"`
}

var engraved = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]*$`)

// AddWrench puts a wrench on the register for good. The same one again changes
// nothing; another one with that id is a Conflict.
func (a *App) AddWrench(ctx context.Context, c Caller, cmd AddWrench) (Wrench, error) {
	if err := check(cmd); err != nil {
		return Wrench{}, err
	}
	if !engraved.MatchString(cmd.ID) {
		return Wrench{}, invalid("id", "The id is made of letters, digits, dots, hyphens and underscores, as it is engraved.")
	}
	if err := cmd.scale(); err != nil {
		return Wrench{}, err
	}
	w := Wrench{ID: cmd.ID, Kind: cmd.Kind, Lowest: cmd.Lowest, Highest: cmd.Highest}
	err := a.inTx(ctx, c, ManageWrenches, func(tx Tx, who Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		old, err := tx.Wrench(ctx, cmd.ID)
		if err == nil {
			if old.Kind == w.Kind && old.Lowest == w.Lowest && old.Highest == w.Highest {
				w = old
				return nil
			}
			return conflict("taken", "Another wrench "+cmd.ID+" is on the register.")
		}
		if !errors.Is(err, ErrNone) {
			return fmt.Errorf("read wrench: %w", err)
		}
		w.Added, w.By = a.now(), who.Person.ID
		if err := tx.AddWrench(ctx, w); err != nil {
			return err
		}
		return a.attest(ctx, tx, wrenchAdded(w, who.by()))
	})
	return w, err
}

// scale refuses a scale that is none.
func (cmd AddWrench) scale() error {
	if cmd.Lowest == "" && cmd.Highest == "" {
		return nil
	}
	var ends [2]torque.Quantity
	for i, end := range []struct{ field, text string }{{"lowest", cmd.Lowest}, {"highest", cmd.Highest}} {
		q, err := torque.Parse(end.text)
		if err != nil || q.Unit().Dimension() != torque.Torque {
			return invalid(end.field, "Write both ends of the scale as torques with their unit, such as 5 N·m and 50 N·m, or neither.")
		}
		ends[i] = q
	}
	if c, err := ends[0].Cmp(ends[1]); err != nil || c >= 0 {
		return invalid("highest", "The scale ends where it begins, or before.")
	}
	return nil
}

// Calibrate is the command to record that a wrench was calibrated.
type Calibrate struct {
	Wrench      string       `json:"-" validate:"required,max=64"`
	Done        content.Date `json:"done" validate:"-"`
	Due         content.Date `json:"due,omitempty,omitzero" validate:"-"` // the last day on which it holds; zero: twelve months later
	Good        bool         `json:"good"`                                // as found; an adjustment that follows is a calibration of its own
	Certificate string       `json:"certificate" validate:"required,max=120"`
}

// calibratedFor is how long a calibration holds where nobody says otherwise: ISO
// 6789 asks for 12 months, or 5000 cycles, where the user has no control procedure
// of his own (from memory). Cycles are for the user to count.
const calibratedFor = 12 // months

// longestCalibration is the most that anybody may say.
const longestCalibration = 60 // months

// Calibrate records a calibration on a day up to today. The same one again changes
// nothing. A wrench that was found out of tolerance puts in doubt what was tightened
// with it since its last good calibration: [App.Wrench] lists it.
func (a *App) Calibrate(ctx context.Context, c Caller, cmd Calibrate) (Calibration, error) {
	if err := check(cmd); err != nil {
		return Calibration{}, err
	}
	if cmd.Done.IsZero() || a.today().Before(cmd.Done) {
		return Calibration{}, invalid("done", "The day of the calibration is missing or lies in the future.")
	}
	months := func(n int) content.Date { return content.DateOf(cmd.Done.Time().AddDate(0, n, 0)) }
	if cmd.Due.IsZero() {
		cmd.Due = months(calibratedFor)
	}
	if cmd.Due.Before(cmd.Done) || months(longestCalibration).Before(cmd.Due) {
		return Calibration{}, invalid("due", "The due day lies before the calibration, or more than five years after it.")
	}
	k := Calibration{Wrench: cmd.Wrench, Done: cmd.Done, Due: cmd.Due, Good: cmd.Good, Certificate: cmd.Certificate}
	err := a.inTx(ctx, c, ManageWrenches, func(tx Tx, w Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		if _, err := tx.Wrench(ctx, cmd.Wrench); errors.Is(err, ErrNone) {
			return notFound("wrench")
		} else if err != nil {
			return fmt.Errorf("read wrench: %w", err)
		}
		all, err := tx.Calibrations(ctx, cmd.Wrench)
		if err != nil {
			return fmt.Errorf("read calibrations: %w", err)
		}
		for _, old := range all {
			if old.Done == k.Done && old.Due == k.Due && old.Good == k.Good && old.Certificate == k.Certificate {
				k = old
				return nil
			}
		}
		k.N, k.At, k.By = len(all)+1, a.now(), w.Person.ID
		if err := tx.AddCalibration(ctx, k); err != nil {
			return err
		}
		return a.attest(ctx, tx, wrenchCalibrated(k, w.by()))
	})
	return k, err
}

// measuring is a wrench as a sheet is judged by it.
func measuring(w Wrench, all []Calibration) rebuild.Wrench {
	out := rebuild.Wrench{ID: w.ID, Indicating: w.Kind == IndicatingWrench}
	if w.Lowest != "" { // both ends read, or they would not be there
		out.Min, _ = torque.Parse(w.Lowest)
		out.Max, _ = torque.Parse(w.Highest)
	}
	for _, c := range all {
		out.Calibrations = append(out.Calibrations, rebuild.Calibration{Done: c.Done, Due: c.Due, Good: c.Good, Certificate: c.Certificate})
	}
	return out
}

// WrenchLine is a wrench with how it stands today.
type WrenchLine struct {
	Wrench
	Last  Calibration // done last; zero: none
	Fault string      // why it does not hold today; empty: it does
}

// Wrenches lists the wrenches, by id.
func (a *App) Wrenches(ctx context.Context, c Caller) ([]WrenchLine, error) {
	out := []WrenchLine{}
	err := a.read(ctx, c, Observe, func(r Reader, _ Actor) error {
		all, err := r.Wrenches(ctx)
		if err != nil {
			return fmt.Errorf("list wrenches: %w", err)
		}
		every, err := r.Calibrations(ctx, "")
		if err != nil {
			return fmt.Errorf("list calibrations: %w", err)
		}
		of := map[string][]Calibration{}
		for _, k := range every {
			of[k.Wrench] = append(of[k.Wrench], k)
		}
		out = out[:0]
		for _, w := range all {
			out = append(out, a.wrenchLine(w, of[w.ID]))
		}
		return nil
	})
	return out, err
}

func (a *App) wrenchLine(w Wrench, all []Calibration) WrenchLine {
	l := WrenchLine{Wrench: w}
	for _, k := range all {
		if !k.Done.Before(l.Last.Done) {
			l.Last = k
		}
	}
	_, l.Fault = measuring(w, all).Holds(a.today())
	return l
}

// WrenchView is a wrench with all that hangs on it.
type WrenchView struct {
	WrenchLine
	Calibrations []Calibration     // in the order in which they were recorded
	LastGood     content.Date      // zero: never
	Since        []FinishedRebuild // in which it was used since its last good calibration, that day included; the last one first
	Doubts       []WrenchDoubt     // the last one first
	Names        map[string]Person // of the people of the rebuilds
}

// WrenchDoubt is a time in which a wrench may have been wrong, with the rebuilds in
// which it was used then.
type WrenchDoubt struct {
	rebuild.Doubt
	Rebuilds []FinishedRebuild
}

// Wrench returns a wrench. Who may not read the register sees of the rebuilds his
// or her own.
func (a *App) Wrench(ctx context.Context, c Caller, id string) (WrenchView, error) {
	var v WrenchView
	err := a.read(ctx, c, Observe, func(r Reader, who Actor) error {
		w, err := r.Wrench(ctx, id)
		if errors.Is(err, ErrNone) {
			return notFound("wrench")
		}
		if err != nil {
			return fmt.Errorf("read wrench: %w", err)
		}
		all, err := r.Calibrations(ctx, id)
		if err != nil {
			return fmt.Errorf("read calibrations: %w", err)
		}
		filter := RebuildFilter{Wrench: id, Limit: 10_000}
		if who.may(ReadRegister) != nil {
			filter.Person = who.Person.ID
		}
		used, err := r.Rebuilds(ctx, filter)
		if err != nil {
			return fmt.Errorf("list rebuilds with %s: %w", id, err)
		}
		v = WrenchView{WrenchLine: a.wrenchLine(w, all), Calibrations: all}
		a.doubts(&v, measuring(w, all), used)
		v.Names, err = a.names(ctx, r, used, nil)
		return err
	})
	return v, err
}

// doubts sorts the rebuilds by what the calibrations say of their days.
func (a *App) doubts(v *WrenchView, w rebuild.Wrench, used []FinishedRebuild) {
	within := func(from, to content.Date) []FinishedRebuild {
		out := []FinishedRebuild{}
		for _, f := range used {
			started, ended := content.DateOf(f.Started.In(a.zone)), content.DateOf(f.Ended.In(a.zone))
			if !ended.Before(from) && !to.Before(started) {
				out = append(out, f)
			}
		}
		return out
	}
	v.LastGood = w.LastGood(a.today())
	v.Since = within(v.LastGood, a.today())
	for _, d := range w.Doubts() {
		v.Doubts = append([]WrenchDoubt{{d, within(d.From, d.Found)}}, v.Doubts...)
	}
}

func wrenchAdded(w Wrench, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.WrenchAdded, ID: w.ID, At: w.Added, Attributes: map[string]string{
		"by": by, "row": rowDigest(w.ID, string(w.Kind), w.Lowest, w.Highest, w.Added, w.By)}}
}

func wrenchCalibrated(k Calibration, by string) ledger.Entry {
	result := "out"
	if k.Good {
		result = "good"
	}
	return ledger.Entry{Kind: ledger.WrenchCalibrated, ID: k.Wrench, At: k.At, Attributes: map[string]string{
		"by": by, "calibration": fmt.Sprint(k.N), "result": result, "due": k.Due.String(),
		"row": rowDigest(k.Wrench, k.N, k.Done.String(), k.Due.String(), k.Good, k.Certificate, k.At, k.By)}}
}
