package clearance

import (
	"errors"

	"soloright/content"
)

// RoleSafetyOfficer is the role whose holders approve and grant exceptions.
const RoleSafetyOfficer = "safety officer"

// AccountAdded: a person is on the record from here on.
type AccountAdded struct {
	Person string `json:"person"`
	Role   string `json:"role"`
}

// RoleSet: a person has another role from here on.
type RoleSet struct {
	Person string `json:"person"`
	Role   string `json:"role"`
}

// PersonLeft: nobody who left is cleared or assesses.
type PersonLeft struct {
	Person string `json:"person"`
	Reason string `json:"reason,omitempty"`
}

// PersonBack: standings count again where they have not lapsed.
type PersonBack struct {
	Person string `json:"person"`
}

// TrainingGiven: the trainer taught the technician on a day. Who trained a
// technician does not assess the same one within the policy's window.
type TrainingGiven struct {
	Trainer    string       `json:"trainer"`
	Technician string       `json:"technician"`
	Procedure  string       `json:"procedure"`
	Date       content.Date `json:"date"`
	Verified   string       `json:"verified,omitempty"` // by what means it was verified that it was understood
}

// AssessorAppointed: the assessor may assess without being cleared.
type AssessorAppointed struct {
	Appointment string       `json:"appointment"`
	Assessor    string       `json:"assessor"`
	Procedure   string       `json:"procedure"`
	Revision    string       `json:"revision,omitempty"` // "" for any
	From        content.Date `json:"from"`
	Until       content.Date `json:"until,omitzero"` // that day included; none: until ended
	Reason      string       `json:"reason,omitempty"`
}

// AppointmentEnded: the appointment holds no more.
type AppointmentEnded struct {
	Appointment string `json:"appointment"`
	Reason      string `json:"reason"`
}

// ExceptionGranted: the assessor may assess the technician although he or she
// gave training up to that day.
type ExceptionGranted struct {
	Officer    string `json:"officer"`
	Assessor   string `json:"assessor"`
	Technician string `json:"technician"`
	Procedure  string `json:"procedure"`
	Reason     string `json:"reason"`
}

// Suspended: the person is not cleared until reinstated. What is on the record
// stays, and the road goes on.
type Suspended struct {
	Person    string `json:"person"`
	Procedure string `json:"procedure"`
	Reason    string `json:"reason"`
}

// Reinstated: a suspension ends.
type Reinstated struct {
	Person    string `json:"person"`
	Procedure string `json:"procedure"`
	Reason    string `json:"reason"`
}

// Withdrawn: nothing on the record so far clears the person any more; the road
// begins anew with a sitting. It ends a suspension too.
type Withdrawn struct {
	Person    string `json:"person"`
	Procedure string `json:"procedure"`
	Reason    string `json:"reason"`
}

// The kinds.
func (AccountAdded) Kind() Kind      { return "account added" }
func (RoleSet) Kind() Kind           { return "role set" }
func (PersonLeft) Kind() Kind        { return "person left" }
func (PersonBack) Kind() Kind        { return "person back" }
func (TrainingGiven) Kind() Kind     { return "training given" }
func (AssessorAppointed) Kind() Kind { return "assessor appointed" }
func (AppointmentEnded) Kind() Kind  { return "appointment ended" }
func (ExceptionGranted) Kind() Kind  { return "exception granted" }
func (Suspended) Kind() Kind         { return "suspended" }
func (Reinstated) Kind() Kind        { return "reinstated" }
func (Withdrawn) Kind() Kind         { return "withdrawn" }

func (a AccountAdded) check() error { return required("the person", a.Person, "the role", a.Role) }
func (a RoleSet) check() error      { return required("the person", a.Person, "the role", a.Role) }
func (a PersonLeft) check() error   { return required("the person", a.Person) }
func (a PersonBack) check() error   { return required("the person", a.Person) }

func (a TrainingGiven) check() error {
	if a.Trainer == a.Technician && a.Trainer != "" {
		return errors.New("trainer and technician are one person")
	}
	return required("the trainer", a.Trainer, "the technician", a.Technician, "the procedure", a.Procedure, "the date", a.Date.String())
}

func (a AssessorAppointed) check() error {
	if !a.Until.IsZero() && a.Until.Before(a.From) {
		return errors.New("the appointment ends before it begins")
	}
	return required("the appointment", a.Appointment, "the assessor", a.Assessor, "the procedure", a.Procedure, "the first day", a.From.String())
}

func (a AppointmentEnded) check() error {
	return required("the appointment", a.Appointment, "the reason", a.Reason)
}

func (a ExceptionGranted) check() error {
	if a.Officer == a.Assessor || a.Officer == a.Technician || a.Assessor == a.Technician {
		return errors.New("officer, assessor and technician must be three persons")
	}
	return required("the officer", a.Officer, "the assessor", a.Assessor, "the technician", a.Technician, "the procedure", a.Procedure, "the reason", a.Reason)
}

func (a Suspended) check() error {
	return required("the person", a.Person, "the procedure", a.Procedure, "the reason", a.Reason)
}

func (a Reinstated) check() error {
	return required("the person", a.Person, "the procedure", a.Procedure, "the reason", a.Reason)
}

func (a Withdrawn) check() error {
	return required("the person", a.Person, "the procedure", a.Procedure, "the reason", a.Reason)
}
