package api_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

const pump = "aodd-air-side"

// record returns the acts on the record after a place.
func (s *site) record(after int64) []clearance.Event {
	s.t.Helper()
	var out []clearance.Event
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		all, err := r.Acts(s.t.Context(), after, 1000)
		for _, a := range all {
			e, err := a.Event()
			if err != nil {
				return err
			}
			out = append(out, e)
		}
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

// last is the place of the last act on the record.
func (s *site) last() int64 {
	all := s.record(0)
	return all[len(all)-1].Seq
}

func kinds(events []clearance.Event) string {
	var out []string
	for _, e := range events {
		out = append(out, string(e.Act.Kind()))
	}
	return strings.Join(out, ", ")
}

func (s *site) wantKinds(after int64, want string) {
	s.t.Helper()
	if got := kinds(s.record(after)); got != want {
		s.t.Errorf("on the record: %s; want %s", got, want)
	}
}

func (s *site) passed(p api.Person) api.Result {
	s.t.Helper()
	c := s.as(p)
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	return s.hand(c, sit.ID)
}

func (s *site) standing(p api.Person, on content.Date) clearance.Standing {
	s.t.Helper()
	out, err := s.Standing(s.t.Context(), s.role(api.SafetyOfficer), api.StandingQuery{Person: p.ID, Procedure: pump, On: on})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

func (s *site) do(err error) {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
}

// put puts acts on the record as later use cases will: what clears somebody.
func (s *site) put(acts ...clearance.Act) {
	s.t.Helper()
	s.do(api.PutActs(s.t.Context(), s.App, s.people[api.SafetyOfficer].ID, acts...))
}

// clear walks the road after a passed sitting: a rebuild that another person
// assesses, signed by both.
func (s *site) clear(p api.Person, revision string) {
	s.t.Helper()
	assessor := s.people[api.Trainer].ID
	_, err := s.AppointAssessor(s.t.Context(), s.role(api.SafetyOfficer), api.AppointAssessor{Assessor: assessor, Procedure: pump, Reason: "knows the pump from the maker’s school"})
	s.do(err)
	s.wait(time.Minute)
	start, digest := s.now(), strings.Repeat("ab", 32)
	s.wait(time.Hour)
	id := "rebuild-of-" + p.ID
	sign := func(who string, m clearance.Meaning) clearance.Act {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: p.ID, Proof: "password"}
	}
	s.put(clearance.RebuildFinished{Rebuild: id, Technician: p.ID, Assessor: assessor, Procedure: pump, Revision: revision, Started: start, Ended: s.now(),
		Holds: []clearance.HoldRecord{{Step: "isolate", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest},
		sign(p.ID, clearance.Performed), sign(assessor, clearance.Observed))
}

// lone drops the prerequisites of the pump: its revision in force is one without,
// but where it is to be kept only.
func (s *site) lone(revision string, keep bool, change func(string) string) {
	s.t.Helper()
	src, err := library.Source(pump)
	s.do(err)
	text := regexp.MustCompile(`(?m)^revision: .*$`).ReplaceAllString(string(src), "revision: "+revision)
	text = regexp.MustCompile(`(?m)^prerequisites: .*$`).ReplaceAllString(text, "")
	if change != nil {
		text = change(text)
	}
	_, err = s.ImportProcedure(s.t.Context(), s.role(api.Trainer), api.Import{Name: "next.yaml", Source: []byte(text), Blueprint: library.BlueprintSource(pump)})
	s.do(err)
	if !keep {
		_, err = s.AdoptRevision(s.t.Context(), s.role(api.SafetyOfficer), api.AdoptRevision{Procedure: pump, Revision: revision})
		s.do(err)
	}
}

func TestTodaysRecordsTellTheFold(t *testing.T) {
	s := newSite(t)
	if got := kinds(s.record(0)); !strings.HasPrefix(got, "revision adopted") || !strings.HasSuffix(got, "account added") {
		t.Errorf("a new site's record: %s", got)
	}
	at := s.last()
	p := s.add("ada", api.Technician)
	role, left, back := api.Trainer, true, false
	for _, cmd := range []api.ChangeAccount{{Role: &role}, {Role: &role}, {Left: &left}, {Left: &left}, {Left: &back}} {
		cmd.Person = p.ID
		_, err := s.ChangeAccount(t.Context(), api.Operator(), cmd)
		s.do(err)
	}
	s.wantKinds(at, "account added, role set, person left, person back")

	at = s.last()
	r := s.passed(s.people[api.Technician])
	practice := s.open(s.role(api.Technician), api.Practice)
	s.hand(s.role(api.Technician), practice.ID)
	void := api.VoidCommand{Sitting: r.Sitting.ID, Reason: "the wrong person sat there"}
	s.do(s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), void))
	s.wantKinds(at, "sitting marked, sitting voided")
	marked := s.record(at)[0].Act.(clearance.SittingMarked)
	if marked.Verdict != clearance.Passed || !marked.HandedIn.Equal(r.HandIn.At) || marked.Person != s.people[api.Technician].ID {
		t.Errorf("marked: %+v", marked)
	}
	s.sound()
}

// The final verdict goes on the record once, with the confirming step, when its
// hour is over, or when it is struck out.
func TestTheFinalVerdictIsOnTheRecord(t *testing.T) {
	for name, end := range map[string]struct {
		do   func(s *site, c api.Caller, sit api.Sitting) // after the first marking
		want string
		last clearance.Verdict
	}{
		"passed": {func(s *site, c api.Caller, sit api.Sitting) { s.confirmed(c, sit, true) }, "sitting marked", clearance.Passed},
		"failed": {func(s *site, c api.Caller, sit api.Sitting) { s.confirmed(c, sit, false) }, "sitting marked", clearance.Failed},
		"lapsed": {func(s *site, c api.Caller, sit api.Sitting) {
			for i := range 3 { // not before the hour is over, and then once
				done, err := s.Sweep(s.t.Context())
				if s.do(err); done.Settled != i%2 {
					s.t.Errorf("sweep %d settled %d", i, done.Settled)
				}
				s.wait(api.ConfirmWithin)
			}
		}, "sitting marked", clearance.Failed},
		"confirming step struck out": {func(s *site, c api.Caller, sit api.Sitting) {
			conf := s.confirmed(c, sit, true)
			s.do(s.VoidSitting(s.t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: conf.ID, Reason: "a neighbour helped out"}))
		}, "sitting marked, sitting re-marked", clearance.Failed},
	} {
		t.Run(name, func(t *testing.T) {
			s := newSite(t)
			at := s.last()
			c := s.role(api.Technician)
			sit := s.open(c, api.Qualifying)
			s.missOne(c, sit)
			if r := s.hand(c, sit.ID); r.Final != scoring.ToConfirm {
				t.Fatalf("to confirm: %s", r.Final)
			}
			s.wantKinds(at, "")
			_, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.Qualifying})
			if e := wantKind(t, err, api.Conflict); e.State != string(scoring.ToConfirm) {
				t.Errorf("a new try before the confirming step: %v", e)
			}
			end.do(s, c, sit)
			s.wantKinds(at, end.want)
			var got clearance.Verdict
			for _, e := range s.record(at) {
				switch act := e.Act.(type) {
				case clearance.SittingMarked:
					got = act.Verdict
				case clearance.SittingRemarked:
					got = act.Verdict
				}
			}
			if got != end.last {
				t.Errorf("verdict %s, want %s", got, end.last)
			}
			s.sound()
		})
	}
}

