package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/content"
	"soloright/scoring/clearance"
)

// GiveTraining is the command to record that somebody was trained.
type GiveTraining struct {
	Trainer    string       `json:"trainer,omitempty" validate:"max=64"` // empty: whoever records it
	Technician string       `json:"technician" validate:"required,max=64"`
	Procedure  string       `json:"procedure" validate:"required,max=64"`
	Date       content.Date `json:"date" validate:"-"`
	Verified   string       `json:"verified,omitempty" validate:"max=500"` // how it was verified that it was understood
}

// GiveTraining records training that was given on a day up to today: by oneself,
// or by anybody where a safety officer records it. Told twice it stands once.
func (a *App) GiveTraining(ctx context.Context, c Caller, cmd GiveTraining) error {
	if err := check(cmd); err != nil {
		return err
	}
	today := a.today()
	if cmd.Date.IsZero() || today.Before(cmd.Date) {
		return invalid("date", "The day of the training is missing or lies in the future.")
	}
	return a.decide(ctx, c, RecordTraining, func(tx Tx, w Actor) ([]newAct, error) {
		if cmd.Trainer == "" {
			cmd.Trainer = w.Person.ID
		}
		if cmd.Trainer != w.Person.ID && w.Person.Role != SafetyOfficer {
			return nil, &Error{Kind: Forbidden, Message: "Only a safety officer records training that somebody else gave."}
		}
		if cmd.Trainer == cmd.Technician {
			return nil, invalid("technician", "Trainer and technician are one person.")
		}
		if err := errors.Join(personThere(ctx, tx, cmd.Trainer, "trainer"), personThere(ctx, tx, cmd.Technician, "technician"), procedureThere(ctx, tx, cmd.Procedure)); err != nil {
			return nil, err
		}
		act := clearance.TrainingGiven{Trainer: cmd.Trainer, Technician: cmd.Technician, Procedure: cmd.Procedure, Date: cmd.Date, Verified: cmd.Verified}
		return once(ctx, tx, w, cmd.Technician, act)
	})
}

// once is the act, or none where the same person put the same on record before.
func once(ctx context.Context, r Reader, w Actor, person string, act clearance.Act) ([]newAct, error) {
	all, err := r.ActsOfPerson(ctx, person)
	if err != nil {
		return nil, fmt.Errorf("read acts of %s: %w", person, err)
	}
	if _, told := lastAct(all, func(s StoredAct) bool { return sameAct(s, w, act) }); told {
		return nil, nil
	}
	return []newAct{{act: act}}, nil
}

// AppointAssessor is the command to let somebody assess without being cleared.
type AppointAssessor struct {
	Assessor  string       `json:"assessor" validate:"required,max=64"`
	Procedure string       `json:"procedure" validate:"required,max=64"`
	Revision  string       `json:"revision,omitempty" validate:"max=64"` // empty: any
	From      content.Date `json:"from,omitzero" validate:"-"`           // zero: today
	Until     content.Date `json:"until,omitzero" validate:"-"`          // that day included; zero: until ended
	Reason    string       `json:"reason" validate:"required,min=10,max=1000"`
}

// AppointAssessor appoints an assessor, from today or a coming day on, and returns
// the id of the appointment. The same appointment made again is the first one.
// Nobody appoints himself or herself.
func (a *App) AppointAssessor(ctx context.Context, c Caller, cmd AppointAssessor) (string, error) {
	if err := check(cmd); err != nil {
		return "", err
	}
	today := a.today()
	if cmd.From.IsZero() {
		cmd.From = today
	}
	switch {
	case cmd.From.Before(today):
		return "", invalid("from", "An appointment cannot begin in the past.")
	case !cmd.Until.IsZero() && cmd.Until.Before(cmd.From):
		return "", invalid("until", "The appointment ends before it begins.")
	}
	id, err := a.newID()
	if err != nil {
		return "", err
	}
	made := id
	err = a.decide(ctx, c, ManageAssessors, func(tx Tx, w Actor) ([]newAct, error) {
		made = id
		if err := a.mayAppoint(ctx, tx, w, cmd); err != nil {
			return nil, err
		}
		act := clearance.AssessorAppointed{Appointment: id, Assessor: cmd.Assessor, Procedure: cmd.Procedure, Revision: cmd.Revision, From: cmd.From, Until: cmd.Until, Reason: cmd.Reason}
		again, err := appointmentLike(ctx, tx, act)
		if err != nil || again != "" {
			made = again
			return nil, err
		}
		return []newAct{{act: act}}, nil
	})
	return made, err
}

func (a *App) mayAppoint(ctx context.Context, tx Tx, w Actor, cmd AppointAssessor) error {
	if err := w.named(); err != nil {
		return err
	}
	if w.Person.ID == cmd.Assessor {
		return &Error{Kind: Forbidden, Message: "Nobody appoints himself or herself."}
	}
	if err := errors.Join(personThere(ctx, tx, cmd.Assessor, "assessor"), procedureThere(ctx, tx, cmd.Procedure)); err != nil {
		return err
	}
	if cmd.Revision == "" {
		return nil
	}
	_, err := a.content.whole(ctx, tx, cmd.Procedure, cmd.Revision)
	return err
}

// appointmentLike finds an appointment with the same terms that was not ended.
func appointmentLike(ctx context.Context, r Reader, want clearance.AssessorAppointed) (string, error) {
	all, err := r.ActsOfPerson(ctx, want.Assessor)
	if err != nil {
		return "", fmt.Errorf("read acts of %s: %w", want.Assessor, err)
	}
	open := map[string]bool{}
	last := ""
	for _, s := range all {
		e, err := s.Event()
		if err != nil {
			return "", err
		}
		switch act := e.Act.(type) {
		case clearance.AssessorAppointed:
			id := act.Appointment
			if act.Appointment = want.Appointment; act == want {
				open[id], last = true, id
			}
		case clearance.AppointmentEnded:
			delete(open, act.Appointment)
		}
	}
	if open[last] {
		return last, nil
	}
	return "", nil
}

// EndAppointment is the command to end an appointment.
type EndAppointment struct {
	Appointment string `json:"-" validate:"required,max=64"`
	Reason      string `json:"reason" validate:"required,min=10,max=1000"`
}

// EndAppointment ends an appointment from now on. Ended with the same reason it
// stays as it is; ended with another is a Conflict.
func (a *App) EndAppointment(ctx context.Context, c Caller, cmd EndAppointment) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.decide(ctx, c, ManageAssessors, func(tx Tx, w Actor) ([]newAct, error) {
		if err := w.named(); err != nil {
			return nil, err
		}
		about, err := tx.ActsAbout(ctx, cmd.Appointment)
		if err != nil {
			return nil, fmt.Errorf("read appointment: %w", err)
		}
		made, there := lastAct(about, func(s StoredAct) bool { return s.Kind == clearance.AssessorAppointed{}.Kind() })
		if !there {
			return nil, notFound("appointment")
		}
		act := clearance.AppointmentEnded{Appointment: cmd.Appointment, Reason: cmd.Reason}
		if ended, is := lastAct(about, func(s StoredAct) bool { return s.Kind == act.Kind() }); is {
			if sameAct(ended, w, act) {
				return nil, nil
			}
			return nil, conflict("ended", "This appointment was ended already.")
		}
		return []newAct{{act, made.Person, made.Procedure}}, nil
	})
}

// today is the day at the site.
func (a *App) today() content.Date { return content.DateOf(a.now().In(a.zone)) }
