package api_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/scoring/clearance"
)

// A page of all revisions: when each was imported, adopted, replaced, withdrawn.
func TestTheRevisionsOfAProcedure(t *testing.T) {
	s := newSite(t)
	start := s.now()
	s.wait(time.Hour)
	s.lone("L", true, nil)
	officer := s.role(api.SafetyOfficer)
	list := func() api.RevisionList {
		t.Helper()
		out, err := s.Revisions(t.Context(), s.role(api.Technician), pump)
		s.do(err)
		return out
	}
	got := list()
	if len(got.Revisions) != 2 || got.Revisions[0].Revision != "L" || got.Revisions[0].State != api.RevisionKept || got.Revisions[1].State != api.RevisionInForce || got.InForce != got.Revisions[1].Revision {
		t.Fatalf("imported: %+v", got)
	}
	if first := got.Revisions[1]; !first.Imported.Equal(start) || len(first.Adopted) != 1 || first.By != "the program" || got.Revisions[0].By != s.people[api.Trainer].Name {
		t.Errorf("who and when: %+v", got.Revisions)
	}
	s.wait(time.Hour)
	_, err := s.AdoptRevision(t.Context(), officer, api.AdoptRevision{Procedure: pump, Revision: "L"})
	s.do(err)
	if got = list(); got.Revisions[0].State != api.RevisionInForce || got.Revisions[1].State != api.RevisionReplaced || !got.Revisions[1].Ended.Equal(s.now()) || got.Revisions[0].Adopted[0].By != s.people[api.SafetyOfficer].Name {
		t.Errorf("adopted: %+v", got)
	}
	s.wait(time.Hour)
	reason := "the pump is taken out of service"
	s.do(s.WithdrawProcedure(t.Context(), officer, api.WithdrawProcedure{Procedure: pump, Reason: reason}))
	if got = list(); got.Revisions[0].State != api.RevisionWithdrawn || got.InForce != "" || got.Withdrawn == nil || got.Withdrawn.Reason != reason || !got.Withdrawn.At.Equal(s.now()) {
		t.Errorf("withdrawn: %+v", got)
	}
	_, err = s.Revisions(t.Context(), officer, "none such")
	wantKind(t, err, api.NotFound)
	_, err = s.Revisions(t.Context(), api.Bearer(""), pump)
	wantKind(t, err, api.Unauthenticated)
}

// The text as imported is kept to the byte, for who imports or adopts; it states
// what is wrong, so it is closed while one sits.
func TestTheTextOfARevision(t *testing.T) {
	s := newSite(t)
	src, err := library.Source(pump)
	s.do(err)
	revision := s.open(s.role(api.Trainer), api.Practice).Revision
	for _, r := range []api.Role{api.Trainer, api.SafetyOfficer, api.Administrator} {
		got, err := s.RevisionText(t.Context(), s.role(r), pump, revision)
		if s.do(err); !bytes.Equal(got.Source, src) || !bytes.Equal(got.Blueprint, library.BlueprintSource(pump)) || len(got.Digest) != 32 {
			t.Errorf("%s reads %d bytes, %d of the blueprint", r, len(got.Source), len(got.Blueprint))
		}
	}
	_, err = s.RevisionText(t.Context(), s.role(api.Technician), pump, revision)
	wantKind(t, err, api.Forbidden)
	_, err = s.RevisionText(t.Context(), s.role(api.Trainer), pump, "none")
	wantKind(t, err, api.NotFound)
	s.open(s.role(api.Trainer), api.Qualifying)
	_, err = s.RevisionText(t.Context(), s.role(api.Trainer), pump, revision)
	wantKind(t, err, api.Conflict)
}