// confirmed takes the confirming step.
func (s *site) confirmed(c api.Caller, sit api.Sitting, right bool) api.Sitting {
	s.t.Helper()
	conf, err := s.OpenConfirming(s.t.Context(), c, sit.ID)
	s.do(err)
	if right {
		s.answer(c, conf.ID, s.right)
	}
	s.hand(c, conf.ID)
	return conf
}

func TestThePolicyDecidesTriesAndWaiting(t *testing.T) {
	s := newSite(t)
	tech := s.people[api.Technician]
	try := func() error {
		c := s.as(tech)
		sit, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.Qualifying})
		if err == nil {
			s.hand(c, sit.ID) // blank
		}
		return err
	}
	p := clearance.DefaultPolicy()
	p.Tries, p.WaitDays = 2, 3
	_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: pump, Policy: p})
	s.do(err)
	s.do(try())
	s.wait(48 * time.Hour)
	if e := wantKind(t, try(), api.Conflict); e.State != "waiting" || !strings.Contains(e.Message, "2026-03-05") {
		t.Errorf("too early: %+v", e)
	}
	_, err = s.OpenSitting(t.Context(), s.as(tech), api.OpenSitting{Procedure: pump, Mode: api.Practice})
	s.do(err) // practice is always free
	s.wait(24 * time.Hour)
	s.do(try())
	s.wait(240 * time.Hour)
	if e := wantKind(t, try(), api.Conflict); e.State != "training due" {
		t.Errorf("no try left: %+v", e)
	}
	s.do(s.GiveTraining(t.Context(), s.role(api.Trainer), api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: content.DateOf(s.now())}))
	s.do(try())
}

