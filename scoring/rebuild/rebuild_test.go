package rebuild_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/content/library"
	"soloright/content/torque"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

var update = flag.Bool("update", false, "write the golden files anew")

func q(text string) *torque.Quantity {
	v, err := torque.Parse(text)
	if err != nil {
		panic(err)
	}
	return &v
}

func tolerance(text string) *torque.Tolerance {
	v, err := torque.ParseTolerance(text)
	if err != nil {
		panic(err)
	}
	return &v
}

func day(text string) content.Date {
	d, err := content.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func circle(n int) bolting.Pattern { return bolting.Pattern{Shape: bolting.Circle, Count: n} }

// procedure is a small one with everything that a sheet can hold. Its steps do not
// stand in the order of the work.
func procedure() *content.Procedure {
	return &content.Procedure{
		ID: "pump", Title: "Rebuild of the  pump", Revision: "B",
		Builds: []content.Build{{ID: "small", Title: "Small"}, {ID: "large", Title: "Large"}},
		Joints: []content.Joint{
			{ID: "cap", Title: "Cap", Pattern: circle(2), Tighten: content.Tighten{By: content.ByTorque, Torque: q("28 N·m"), Tolerance: tolerance("±10 %")}, CheckPass: &content.CheckPass{Do: "Go round"}, Step: "close"},
			{ID: "plate", Title: "Plate", Pattern: circle(1), Tighten: content.Tighten{By: content.ByTorque, Torque: q("45 N·m"), Tolerance: tolerance("±5 %")},
				Align: &content.Align{Every: *q("60 °"), Hand: "right", MaxTorque: q("54 N·m")}, Step: "close"},
			{ID: "ring", Title: "Ring", Pattern: circle(1), Tighten: content.Tighten{By: content.ByTorqueAngle, Torque: q("20 N·m"), Tolerance: tolerance("±10 %"), Angle: q("60 °")}, Step: "close"},
			{ID: "gap", Title: "Strap", Pattern: circle(1), Tighten: content.Tighten{By: content.ByGap, Gap: q("3 mm"), Tolerance: tolerance("±0.5 mm")}, Step: "close", Builds: []string{"small"}},
			{ID: "stop", Title: "Stop", Pattern: circle(1), Tighten: content.Tighten{By: content.ToStop}, Step: "close"},
			{ID: "turns", Title: "Gland", Pattern: circle(1), Tighten: content.Tighten{By: content.ByTurns, Angle: q("540 °")}, Step: "close"},
		},
		Settings: []content.Setting{{ID: "runout", Title: "Run-out", Datum: "the frame", WorkOut: content.HalfRange, Readings: []string{"12", "6"}, Near: *q("0.50 mm"), Resolution: *q("0.01 mm"), Limit: content.Limit{Max: q("0.03 mm")}, Step: "measure"}},
		Tests: []content.Test{{ID: "leak", Title: "Leak test", Medium: "dry air", Pressure: *q("4 bar"), Hold: *q("5 min"), Look: "at the joints", Step: "test",
			Accept: []content.Criterion{{ID: "drop", What: "drop of pressure", Limit: &content.Limit{Max: q("0.2 bar")}}, {ID: "bubbles", What: "soap", Pass: []string{"No bubble grows"}, Fail: []content.Wrong{{Text: "A bubble grows", Because: "It leaks."}}}}}},
		Steps: []content.Step{
			{ID: "test", Phase: content.PhaseTest, Text: "Test it", After: []string{"close"}},
			{ID: "isolate", Phase: content.PhaseIsolate, Text: "Isolate it", Hold: &content.Hold{Look: "The locks", Critical: true}},
			{ID: "measure", Phase: content.PhaseInspect, Text: "Measure", After: []string{"isolate"}},
			{ID: "wash", Phase: content.PhaseClean, Text: "Wash", After: []string{"isolate"}},
			{ID: "close", Phase: content.PhaseAssemble, Text: "Close it", After: []string{"measure", "wash"}, Hold: &content.Hold{Look: "The gasket", Unless: "it was seen before"}},
		},
	}
}

func wrenches() map[string]rebuild.Wrench {
	good := []rebuild.Calibration{{Done: day("2026-01-10"), Due: day("2027-01-09"), Good: true, Certificate: "C 12"}}
	return map[string]rebuild.Wrench{
		"TW-1": {ID: "TW-1", Calibrations: good},
		"TW-2": {ID: "TW-2", Indicating: true, Min: *q("10 N·m"), Max: *q("50 N·m"), Calibrations: good},
		"TW-3": {ID: "TW-3", Calibrations: []rebuild.Calibration{{Done: day("2025-01-10"), Due: day("2026-01-09"), Good: true}}},
	}
}

func set(value string) rebuild.Entry {
	return rebuild.Entry{As: rebuild.AsSet, Value: value, Reached: true, Wrench: "TW-1"}
}

// good is a sheet on which everything is as it should be.
func good() map[string]rebuild.Kept {
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	ring := set("20 N·m")
	ring.Angle = "60 °"
	all := map[string]rebuild.Entry{
		"times":          {Started: "2026-03-02T08:15:00Z", Ended: "2026-03-02T11:40:00Z"},
		"hold.isolate":   {Outcome: clearance.Unaided},
		"hold.close":     {Outcome: clearance.NotApplicable, Condition: "seen at\nthe first go", Note: "by hand"},
		"joint.cap.1":    set("28 N·m"),
		"joint.cap.2":    {As: rebuild.AsCheck, Value: "27 N·m", Wrench: "TW-2"},
		"joint.plate.1":  {As: rebuild.AsIndicated, Value: "50 N·m", Wrench: "TW-2"},
		"joint.ring.1":   ring,
		"joint.gap.1":    {As: rebuild.AsGap, Value: "3.5 mm"},
		"joint.stop.1":   {As: rebuild.AsStop, Reached: true},
		"joint.turns.1":  {As: rebuild.AsAngle, Value: "540 °"},
		"setting.runout": {Readings: []string{"0.50 mm", "0.55 mm"}},
		"test.leak":      {Value: "4 bar", Held: "300 s", Readings: []string{"0.2 bar", "No bubble grows"}},
		"remarks":        {Note: "a quiet day"},
	}
	out := map[string]rebuild.Kept{}
	for place, e := range all {
		out[place] = rebuild.Kept{Entry: e, At: at}
	}
	return out
}

var head = rebuild.Head{Rebuild: "r1", Technician: rebuild.Person{ID: "p1", Name: "Robin Hale"}, Assessor: rebuild.Person{ID: "p2", Name: "Sam Ode"}, Zone: time.UTC, Today: day("2026-03-02")}

func fill(entries map[string]rebuild.Kept) rebuild.Record {
	return rebuild.Fill(rebuild.NewPlan(procedure(), "small", nil), head, entries, wrenches())
}

func TestThePlanFollowsTheWork(t *testing.T) {
	steps := func(p rebuild.Plan) (out []string) {
		for _, s := range p.Stations {
			out = append(out, fmt.Sprint(s.N, s.Step.ID))
		}
		return out
	}
	for _, c := range []struct {
		build string
		only  []string
		want  []string
	}{
		{"small", nil, []string{"1isolate", "2measure", "4close", "5test"}},
		{"large", []string{"close", "gone", "measure"}, []string{"4close"}},
	} {
		p := rebuild.NewPlan(procedure(), c.build, c.only)
		if diff := cmp.Diff(c.want, steps(p)); diff != "" {
			t.Errorf("%s %v: -want +got\n%s", c.build, c.only, diff)
		}
		if slices.Contains(p.Places(), "joint.gap.1") != (c.build == "small") {
			t.Errorf("%s: the strap belongs to the small build: %v", c.build, p.Places())
		}
	}
}

// A whole sheet, with the golden vector of its text and the digest that sha256sum gives for it. The limits are those of the
// procedure above; 28 N·m ±10 % is 25.2 to 30.8 N·m (worked by hand).
func TestTheTextOfASheet(t *testing.T) {
	r := fill(good())
	if r.Fault() != "" || r.Faults != 0 || !r.InTolerance || !r.InCalibration || len(r.Open) > 0 {
		t.Errorf("a good sheet has faults: %q, %+v", r.Fault(), r)
	}
	const digest = "4328776f245009a7003446183ee338a531063719fb1370b9f3e8a1ef40526444"
	golden := filepath.Join("testdata", "sheet.txt")
	if *update {
		if err := os.WriteFile(golden, r.Text(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(r.Text())); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	if got := r.Digest(); got != digest {
		t.Errorf("digest %s, want %s", got, digest)
	}
}

// judged changes one place of the good sheet and returns its fault.
func judged(t *testing.T, place string, e rebuild.Entry) string {
	t.Helper()
	plan := rebuild.NewPlan(procedure(), "small", nil)
	if err := plan.Check(place, e); err != nil {
		t.Fatalf("%s %+v: %v", place, e, err)
	}
	all := good()
	all[place] = rebuild.Kept{Entry: e}
	r := fill(all)
	for _, st := range r.Steps {
		for _, l := range st.Lines {
			if l.Place == place {
				if (l.Fault != "") != (r.Faults == 1) {
					t.Errorf("%s: fault %q, %d in all", place, l.Fault, r.Faults)
				}
				if l.Fault == "" {
					return ""
				}
				return string(l.Why) + ": " + l.Fault
			}
		}
	}
	t.Fatalf("no line for %s", place)
	return ""
}

// Limits are inclusive and exact in any unit: 25.2 N·m is 18.5866 lbf·ft (1 lbf·ft =
// 1.3558179483314004 N·m, from NIST SP 811 (2008), B.8), so 18.586 is out and 18.587
// is in; 252/10 as a fraction is in. Working rules: common practice, no source.
func TestReadings(t *testing.T) {
	with := func(e rebuild.Entry, change func(*rebuild.Entry)) rebuild.Entry { change(&e); return e }
	ring := func(value, angle string) rebuild.Entry {
		return with(set(value), func(e *rebuild.Entry) { e.Angle = angle })
	}
	read := func(value string) rebuild.Entry {
		return rebuild.Entry{As: rebuild.AsIndicated, Value: value, Wrench: "TW-2"}
	}
	test := func(pressure, held string, readings ...string) rebuild.Entry {
		return rebuild.Entry{Value: pressure, Held: held, Readings: readings}
	}
	for _, c := range []struct {
		place string
		entry rebuild.Entry
		want  string
	}{
		{"joint.cap.1", set("25.2 N·m"), ""},
		{"joint.cap.1", set("30.8 N·m"), ""},
		{"joint.cap.1", set("25.1999 N·m"), "tolerance: 25.1999 N·m lies below 25.2 N·m"},
		{"joint.cap.1", set("30,81 Nm"), "tolerance: 30.81 N·m lies above 30.8 N·m"},
		{"joint.cap.1", set("18.587 lbf·ft"), ""},
		{"joint.cap.1", set("18.586 lbf·ft"), "tolerance: 18.586 lbf·ft lies below 25.2 N·m"},
		{"joint.cap.1", rebuild.Entry{}, "missing: nothing is written"},
		{"joint.cap.1", rebuild.Entry{Value: "28 N·m"}, "missing: it is not said whether the value was set, indicated or checked"},
		{"joint.cap.1", rebuild.Entry{As: rebuild.AsSet, Wrench: "TW-1", Reached: true}, "missing: the value is missing"},
		{"joint.cap.1", with(set("28 N·m"), func(e *rebuild.Entry) { e.Reached = false }), "missing: the wrench is not noted as having signalled"},
		{"joint.cap.1", with(set("28 N·m"), func(e *rebuild.Entry) { e.Wrench = "" }), "calibration: no wrench is named"},
		{"joint.cap.1", with(set("28 N·m"), func(e *rebuild.Entry) { e.Wrench = "TW-9" }), "calibration: wrench TW-9 is not on the register of wrenches"},
		{"joint.cap.1", with(set("28 N·m"), func(e *rebuild.Entry) { e.Wrench = "TW-3" }), "calibration: wrench TW-3 was out of calibration since 2026-01-09"},
		{"joint.cap.1", with(set("28 N·m"), func(e *rebuild.Entry) { e.Wrench = "TW-2" }), "calibration: wrench TW-2 indicates; it cannot be set"},
		{"joint.cap.1", with(read("28 N·m"), func(e *rebuild.Entry) { e.Wrench = "TW-1" }), "calibration: wrench TW-1 is set and signals; it indicates nothing"},
		{"joint.plate.1", read("47.25 N·m"), ""},
		{"joint.plate.1", read("50 N·m"), ""},
		{"joint.plate.1", read("54 N·m"), "calibration: the value lies outside the scale of wrench TW-2, 10 N·m to 50 N·m"},
		{"joint.plate.1", read("54.01 N·m"), "tolerance: 54.01 N·m lies above 54 N·m"},
		{"joint.plate.1", set("47.26 N·m"), "tolerance: 47.26 N·m lies above 47.25 N·m"}, // a wrench that is set shows no peak
		{"joint.ring.1", ring("22 N·m", "60°"), ""},
		{"joint.ring.1", ring("22 N·m", ""), "missing: the angle is missing"},
		{"joint.ring.1", ring("22 N·m", "61 °"), "tolerance: 61 ° is not 60 °"},
		{"joint.gap.1", rebuild.Entry{As: rebuild.AsGap, Value: "2.5 mm"}, ""},
		{"joint.gap.1", rebuild.Entry{As: rebuild.AsGap, Value: "2.49 mm"}, "tolerance: 2.49 mm lies below 2.5 mm"},
		{"joint.stop.1", rebuild.Entry{As: rebuild.AsStop}, "missing: the stop is not noted as reached"},
		{"joint.turns.1", rebuild.Entry{As: rebuild.AsAngle, Value: "1.5 turn"}, ""},
		{"joint.turns.1", rebuild.Entry{As: rebuild.AsAngle, Value: "1.4 turn"}, "tolerance: 1.4 turn is not 540 °"},
		{"setting.runout", rebuild.Entry{Readings: []string{"0.50 mm", "0.56 mm"}}, ""},
		{"setting.runout", rebuild.Entry{Readings: []string{"0.50 mm", "0.561 mm"}}, "tolerance: 0.0305 mm lies above 0.03 mm"},
		{"setting.runout", rebuild.Entry{Readings: []string{"", "0.561 mm"}}, "missing: the reading “12” is missing"},
		{"setting.runout", rebuild.Entry{}, "missing: nothing is written"},
		{"test.leak", test("4.1 bar", "5 min", "0.21 bar", "No bubble grows"), "tolerance: drop of pressure: 0.21 bar lies above 0.2 bar"},
		{"test.leak", test("3.9 bar", "5 min", "0.2 bar", "No bubble grows"), "tolerance: the pressure, 3.9 bar, does not reach 4 bar"},
		{"test.leak", test("4 bar", "299 s", "0.2 bar", "No bubble grows"), "tolerance: the time it was held, 299 s, does not reach 5 min"},
		{"test.leak", test("4 bar", "5 min", "0.2 bar", "A bubble grows"), "tolerance: soap: a bubble grows"},
		{"test.leak", test("4 bar", "5 min", "0.2 bar", rebuild.SeenOther), "tolerance: soap: something else, see the note"},
		{"test.leak", test("4 bar", "5 min", "0.2 bar"), "missing: “soap” is missing"},
		{"hold.isolate", rebuild.Entry{Outcome: clearance.Prompted}, "hold point: not unaided"},
		{"hold.isolate", rebuild.Entry{}, "hold point: no outcome is written"},
		{"hold.close", rebuild.Entry{Outcome: clearance.NotApplicable}, "hold point: the condition found is not written"},
		{"hold.close", rebuild.Entry{Outcome: clearance.Unaided}, ""},
	} {
		if got := judged(t, c.place, c.entry); got != c.want {
			t.Errorf("%s %+v: %q, want %q", c.place, c.entry, got, c.want)
		}
	}
}

func TestWhatCannotBeKept(t *testing.T) {
	plan := rebuild.NewPlan(procedure(), "small", nil)
	for _, c := range []struct {
		place string
		entry rebuild.Entry
		field string
	}{
		{"joint.cap.3", rebuild.Entry{}, "place"},
		{"joint.cap.01", rebuild.Entry{}, "place"},
		{"joint.cap", rebuild.Entry{}, "place"},
		{"hold.wash", rebuild.Entry{}, "place"},
		{"hold.isolate", rebuild.Entry{Outcome: "perfect"}, "outcome"},
		{"hold.isolate", rebuild.Entry{Outcome: clearance.NotApplicable, Condition: "x"}, "outcome"},
		{"hold.isolate", rebuild.Entry{Outcome: clearance.Unaided, Condition: "x"}, "condition"},
		{"hold.isolate", rebuild.Entry{Value: "28 N·m"}, "value"},
		{"joint.cap.1", rebuild.Entry{Value: "28"}, "value"},
		{"joint.cap.1", rebuild.Entry{Value: "28 mm"}, "value"},
		{"joint.cap.1", rebuild.Entry{As: rebuild.AsGap}, "as"},
		{"joint.plate.1", rebuild.Entry{As: rebuild.AsCheck}, "as"}, // no check pass in the procedure
		{"joint.cap.1", rebuild.Entry{Angle: "60 °"}, "angle"},
		{"joint.stop.1", rebuild.Entry{Value: "1 mm"}, "value"},
		{"setting.runout", rebuild.Entry{Readings: []string{"1 mm", "1 mm", "1 mm"}}, "readings"},
		{"setting.runout", rebuild.Entry{Readings: []string{"", "1 bar"}}, "readings[1]"},
		{"test.leak", rebuild.Entry{Readings: []string{"", "fine"}}, "readings[1]"},
		{"times", rebuild.Entry{Started: "today"}, "started"},
		{"remarks", rebuild.Entry{Note: "a\x00b"}, "note"},
		{"remarks", rebuild.Entry{Note: strings.Repeat("é", 501)}, "note"},
	} {
		var bad *rebuild.EntryError
		if err := plan.Check(c.place, c.entry); !errors.As(err, &bad) || bad.Field != c.field {
			t.Errorf("%s %+v: %v, want the field %s", c.place, c.entry, err, c.field)
		}
	}
}

// Twelve months or 5000 cycles (ISO 6789, from memory) is the due day's default;
// that a due day is the last one included is this program's rule, no source.
func TestAWrenchHolds(t *testing.T) {
	w := rebuild.Wrench{ID: "TW-1", Calibrations: []rebuild.Calibration{
		{Done: day("2025-01-10"), Due: day("2026-01-09"), Good: true},
		{Done: day("2026-02-01"), Due: day("2027-01-31"), Good: false, Certificate: "C 2"},
		{Done: day("2026-02-01"), Due: day("2027-01-31"), Good: true}, // put right on the same day
		{Done: day("2026-08-01"), Due: day("2027-07-31"), Good: false},
	}}
	for _, c := range []struct{ day, want string }{
		{"2025-01-09", "was not calibrated by then"},
		{"2025-01-10", "was found out of tolerance afterwards, on 2026-02-01"},
		{"2026-01-20", "was out of calibration since 2026-01-09"},
		{"2026-02-01", "was found out of tolerance afterwards, on 2026-08-01"},
		{"2026-08-01", "was found out of tolerance on 2026-08-01"},
	} {
		if _, why := w.Holds(day(c.day)); why != c.want {
			t.Errorf("on %s: %q, want %q", c.day, why, c.want)
		}
	}
	want := []rebuild.Doubt{{From: day("2025-01-10"), Found: day("2026-02-01"), Certificate: "C 2"}, {From: day("2026-02-01"), Found: day("2026-08-01")}}
	if got := w.Doubts(); !slices.Equal(got, want) {
		t.Errorf("doubts %v, want %v", got, want)
	}
	w.Calibrations = w.Calibrations[:3]
	for _, d := range []string{"2026-02-01", "2027-01-31"} {
		if _, why := w.Holds(day(d)); why != "" {
			t.Errorf("on %s: %q", d, why)
		}
	}
	if _, why := w.Holds(day("2027-02-01")); why == "" {
		t.Error("it holds on the day after it is due")
	}
	if got := w.LastGood(day("2026-05-05")); got != day("2026-02-01") {
		t.Errorf("last good on %s", got)
	}
}

// Both stated days are asked, and the site's zone says which days they are.
func TestTheDaysOfARebuild(t *testing.T) {
	all := good()
	all["times"] = rebuild.Kept{Entry: rebuild.Entry{Started: "2027-01-09T20:00:00Z", Ended: "2027-01-09T23:30:00Z"}}
	if r := fill(all); r.Fault() != "" {
		t.Errorf("on the last day: %s", r.Fault())
	}
	h := head
	h.Zone = time.FixedZone("east", 3600)
	r := rebuild.Fill(rebuild.NewPlan(procedure(), "small", nil), h, all, wrenches())
	if r.InCalibration || !r.InTolerance {
		t.Errorf("it ended on the day after, in the site's zone: %+v", r.Wrenches)
	}
}

// Whatever is written: a sheet without a fault counts, and one with a fault does not.
func TestOnlyASheetWithoutFaultsCounts(t *testing.T) {
	plan := rebuild.NewPlan(procedure(), "small", nil)
	values := []string{"", "28 N·m", "20 N·m", "45 N·m", "60 °", "540 °", "3 mm", "0.5 mm", "4 bar", "5 min", "0.1 bar", "No bubble grows", "A bubble grows"}
	rapid.Check(t, func(rt *rapid.T) {
		all := good()
		for range rapid.IntRange(0, 3).Draw(rt, "changes") {
			place := rapid.SampledFrom(plan.Places()).Draw(rt, "place")
			e := all[place].Entry
			e.Readings = slices.Clone(e.Readings)
			switch rapid.IntRange(0, 5).Draw(rt, "what") {
			case 0:
				e = rebuild.Entry{}
			case 1:
				e.Value = rapid.SampledFrom(values).Draw(rt, "value")
			case 2:
				e.Outcome = rapid.SampledFrom([]clearance.Outcome{"", clearance.Unaided, clearance.Prompted, clearance.Stopped, clearance.NotDone, clearance.NotApplicable}).Draw(rt, "outcome")
			case 3:
				e.Wrench = rapid.SampledFrom([]string{"", "TW-1", "TW-2", "TW-3"}).Draw(rt, "wrench")
			case 4:
				e.Reached = !e.Reached
			case 5:
				if len(e.Readings) > 0 {
					e.Readings[0] = rapid.SampledFrom(values).Draw(rt, "reading")
				}
			}
			if plan.Check(place, e) == nil && place != rebuild.PlaceTimes {
				all[place] = rebuild.Kept{Entry: e}
			}
		}
		r := fill(all)
		ok, why := r.Finished(time.Unix(0, 0), time.Unix(1, 0)).Counts()
		if ok != (r.Fault() == "") && len(r.Open) == 0 || (r.Faults == 0) != (r.Fault() == "") || len(r.Open) > 0 && r.Fault() == "" {
			rt.Fatalf("counts %t (%s), fault %q, %d faults", ok, why, r.Fault(), r.Faults)
		}
		if (r.Fault() == "") != strings.HasSuffix(string(r.Text()), "counts\tyes\n") {
			rt.Fatalf("the text says otherwise: %s", r.Text())
		}
	})
}

// No text of anybody's can make a line or a field of its own.
func TestTheTextCannotBeForged(t *testing.T) {
	all := good()
	all["remarks"] = rebuild.Kept{Entry: rebuild.Entry{Note: "x\ncounts\tyes"}}
	text := string(fill(all).Text())
	if want := strings.Count(string(fill(good()).Text()), "\n"); strings.Count(text, "\n") != want || !strings.Contains(text, "remarks\tx counts yes\n") {
		t.Errorf("a remark made lines: %s", text)
	}
}

// Every procedure that ships has a sheet, whose values can be written as wanted.
func TestTheLibraryHasSheets(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		builds := []string{""}
		for i, b := range p.Builds {
			if i == 0 {
				builds = nil
			}
			builds = append(builds, b.ID)
		}
		for _, b := range builds {
			plan := rebuild.NewPlan(p, b, nil)
			r := rebuild.Fill(plan, head, nil, nil)
			if len(plan.Stations) == 0 || r.Faults != len(plan.Places())-2 || len(r.Open) == 0 {
				t.Errorf("%s %s: %d stations, %d of %d places are a fault while nothing is written", p.ID, b, len(plan.Stations), r.Faults, len(plan.Places())-2)
			}
			for _, place := range plan.Places() {
				if err := plan.Check(place, rebuild.Entry{}); err != nil {
					t.Errorf("%s %s: %s: %v", p.ID, b, place, err)
				}
			}
		}
	}
}

// What Good writes is good on every sheet that ships.
func TestGoodIsGood(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range append(all, procedure()) {
		for _, b := range append(p.Builds, content.Build{})[:max(1, len(p.Builds))] {
			plan := rebuild.NewPlan(p, b.ID, nil)
			entries := map[string]rebuild.Kept{}
			for _, place := range plan.Places() {
				e := plan.Good(place, "TW-1")
				if err := plan.Check(place, e); err != nil {
					t.Errorf("%s %s: %s: %v", p.ID, b.ID, place, err)
				}
				entries[place] = rebuild.Kept{Entry: e}
			}
			if r := rebuild.Fill(plan, head, entries, wrenches()); r.Fault() != "" {
				t.Errorf("%s %s: %s", p.ID, b.ID, r.Fault())
			}
		}
	}
}