// Withdrawn, nobody is cleared and nobody sits; adopted again, whoever stood on that
// revision is cleared again. The days between stay as they were.
func TestAProcedureIsWithdrawnAndAdoptedAgain(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	s.passed(tech)
	s.clear(tech, "L")
	s.wait(24 * time.Hour)
	officer := s.role(api.SafetyOfficer)
	at := s.last()
	cmd := api.WithdrawProcedure{Procedure: pump, Reason: "the maker recalls the diaphragms"}
	for range 2 {
		s.do(s.WithdrawProcedure(t.Context(), officer, cmd))
	}
	other := cmd
	other.Reason = "for another reason"
	wantKind(t, s.WithdrawProcedure(t.Context(), officer, other), api.Conflict)
	s.wantKinds(at, "procedure withdrawn")
	withdrawn := content.DateOf(s.now())
	if got := s.standing(tech, content.Date{}); got.Cleared || got.State != clearance.ProcedureNotActive {
		t.Errorf("withdrawn: %s", got.Reason)
	}
	_, err := s.OpenSitting(t.Context(), s.as(tech), api.OpenSitting{Procedure: pump, Mode: api.Qualifying})
	if e := wantKind(t, err, api.Conflict); e.State != "procedure withdrawn" {
		t.Errorf("a sitting on it: %v", e)
	}
	_, err = s.openDelta(s.as(tech))
	wantKind(t, err, api.Conflict)
	s.open(s.as(tech), api.Practice) // to practise harms nobody

	s.wait(24 * time.Hour)
	officer = s.role(api.SafetyOfficer)
	pre, err := s.PreviewAdoption(t.Context(), officer, pump, "L")
	if s.do(err); !pre.Withdrawn || pre.From != "L" || !pre.Compared.Same() {
		t.Errorf("before it is adopted again: %+v", pre)
	}
	for range 2 {
		_, err = s.AdoptRevision(t.Context(), officer, api.AdoptRevision{Procedure: pump, Revision: "L", Replaces: "L"})
		s.do(err)
	}
	s.wantKinds(at, "procedure withdrawn, revision adopted")
	if is, was := s.standing(tech, content.Date{}), s.standing(tech, withdrawn); !is.Cleared || is.Revision != "L" || was.Cleared {
		t.Errorf("adopted again %q, the day before %q", is.Reason, was.Reason)
	}
	if list, err := s.Revisions(t.Context(), officer, pump); err != nil || len(list.Revisions[0].Adopted) != 2 || list.Withdrawn != nil {
		t.Errorf("%+v, %v", list, err)
	}
	s.do(s.WithdrawProcedure(t.Context(), officer, cmd)) // for the same reason once more
	s.wantKinds(at, "procedure withdrawn, revision adopted, procedure withdrawn")
	s.sound()
}

func TestWhoMayNotWithdrawAProcedure(t *testing.T) {
	s := newSite(t)
	at := s.last()
	good := api.WithdrawProcedure{Procedure: pump, Reason: "the maker recalls the diaphragms"}
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		wantKind(t, s.WithdrawProcedure(t.Context(), s.role(r), good), api.Forbidden)
	}
	wantKind(t, s.WithdrawProcedure(t.Context(), api.Operator(), good), api.Forbidden)
	officer := s.role(api.SafetyOfficer)
	wantKind(t, s.WithdrawProcedure(t.Context(), officer, api.WithdrawProcedure{Procedure: pump, Reason: "short"}), api.Invalid)
	wantKind(t, s.WithdrawProcedure(t.Context(), officer, api.WithdrawProcedure{Procedure: "none such", Reason: good.Reason}), api.NotFound)
	s.wantKinds(at, "")
}