// One whose time ran out is a try like any other.
func TestATryThatRanOutCounts(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.wait(sit.Deadline.Sub(s.now()) + time.Second)
	_, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.Qualifying})
	if e := wantKind(t, err, api.Conflict); e.State != "waiting" {
		t.Errorf("after one that ran out: %+v", e)
	}
}

func TestThePolicyDecidesTheCut(t *testing.T) {
	s := newSite(t)
	first := s.passed(s.people[api.Technician])
	p := clearance.DefaultPolicy()
	p.Cut = 95
	at := s.last()
	for range 2 { // told twice it stands once
		_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Policy: p})
		s.do(err)
	}
	s.wantKinds(at, "policy set")
	second := s.passed(s.people[api.Technician])
	if a, b := s.form(first.Sitting.ID).Cut, s.form(second.Sitting.ID).Cut; a != 80 || b != 95 {
		t.Errorf("cuts %d and %d, want 80 and 95", a, b)
	}
	if rep := s.replay(); len(rep.Differences) > 0 {
		t.Errorf("it does not replay: %v", rep.Differences)
	}
	p.Tries = 0
	_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Policy: p})
	wantKind(t, err, api.Invalid)
	p.Tries = 1
	_, err = s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: "none such", Policy: p})
	wantKind(t, err, api.NotFound)
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		_, err = s.SetPolicy(t.Context(), s.role(r), api.SetPolicy{Policy: p})
		wantKind(t, err, api.Forbidden)
	}
}

// The register for yesterday still shows yesterday after a suspension today.
func TestYesterdayStaysAsItWas(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	s.passed(tech)
	s.clear(tech, "L")
	yesterday := content.DateOf(s.now())
	if got := s.standing(tech, content.Date{}); !got.Cleared {
		t.Fatalf("after the road: %s", got.Reason)
	}
	s.wait(24 * time.Hour)
	officer := s.role(api.SafetyOfficer)
	cmd := api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}
	at := s.last()
	s.do(s.Suspend(t.Context(), officer, cmd))
	s.do(s.Suspend(t.Context(), officer, cmd))
	s.wantKinds(at, "suspended")
	other := cmd
	other.Reason = "for another reason"
	wantKind(t, s.Suspend(t.Context(), officer, other), api.Conflict)
	if was, is := s.standing(tech, yesterday), s.standing(tech, content.Date{}); !was.Cleared || is.Cleared || is.State != clearance.StateSuspended || !strings.Contains(is.Reason, cmd.Reason) {
		t.Errorf("yesterday %q, today %q", was.Reason, is.Reason)
	}
	reg, err := s.Register(t.Context(), officer, api.RegisterQuery{On: yesterday, Procedure: pump, Person: tech.ID})
	if s.do(err); len(reg) != 1 || !reg[0].Cleared {
		t.Errorf("yesterday's register: %+v", reg)
	}
	s.wait(time.Hour)
	s.do(s.Reinstate(t.Context(), officer, cmd))
	s.do(s.Reinstate(t.Context(), officer, cmd))
	wantKind(t, s.Reinstate(t.Context(), officer, other), api.Conflict)
	if got := s.standing(tech, content.Date{}); !got.Cleared {
		t.Errorf("reinstated: %s", got.Reason)
	}
	lapsing, err := s.Lapsing(t.Context(), officer, 400)
	if s.do(err); len(lapsing) != 1 || lapsing[0].Person != tech.ID {
		t.Errorf("lapsing within 400 days: %+v", lapsing)
	}
	if lapsing, err = s.Lapsing(t.Context(), officer, 30); err != nil || len(lapsing) != 0 {
		t.Errorf("lapsing within 30 days: %+v, %v", lapsing, err)
	}
	s.do(s.Withdraw(t.Context(), officer, cmd))
	s.do(s.Withdraw(t.Context(), officer, cmd))
	if got := s.standing(tech, content.Date{}); got.State != clearance.StateWithdrawn {
		t.Errorf("withdrawn: %s", got.Reason)
	}
	s.wantKinds(at, "suspended, reinstated, withdrawn")
	s.sound()
}

