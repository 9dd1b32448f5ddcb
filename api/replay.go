package api

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"

	"soloright/quiz"
	"soloright/scoring"
)

// Difference is something that a replay found to be other than what is stored.
type Difference struct {
	Sitting string
	What    string // one sentence
	Rules   bool   // true: only what today's rules would give differs, the record is sound
}

// ReplayReport is the end of a replay.
type ReplayReport struct {
	Sittings    int
	Reassembled int // forms set again from bank, blueprint, history and seed
	Older       int // forms of an older assembler or an older model, not set again
	Differences []Difference
}

// Replay marks every stored sitting again by the rules it was marked with, sets
// its form again where the assembler and the models are today's, and reports
// every difference, as it is found through found, and in the report. What
// today's rules would give is told apart. done is called after each sitting.
// The cost is one read and one marking for each sitting.
func (a *App) Replay(ctx context.Context, done func(n int), found func(Difference)) (ReplayReport, error) {
	const batch = 200
	var rep ReplayReport
	note := func(d Difference) {
		rep.Differences = append(rep.Differences, d)
		found(d)
	}
	for after := ""; ; {
		var ids []string
		err := a.store.Read(ctx, func(r Reader) (err error) {
			ids, err = r.SittingIDs(ctx, after, batch)
			return err
		})
		if err != nil {
			return rep, fmt.Errorf("list sittings: %w", err)
		}
		if len(ids) == 0 {
			return rep, nil
		}
		for _, id := range ids {
			if err := a.replayOne(ctx, id, &rep, note); err != nil {
				return rep, err
			}
			rep.Sittings++
			done(rep.Sittings)
		}
		after = ids[len(ids)-1]
	}
}

// replayOne replays one sitting. A defect of its record is a difference; only a
// store that fails is an error.
func (a *App) replayOne(ctx context.Context, id string, rep *ReplayReport, note func(Difference)) error {
	return a.store.Read(ctx, func(r Reader) error {
		s, err := r.Sitting(ctx, id)
		if err != nil {
			return fmt.Errorf("read sitting %s: %w", id, err)
		}
		raw, err := r.Form(ctx, id)
		if err != nil {
			return fmt.Errorf("read form of %s: %w", id, err)
		}
		if sum := sha256.Sum256(raw); !bytes.Equal(sum[:], s.Digest) {
			note(Difference{Sitting: id, What: "the stored form does not have the digest that was recorded when it was set"})
			return nil
		}
		if err := a.replayHandIn(ctx, r, id, note); err != nil {
			return err
		}
		if err := a.replayForm(ctx, r, s, raw, rep, note); err != nil {
			return err
		}
		return a.replayMarks(ctx, r, s, note)
	})
}

func (a *App) replayHandIn(ctx context.Context, r Reader, id string, note func(Difference)) error {
	h, err := r.HandIn(ctx, id)
	if err != nil {
		return fmt.Errorf("read hand-in of %s: %w", id, err)
	}
	if sum := sha256.Sum256(h.Answers); !bytes.Equal(sum[:], h.Digest) {
		note(Difference{Sitting: id, What: "the handed-in answers do not have the digest that was recorded at the hand-in"})
	}
	return nil
}

// replayMarks marks the sitting by the rules of each stored marking and by today's.
func (a *App) replayMarks(ctx context.Context, r Reader, s Sitting, note func(Difference)) error {
	marks, err := r.Marks(ctx, s.ID)
	if err != nil {
		return fmt.Errorf("read marks of %s: %w", s.ID, err)
	}
	for _, m := range marks {
		out, err := a.replayMarking(ctx, r, s, m, m.Rules)
		if err != nil {
			note(Difference{Sitting: s.ID, What: err.Error()})
			continue
		}
		for _, d := range outcomeDifferences(m, out) {
			note(Difference{Sitting: s.ID, What: fmt.Sprintf("marking %d by rules %d: %s", m.N, m.Rules, d)})
		}
	}
	if n := len(marks); n > 0 && marks[n-1].Rules != scoring.RulesVersion {
		out, err := a.replayMarking(ctx, r, s, marks[n-1], scoring.RulesVersion)
		if err != nil {
			return err
		}
		for _, d := range outcomeDifferences(marks[n-1], out) {
			note(Difference{Sitting: s.ID, Rules: true, What: fmt.Sprintf("by today's rules %d: %s", scoring.RulesVersion, d)})
		}
	}
	return nil
}