// The lists of what is on the record about assessing, and of policies.
func TestListsAboutAssessing(t *testing.T) {
	s := newSite(t)
	tech, trainer, officer := s.people[api.Technician], s.people[api.Trainer], s.people[api.SafetyOfficer]
	today := content.DateOf(s.now())
	c := s.as(officer)
	s.do(s.GiveTraining(t.Context(), s.as(trainer), api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: today, Verified: "questions at the bench"}))
	s.do(s.GiveTraining(t.Context(), c, api.GiveTraining{Trainer: trainer.ID, Technician: tech.ID, Procedure: "flanged-joint", Date: today}))
	all, err := s.Trainings(t.Context(), c, api.ActsQuery{})
	if s.do(err); len(all) != 2 || all[1].Verified != "questions at the bench" || all[1].By != trainer.Name || all[0].By != officer.Name || all[0].Trainer.Name != trainer.Name || all[0].Technician.ID != tech.ID || all[0].Date != today {
		t.Fatalf("trainings: %+v", all)
	}
	if all[0].Procedure.Name == all[0].Procedure.ID {
		t.Errorf("a procedure without its title: %+v", all[0].Procedure)
	}
	older, err := s.Trainings(t.Context(), c, api.ActsQuery{Before: all[0].Place, Limit: 1})
	if s.do(err); len(older) != 1 || older[0].Place != all[1].Place {
		t.Errorf("the next part: %+v", older)
	}
	if some, err := s.Trainings(t.Context(), c, api.ActsQuery{Procedure: pump, Person: tech.ID}); err != nil || len(some) != 1 {
		t.Errorf("on the pump: %+v, %v", some, err)
	}

	id, err := s.AppointAssessor(t.Context(), c, api.AppointAssessor{Assessor: trainer.ID, Procedure: pump, Until: today, Reason: "knows the pump from school"})
	s.do(err)
	appointed := func() api.Appointment {
		t.Helper()
		list, err := s.Appointments(t.Context(), c, api.ActsQuery{})
		if s.do(err); len(list) != 1 || list[0].ID != id || list[0].Assessor.Name != trainer.Name {
			t.Fatalf("appointments: %+v", list)
		}
		return list[0]
	}
	if x := appointed(); !x.Holds || x.Ended != nil || x.Until != today {
		t.Errorf("made: %+v", x)
	}
	s.do(s.EndAppointment(t.Context(), c, api.EndAppointment{Appointment: id, Reason: "back to the day shift"}))
	if x := appointed(); x.Holds || x.Ended == nil || x.Ended.Reason != "back to the day shift" || x.Ended.By != officer.Name {
		t.Errorf("ended: %+v", x)
	}

	s.do(s.RecordException(t.Context(), c, api.RecordException{Assessor: trainer.ID, Technician: tech.ID, Procedure: pump, Reason: "nobody else is on the site", Password: password}))
	ex, err := s.Exceptions(t.Context(), c, api.ActsQuery{})
	if s.do(err); len(ex) != 1 || ex[0].Officer.Name != officer.Name || ex[0].Reason != "nobody else is on the site" || ex[0].Assessor.ID != trainer.ID {
		t.Errorf("exceptions: %+v", ex)
	}
	s.listsAreRefused()
}

func (s *site) listsAreRefused() {
	s.t.Helper()
	for _, r := range []api.Role{api.Technician, api.Administrator} {
		_, err := s.Trainings(s.t.Context(), s.role(r), api.ActsQuery{})
		wantKind(s.t, err, api.Forbidden)
		_, err = s.Appointments(s.t.Context(), s.role(r), api.ActsQuery{})
		wantKind(s.t, err, api.Forbidden)
		_, err = s.Exceptions(s.t.Context(), s.role(r), api.ActsQuery{})
		wantKind(s.t, err, api.Forbidden)
	}
	_, err := s.Trainings(s.t.Context(), s.role(api.Trainer), api.ActsQuery{Limit: 1001})
	wantKind(s.t, err, api.Invalid)
	_, err = s.Appointments(s.t.Context(), s.role(api.Trainer), api.ActsQuery{Before: -1})
	wantKind(s.t, err, api.Invalid)
}

func TestTheHistoryOfPolicies(t *testing.T) {
	s := newSite(t)
	p := clearance.DefaultPolicy()
	set := func(procedure string, months int) {
		t.Helper()
		p.Months = months
		_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: procedure, Policy: p})
		s.do(err)
	}
	set("", 18)
	set("flanged-joint", 24)
	set(pump, 6)
	got, err := s.Policies(t.Context(), s.role(api.Technician), pump)
	if s.do(err); len(got) != 2 || got[0].Policy.Months != 6 || got[0].Procedure != pump || got[1].Policy.Months != 18 || got[1].Procedure != "" || !strings.Contains(got[0].By, "called") {
		t.Errorf("on the pump: %+v", got)
	}
	if got, err = s.Policies(t.Context(), s.role(api.Technician), ""); err != nil || len(got) != 1 {
		t.Errorf("the site's: %+v, %v", got, err)
	}
	_, err = s.Policies(t.Context(), s.role(api.Technician), "none such")
	wantKind(t, err, api.NotFound)
}