func TestNoticesAreRefused(t *testing.T) {
	s := newSite(t)
	tech, officer := s.people[api.Technician], s.people[api.SafetyOfficer]
	at := s.last()
	type use func(api.Caller, api.StandingCommand) error
	suspend := func(c api.Caller, cmd api.StandingCommand) error { return s.Suspend(t.Context(), c, cmd) }
	reinstate := func(c api.Caller, cmd api.StandingCommand) error { return s.Reinstate(t.Context(), c, cmd) }
	withdraw := func(c api.Caller, cmd api.StandingCommand) error { return s.Withdraw(t.Context(), c, cmd) }
	good := api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}
	for _, f := range []use{suspend, reinstate, withdraw} {
		for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
			wantKind(t, f(s.role(r), good), api.Forbidden)
		}
		wantKind(t, f(api.Operator(), good), api.Forbidden) // it needs a name
		wantKind(t, f(s.as(officer), api.StandingCommand{Person: tech.ID, Procedure: pump}), api.Invalid)
		wantKind(t, f(s.as(officer), api.StandingCommand{Person: "nobody", Procedure: pump, Reason: good.Reason}), api.Invalid)
		wantKind(t, f(s.as(officer), api.StandingCommand{Person: tech.ID, Procedure: "none such", Reason: good.Reason}), api.NotFound)
	}
	wantKind(t, reinstate(s.as(officer), good), api.Conflict)
	wantKind(t, withdraw(s.as(officer), good), api.Conflict)
	s.wantKinds(at, "")
	own := good
	own.Person = officer.ID
	s.do(suspend(s.as(officer), own))
	wantKind(t, reinstate(s.as(officer), own), api.Forbidden)
}

