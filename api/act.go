package api

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// An act is what happened, for the fold of package clearance. Every one is kept
// in the order of the record and attested by an entry of its own, in the same
// transaction; where another record says the same for its own purpose (a marking,
// an account), both are written in that transaction.

// newAct is an act that is about to be put on the record.
type newAct struct {
	act clearance.Act
	// Where the act itself names neither: under whom and what it is filed.
	person, procedure string
}

// attestActs puts acts on the record and appends their entries after the given
// ones. Like attest it is called last: from here on everybody else who appends
// waits for the commit. The register must not be asked after it in the same
// transaction, see registerCache.
func (a *App) attestActs(ctx context.Context, tx Tx, person, by string, at time.Time, entries []ledger.Entry, acts ...newAct) error {
	if len(acts) == 0 {
		return a.attest(ctx, tx, entries...)
	}
	head, err := tx.LockLedger(ctx)
	if err != nil {
		return err
	}
	rows := make([]StoredAct, len(acts))
	for i, n := range acts {
		if rows[i], err = n.row(head.Size+int64(len(entries))+1, person, at); err != nil {
			return err
		}
		entries = append(entries, actEntry(rows[i], by))
	}
	if err := tx.AddActs(ctx, rows); err != nil {
		return fmt.Errorf("put on the record: %w", err)
	}
	return a.attest(ctx, tx, entries...)
}

// row is the act as it is stored.
func (n newAct) row(seq int64, person string, at time.Time) (StoredAct, error) {
	if err := (clearance.Event{Seq: seq, At: at, By: person, Act: n.act}).Check(); err != nil {
		return StoredAct{}, fmt.Errorf("put on the record: %w", err)
	}
	kind, data, err := clearance.Encode(n.act)
	if err != nil {
		return StoredAct{}, err
	}
	row := StoredAct{Seq: seq, At: at, By: person, Kind: kind, Data: data}
	row.Person, row.Procedure, row.Subject = filed(n.act)
	if row.Person == "" {
		row.Person = n.person
	}
	if row.Procedure == "" {
		row.Procedure = n.procedure
	}
	return row, nil
}

// filed says under whom, what procedure and what subject an act is found.
func filed(act clearance.Act) (person, procedure, subject string) {
	switch a := act.(type) {
	case clearance.AccountAdded:
		return a.Person, "", ""
	case clearance.RoleSet:
		return a.Person, "", ""
	case clearance.PersonLeft:
		return a.Person, "", ""
	case clearance.PersonBack:
		return a.Person, "", ""
	case clearance.Suspended:
		return a.Person, a.Procedure, ""
	case clearance.Reinstated:
		return a.Person, a.Procedure, ""
	case clearance.Withdrawn:
		return a.Person, a.Procedure, ""
	case clearance.TrainingGiven:
		return a.Technician, a.Procedure, a.Trainer
	case clearance.ExceptionGranted:
		return a.Technician, a.Procedure, a.Assessor
	case clearance.AssessorAppointed:
		return a.Assessor, a.Procedure, a.Appointment
	case clearance.AppointmentEnded:
		return "", "", a.Appointment
	case clearance.RevisionAdopted:
		return "", a.Procedure, a.Revision
	case clearance.ProcedureWithdrawn:
		return "", a.Procedure, ""
	case clearance.PolicySet:
		return "", a.Procedure, ""
	}
	return filedRoad(act)
}

func filedRoad(act clearance.Act) (person, procedure, subject string) {
	switch a := act.(type) {
	case clearance.SittingMarked:
		return a.Person, a.Procedure, a.Sitting
	case clearance.SittingRemarked:
		return "", "", a.Sitting
	case clearance.SittingVoided:
		return "", "", a.Sitting
	case clearance.DeltaMarked:
		return a.Person, a.Procedure, a.Sitting
	case clearance.RemovedRead:
		return a.Person, a.Procedure, a.Reading
	case clearance.ChangedRead:
		return a.Person, a.Procedure, a.Reading
	case clearance.RebuildFinished:
		return a.Technician, a.Procedure, a.Rebuild
	case clearance.RebuildVoided:
		return "", "", a.Rebuild
	case clearance.Signed:
		return a.Technician, "", a.Covers.ID
	}
	return "", "", ""
}

// entryKinds are the kinds of the entries of acts that are records of their own.
// The others follow from a record that has its own entry.
var entryKinds = map[clearance.Kind]ledger.Kind{
	clearance.RevisionAdopted{}.Kind():    ledger.RevisionAdopted,
	clearance.ProcedureWithdrawn{}.Kind(): ledger.ProcedureWithdrawn,
	clearance.PolicySet{}.Kind():          ledger.PolicyChanged,
	clearance.TrainingGiven{}.Kind():      ledger.TrainingGiven,
	clearance.AssessorAppointed{}.Kind():  ledger.AppointmentMade,
	clearance.AppointmentEnded{}.Kind():   ledger.AppointmentEnded,
	clearance.ExceptionGranted{}.Kind():   ledger.ExceptionRecorded,
	clearance.Suspended{}.Kind():          ledger.ClearanceSuspended,
	clearance.Reinstated{}.Kind():         ledger.ClearanceReinstated,
	clearance.Withdrawn{}.Kind():          ledger.ClearanceWithdrawn,
}

// actEntry attests an act: its data by their digest, and all of its row.
func actEntry(s StoredAct, by string) ledger.Entry {
	kind, own := entryKinds[s.Kind]
	if !own {
		kind = ledger.ActRecorded
	}
	return ledger.Entry{Kind: kind, ID: label(entryID(s)), At: s.At, Attributes: map[string]string{
		"by": by, "act": string(s.Kind), "data": digest(s.Data),
		"row": rowDigest(fmt.Sprint(s.Seq), s.At, s.By, string(s.Kind), s.Person, s.Procedure, s.Subject)}}
}

// entryID is the record that an act is about: a sitting, a rebuild or an
// appointment; else a person; else a procedure, or the site.
func entryID(s StoredAct) string {
	own := s.Subject
	switch s.Kind {
	case clearance.RevisionAdopted{}.Kind(), clearance.TrainingGiven{}.Kind(), clearance.ExceptionGranted{}.Kind():
		own = "" // a revision, or the other person
	}
	return cmp.Or(own, s.Person, s.Procedure, "site")
}

// lastAct returns the last of some acts for which ok holds.
func lastAct(all []StoredAct, ok func(StoredAct) bool) (StoredAct, bool) {
	for i := len(all) - 1; i >= 0; i-- {
		if ok(all[i]) {
			return all[i], true
		}
	}
	return StoredAct{}, false
}

// sameAct reports whether a stored act is the given one, by the same person.
func sameAct(s StoredAct, w Actor, act clearance.Act) bool {
	kind, data, err := clearance.Encode(act)
	return err == nil && s.Kind == kind && s.By == w.Person.ID && string(s.Data) == string(data)
}