// replayMarking marks the sitting as a stored marking did, by the given rules. What
// it leaves out must have been withdrawn by then.
func (a *App) replayMarking(ctx context.Context, r Reader, s Sitting, m Marking, rules int) (scoring.Outcome, error) {
	left, err := m.leftOut()
	if err != nil {
		return scoring.Outcome{}, err
	}
	if err := a.withdrawnBy(ctx, r, s, left, m.At); err != nil {
		return scoring.Outcome{}, fmt.Errorf("marking %d: %w", m.N, err)
	}
	return a.outcomeBy(ctx, r, s, markedBy{rules: rules, left: left, at: m.At})
}

// outcomeDifferences says in what a stored marking differs from one made now.
func outcomeDifferences(m Marking, now scoring.Outcome) []string {
	var old scoring.Outcome
	if err := json.Unmarshal(m.Outcome, &old); err != nil {
		return []string{"the stored outcome cannot be read: " + err.Error()}
	}
	var out []string
	if m.Verdict != string(old.Verdict) || m.Percent != old.Percent {
		out = append(out, fmt.Sprintf("the row says %s, %d %%, its outcome says %s, %d %%", m.Verdict, m.Percent, old.Verdict, old.Percent))
	}
	if old.Verdict != now.Verdict {
		out = append(out, fmt.Sprintf("the verdict is stored as %s and comes out as %s", old.Verdict, now.Verdict))
	}
	if old.Total.String() != now.Total.String() {
		out = append(out, fmt.Sprintf("the total is stored as %s and comes out as %s", old.Total, now.Total))
	}
	for i := range now.Items {
		if i >= len(old.Items) {
			return append(out, fmt.Sprintf("sheet %d has no stored mark", i+1))
		}
		if was, is := old.Items[i].Mark.String(), now.Items[i].Mark.String(); was != is {
			out = append(out, fmt.Sprintf("the mark of sheet %d is stored as %s and comes out as %s", i+1, was, is))
		} else if !sameFacts(old.Items[i], now.Items[i]) {
			out = append(out, fmt.Sprintf("the facts of sheet %d are stored otherwise than they come out", i+1))
		}
	}
	return out
}

// sameFacts compares what was decided on each fact. The wording of feedback is no
// part of it: better words are no other marks.
func sameFacts(a, b scoring.Marked) bool {
	return a.Blank == b.Blank && a.Left == b.Left && slices.Equal(a.Facts, b.Facts) && slices.Equal(a.Critical, b.Critical)
}

// replayForm sets the form again and compares it to the byte.
func (a *App) replayForm(ctx context.Context, r Reader, s Sitting, raw []byte, rep *ReplayReport, note func(Difference)) error {
	form, err := a.forms.form(ctx, r, s.ID)
	if err != nil {
		return err
	}
	if !a.todays(form) {
		rep.Older++
		return nil
	}
	again, err := a.reassemble(ctx, r, s, form)
	if err != nil {
		return err
	}
	rep.Reassembled++
	b, err := json.Marshal(again)
	if err != nil {
		return fmt.Errorf("encode form of %s: %w", s.ID, err)
	}
	if !bytes.Equal(b, raw) {
		note(Difference{Sitting: s.ID, What: "the form comes out otherwise when it is set again from its seed"})
	}
	return nil
}

// todays reports whether today's assembler and models set the form.
func (a *App) todays(form *quiz.Form) bool {
	if form.Assembler != quiz.AssemblerVersion {
		return false
	}
	version := map[string]int{}
	for _, m := range a.models {
		version[m.Name()] = m.Version()
	}
	for _, it := range form.Items {
		if version[it.Model] != it.Version {
			return false
		}
	}
	return true
}

func (a *App) reassemble(ctx context.Context, r Reader, s Sitting, form *quiz.Form) (*quiz.Form, error) {
	e, err := a.content.edition(ctx, r, s.Procedure, s.Revision, s.Build)
	if err != nil {
		return nil, err
	}
	bank := e.Bank.Without(form.Without)
	h, err := history(ctx, r, s.Person, s.Procedure, s.Opened)
	if err != nil {
		return nil, err
	}
	h.Weak = form.Weak
	if s.Mode == DeltaSitting && form.Delta != nil {
		return quiz.AssembleDelta(bank, *form.Delta, h, form.Seed)
	}
	if s.Confirms == "" {
		return quiz.AssembleTo(bank, e.blueprint(s.Mode, form.Cut), h, form.Seed, form.Aim)
	}
	first, err := r.Sitting(ctx, s.Confirms)
	if err != nil {
		return nil, fmt.Errorf("read sitting %s: %w", s.Confirms, err)
	}
	left, err := leftOut(ctx, r, first.ID, s.Opened)
	if err != nil {
		return nil, err
	}
	out, err := a.outcomeBy(ctx, r, first, markedBy{rules: scoring.RulesVersion, left: left, at: s.Opened})
	if err != nil {
		return nil, err
	}
	return quiz.Confirming(bank, missedCriticals(out), h, form.Seed)
}