// Adopting a revision that changes two facts shows whom it touches before, and
// who is held after.
func TestAdoptingARevision(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	s.passed(tech)
	s.clear(tech, "L")
	s.wait(24 * time.Hour)
	at := s.last()
	s.lone("M", true, func(text string) string { return strings.ReplaceAll(text, "tolerance: ±10 %", "tolerance: ±8 %") })
	s.wantKinds(at, "") // kept, not adopted
	officer := s.role(api.SafetyOfficer)
	if p, err := s.Procedure(t.Context(), officer, pump, ""); err != nil || p.Revision != "L" {
		t.Fatalf("in force: %v, %v", p.Revision, err)
	}
	pre, err := s.PreviewAdoption(t.Context(), officer, pump, "M")
	s.do(err)
	if len(pre.Compared.Changed) < 2 || pre.From != "L" || len(pre.Touched) != 1 || pre.Touched[0].Person != tech.ID {
		t.Fatalf("before: %d changed, touched %+v", len(pre.Compared.Changed), pre.Touched)
	}
	s.wantKinds(at, "")
	cmd := api.AdoptRevision{Procedure: pump, Revision: "M", Replaces: "K"}
	_, err = s.AdoptRevision(t.Context(), officer, cmd)
	wantKind(t, err, api.Conflict) // another is in force than the one looked at
	cmd.Replaces = "L"
	for range 2 {
		_, err = s.AdoptRevision(t.Context(), officer, cmd)
		s.do(err)
	}
	s.wantKinds(at, "revision adopted")
	got := s.standing(tech, content.Date{})
	if got.State != clearance.Held || len(got.Changed) != len(pre.Compared.Changed) || got.Due.String() != pre.Grace.String() || !got.Cleared {
		t.Errorf("after: %+v", got)
	}
	s.wait(15 * 24 * time.Hour)
	if got := s.standing(tech, content.Date{}); got.State != clearance.Held || got.Cleared {
		t.Errorf("after the grace: %s", got.Reason)
	}
	if sit := s.open(s.as(tech), api.Qualifying); sit.Revision != "M" {
		t.Errorf("a new sitting is on revision %s", sit.Revision)
	}
	_, err = s.AdoptRevision(t.Context(), s.role(api.SafetyOfficer), api.AdoptRevision{Procedure: pump, Revision: "L"})
	wantKind(t, err, api.Conflict) // it was in force before
	_, err = s.AdoptRevision(t.Context(), s.role(api.SafetyOfficer), api.AdoptRevision{Procedure: pump, Revision: "none"})
	wantKind(t, err, api.NotFound)
	_, err = s.AdoptRevision(t.Context(), s.role(api.Trainer), cmd)
	wantKind(t, err, api.Forbidden)
	s.sound()
}

func TestTrainingAppointmentsAndExceptions(t *testing.T) {
	s := newSite(t)
	tech, trainer, officer := s.people[api.Technician], s.people[api.Trainer], s.people[api.SafetyOfficer]
	today := content.DateOf(s.now())
	tomorrow, before := content.DateOf(s.now().AddDate(0, 0, 1)), content.DateOf(s.now().AddDate(0, 0, -1))
	at := s.last()

	train := api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: before}
	s.do(s.GiveTraining(t.Context(), s.as(trainer), train))
	s.do(s.GiveTraining(t.Context(), s.as(trainer), train))
	for _, bad := range []struct {
		by   api.Person
		kind api.Kind
		cmd  api.GiveTraining
	}{
		{trainer, api.Invalid, api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: tomorrow}},
		{trainer, api.Invalid, api.GiveTraining{Technician: tech.ID, Procedure: pump}},
		{trainer, api.Invalid, api.GiveTraining{Technician: trainer.ID, Procedure: pump, Date: today}},
		{trainer, api.Invalid, api.GiveTraining{Technician: "nobody", Procedure: pump, Date: today}},
		{trainer, api.Forbidden, api.GiveTraining{Trainer: officer.ID, Technician: tech.ID, Procedure: pump, Date: today}},
		{tech, api.Forbidden, api.GiveTraining{Technician: trainer.ID, Procedure: pump, Date: today}},
		{trainer, api.NotFound, api.GiveTraining{Technician: tech.ID, Procedure: "none such", Date: today}},
	} {
		wantKind(t, s.GiveTraining(t.Context(), s.as(bad.by), bad.cmd), bad.kind)
	}

	appoint := api.AppointAssessor{Assessor: trainer.ID, Procedure: pump, Until: tomorrow, Reason: "knows the pump from school"}
	id, err := s.AppointAssessor(t.Context(), s.as(officer), appoint)
	s.do(err)
	if again, err := s.AppointAssessor(t.Context(), s.as(officer), appoint); err != nil || again != id {
		t.Errorf("made again: %s, %v; want %s", again, err, id)
	}
	back := appoint
	back.From = before
	_, err = s.AppointAssessor(t.Context(), s.as(officer), back)
	wantKind(t, err, api.Invalid) // back-dated
	self := appoint
	self.Assessor = officer.ID
	_, err = s.AppointAssessor(t.Context(), s.as(officer), self)
	wantKind(t, err, api.Forbidden)
	_, err = s.AppointAssessor(t.Context(), s.as(trainer), self)
	wantKind(t, err, api.Forbidden)

	could := func() []string {
		out, err := s.WhoCouldSign(t.Context(), s.as(officer), tech.ID, pump, "")
		s.do(err)
		return out
	}
	if got := could(); len(got) != 0 {
		t.Errorf("who trained yesterday could sign: %v", got)
	}
	except := api.RecordException{Assessor: trainer.ID, Technician: tech.ID, Procedure: pump, Reason: "nobody else is on the site", Password: password}
	s.do(s.RecordException(t.Context(), s.as(officer), except))
	s.do(s.RecordException(t.Context(), s.as(officer), except))
	wantKind(t, s.RecordException(t.Context(), api.Operator(), except), api.Forbidden)
	wantKind(t, s.RecordException(t.Context(), s.as(trainer), except), api.Forbidden)
	if got := could(); !slices.Equal(got, []string{trainer.ID}) {
		t.Errorf("with the exception: %v", got)
	}
	end := api.EndAppointment{Appointment: id, Reason: "back to the day shift"}
	s.do(s.EndAppointment(t.Context(), s.as(officer), end))
	s.do(s.EndAppointment(t.Context(), s.as(officer), end))
	end.Reason = "for another reason"
	wantKind(t, s.EndAppointment(t.Context(), s.as(officer), end), api.Conflict)
	wantKind(t, s.EndAppointment(t.Context(), s.as(officer), api.EndAppointment{Appointment: "none", Reason: end.Reason}), api.NotFound)
	if got := could(); len(got) != 0 {
		t.Errorf("after the appointment: %v", got)
	}
	s.wantKinds(at, "training given, assessor appointed, exception granted, signed, appointment ended")
	s.sound()
}

func TestWhoMayReadStandings(t *testing.T) {
	s := newSite(t)
	tech, other := s.people[api.Technician], s.add("other", api.Technician)
	q := api.StandingQuery{Person: tech.ID, Procedure: pump}
	_, err := s.Standing(t.Context(), s.as(tech), q)
	s.do(err)
	_, err = s.Standing(t.Context(), s.as(other), q)
	wantKind(t, err, api.Forbidden)
	_, err = s.Register(t.Context(), s.as(tech), api.RegisterQuery{})
	wantKind(t, err, api.Forbidden)
	_, err = s.PreviewAdoption(t.Context(), s.as(tech), pump, "1")
	wantKind(t, err, api.Forbidden)
}

// The kept fold is the full one, and another instance's acts are in it.
func TestTheKeptFoldIsTheFullFold(t *testing.T) {
	s := newSite(t)
	other := s.on(s.store)
	officer := s.role(api.SafetyOfficer)
	register := func(a *api.App) []clearance.Standing {
		out, err := a.Register(t.Context(), officer, api.RegisterQuery{})
		s.do(err)
		return out
	}
	tech := s.people[api.Technician]
	for _, step := range []func(){
		func() { s.passed(tech) },
		func() { s.lone("L", false, nil) },
		func() {
			s.do(other.Suspend(t.Context(), officer, api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}))
		},
		func() { s.passed(s.people[api.Trainer]); s.clear(tech, "L") },
	} {
		step()
		full := clearance.New(time.UTC)
		for _, e := range s.record(0) {
			s.do(full.Add(e))
		}
		want := slices.Collect(full.On(content.DateOf(s.now()), time.Time{}))
		for name, a := range map[string]*api.App{"this instance": s.App, "another": other, "a fresh one": s.on(s.store)} {
			dates := cmp.Comparer(func(a, b content.Date) bool { return a.String() == b.String() })
			if diff := cmp.Diff(want, register(a), dates); diff != "" {
				t.Errorf("%s (-full +kept):\n%s", name, diff)
			}
		}
	}
	done := make(chan error)
	for range 8 { // side by side
		go func() {
			_, err := s.Register(t.Context(), officer, api.RegisterQuery{})
			done <- err
		}()
	}
	s.wait(time.Minute)
	s.do(s.Reinstate(t.Context(), officer, api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "the cap was put right"}))
	for range 8 {
		s.do(<-done)
	}
}
