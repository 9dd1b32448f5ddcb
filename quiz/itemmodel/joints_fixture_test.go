package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/content/torque"
	"soloright/quiz"
)

// The fixture is a small invented machine with every kind of joint, setting,
// inspection, test, observation and fault; all numbers are made up.

func amount(t testing.TB, s string) *torque.Quantity {
	t.Helper()
	q, err := torque.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return &q
}

func tolerance(t testing.TB, s string) *torque.Tolerance {
	t.Helper()
	tol, err := torque.ParseTolerance(s)
	if err != nil {
		t.Fatal(err)
	}
	return &tol
}

func joints(t testing.TB) []content.Joint {
	return []content.Joint{
		{ID: "cap", Title: "Bearing cap", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 8}, Step: "close", Thread: "clean and dry",
			Tighten:   content.Tighten{By: content.ByTorque, Torque: amount(t, "13.6 N·m"), Tolerance: tolerance(t, "±10 %"), Critical: true},
			LoadSteps: []int{30, 60, 100}, Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Cross}},
			CheckPass: &content.CheckPass{Do: "Go once round the circle at full torque", Not: wrong("Repeat the crossing pattern", "Turn each bolt a quarter turn more", "Check only the first bolt")},
			Again:     &content.Again{When: "after the first heat cycle, cold", Not: wrong("never", "hot, while it runs", "at every start")}},
		{ID: "cover", Title: "End cover", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "rectangle", Count: 4, Points: []bolting.Point{{X: -40, Y: 25}, {X: 40, Y: 25}, {X: 40, Y: -25}, {X: -40, Y: -25}}}, Step: "close", Thread: "lightly oiled",
			Tighten:   content.Tighten{By: content.ByTorque, Torque: amount(t, "60 lbf·ft"), Tolerance: tolerance(t, "±3 lbf·ft")},
			LoadSteps: []int{25, 50, 75, 100}, Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Cross}},
			Lengths: []content.Length{{ID: "long", At: []int{1, 2}, Length: *amount(t, "60 mm")}, {ID: "short", At: []int{3, 4}, Length: *amount(t, "45 mm")}}},
		{ID: "nut", Title: "Spindle nut", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 1}, Step: "close",
			Tighten: content.Tighten{By: content.ByTorque, Torque: amount(t, "45 N·m")}, Align: &content.Align{Every: *amount(t, "60 °"), Hand: "left", MaxAngle: amount(t, "40 °"), Critical: true}},
		{ID: "plate", Title: "Drive plate", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 1}, Step: "close",
			Tighten: content.Tighten{By: content.ByTorque, Torque: amount(t, "90 N·m"), Tolerance: tolerance(t, "−5 % +10 %")}, Align: &content.Align{Every: *amount(t, "60 °"), Hand: "right", MaxTorque: amount(t, "120 N·m")}},
		{ID: "stud", Title: "Flange studs", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 6}, Step: "close",
			Tighten: content.Tighten{By: content.ByTorqueAngle, Torque: amount(t, "250 kgf·cm"), Tolerance: tolerance(t, "±5 %"), Angle: amount(t, "90 °")}},
		{ID: "clip", Title: "Clip", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 1}, Step: "close",
			Tighten: content.Tighten{By: content.ByGap, Gap: amount(t, "1.5 mm"), Tolerance: tolerance(t, "±0.2 mm")}},
		{ID: "stop", Title: "Collar", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 1}, Step: "close", Tighten: content.Tighten{By: content.ToStop}},
		{ID: "five", Title: "Five-bolt flange", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 5}, Step: "close", Tighten: content.Tighten{By: content.ToStop},
			Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Cross}}},
		{ID: "oblong", Title: "Oblong cover", Fastener: "bolt", Step: "close", Tighten: content.Tighten{By: content.ToStop}, Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Cross}},
			Pattern: bolting.Pattern{Shape: "oblong", Count: 6, Points: []bolting.Point{{X: -60, Y: 30}, {X: 0, Y: 30}, {X: 60, Y: 30}, {X: 60, Y: -30}, {X: 0, Y: -30}, {X: -60, Y: -30}}}},
		{ID: "stamped", Title: "Twelve-bolt flange", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 12}, Step: "close", Tighten: content.Tighten{By: content.ToStop},
			Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Pinned, Means: bolting.Stamped, Pinned: []int{1, 5, 9, 3, 7, 11, 2, 6, 10, 4, 8, 12}}}},
		{ID: "turn", Title: "Foot bolts", Fastener: "bolt", Pattern: bolting.Pattern{Shape: "circle", Count: 1}, Step: "close", Tighten: content.Tighten{By: content.ByTurns, Angle: amount(t, "120 °")}},
	}
}

// wrong makes stated wrong answers with a reason each.
func wrong(texts ...string) []content.Wrong {
	out := make([]content.Wrong, len(texts))
	for i, s := range texts {
		out[i] = content.Wrong{Text: s, Because: "Wrong, because: " + s + "."}
	}
	return out
}

func settings(t testing.TB) []content.Setting {
	clock := []string{"12 o'clock", "3 o'clock", "6 o'clock", "9 o'clock"}
	near, res := *amount(t, "0.03 mm"), *amount(t, "0.01 mm")
	return []content.Setting{
		{ID: "runout", Title: "Eccentricity of the shaft", Datum: "the bearing seats", WorkOut: content.HalfRange, Readings: clock, Near: near, Resolution: res, Limit: content.Limit{Max: amount(t, "0.05 mm")}, Critical: true, Step: "close"},
		{ID: "face", Title: "Face run-out", Datum: "the housing", WorkOut: content.Range, Readings: clock, Near: near, Resolution: res, Limit: content.Limit{Max: amount(t, "0.08 mm")}, Step: "close"},
		{ID: "length", Title: "Setting length", Datum: "the gland face", WorkOut: content.Difference, Readings: []string{"depth to the seat", "depth to the collar"}, Near: *amount(t, "52 mm"), Resolution: *amount(t, "0.1 mm"), Limit: content.Limit{Min: amount(t, "20.5 mm"), Max: amount(t, "21 mm")}, Step: "close"},
		{ID: "pack", Title: "Height of the pack", Datum: "the table", WorkOut: content.Sum, Readings: []string{"ring", "spacer", "plate"}, Near: *amount(t, "4 mm"), Resolution: *amount(t, "0.05 mm"), Limit: content.Limit{Min: amount(t, "11.8 mm"), Max: amount(t, "12.3 mm")}, Step: "close"},
		{ID: "gap", Title: "Mean gap", Datum: "the flange", WorkOut: content.Mean, Readings: clock, Near: *amount(t, "2 mm"), Resolution: *amount(t, "0.05 mm"), Limit: content.Limit{Min: amount(t, "1.8 mm")}, Step: "close"},
		{ID: "play", Title: "End play", Datum: "the thrust face", WorkOut: content.Direct, Readings: []string{"dial"}, Near: near, Resolution: res, Limit: content.Limit{Min: amount(t, "0.1 mm"), Max: amount(t, "0.25 mm")}, Step: "close"},
	}
}

func inspections(t testing.TB) []content.Inspection {
	return []content.Inspection{
		{ID: "rod", Part: "rod", Feature: "diameter at the seal", Limit: &content.Limit{Min: amount(t, "24.95 mm")}, Resolution: amount(t, "0.01 mm"), Outside: content.VerdictRenew, Critical: true, Step: "close",
			Clean: &content.Clean{With: []string{"white spirit", "a lint-free cloth"}, Not: wrong("emery cloth", "a wire brush", "acetone")}},
		{ID: "bore", Part: "housing", Feature: "seal bore", Step: "close", Cases: []content.Case{
			{ID: "polish", Seen: "A polished band", Verdict: content.VerdictRefit, Because: "That is wear-in."},
			{ID: "light", Seen: "Light scoring that a nail slides over", Verdict: content.VerdictDress, Because: "Crocus cloth takes it out."},
			{ID: "deep", Seen: "A score that catches a nail", Verdict: content.VerdictRenew, Because: "The seal would leak along it."},
			{ID: "crack", Seen: "A crack at the port", Verdict: content.VerdictRenew, Because: "It grows under pressure."}}},
	}
}

func tests(t testing.TB) []content.Test {
	return []content.Test{
		{ID: "leak", Title: "Leak test", Medium: "dry air", Pressure: *amount(t, "4 bar"), Hold: *amount(t, "5 min"), Look: "at the joints", Critical: true, Step: "close", Accept: []content.Criterion{
			{ID: "drop", What: "drop of pressure over the hold time", Limit: &content.Limit{Max: amount(t, "0.2 bar")}, Resolution: amount(t, "0.05 bar")},
			{ID: "bubbles", What: "soap solution at the joints", Pass: []string{"no bubbles", "foam that stands still"}, Fail: wrong("one bubble a minute", "a string of bubbles", "bubbles that come and go")}}},
		{ID: "run", Title: "Run", Medium: "water", Pressure: *amount(t, "2.5 bar"), Hold: *amount(t, "30 s"), Look: "at the pump", Step: "close", Accept: []content.Criterion{
			{ID: "rate", What: "strokes", Limit: &content.Limit{Min: amount(t, "50 pcs"), Max: amount(t, "60 pcs")}, Resolution: amount(t, "1 pcs")}}},
	}
}

func fixture(t testing.TB) *quiz.Source { return quiz.NewSource(machine(t), "") }

func machine(t testing.TB) *content.Procedure {
	t.Helper()
	return &content.Procedure{ID: "machine", Title: "Rebuild of a small machine", Joints: joints(t), Settings: settings(t), Inspections: inspections(t), Tests: tests(t),
		Parts: []content.Part{{ID: "bolt", Name: "bolt", Shape: content.ShapeBolt}, {ID: "rod", Name: "pump rod", Shape: content.ShapeRod}, {ID: "housing", Name: "housing", Shape: content.ShapeHousing}},
		Tools: []content.Tool{
			{ID: "w1", Name: "click torque wrench, lbf·in scale", Wrench: &content.Wrench{Min: *amount(t, "20 lbf·in"), Max: *amount(t, "200 lbf·in"), Graduation: *amount(t, "2 lbf·in"), Length: *amount(t, "230 mm")}},
			{ID: "w2", Name: "digital torque wrench", Wrench: &content.Wrench{Min: *amount(t, "5 lbf·ft"), Max: *amount(t, "75 lbf·ft"), Graduation: *amount(t, "0.1 lbf·ft"), Digital: true, Length: *amount(t, "390 mm")}},
			{ID: "w3", Name: "click torque wrench, N·m scale", Wrench: &content.Wrench{Min: *amount(t, "5 N·m"), Max: *amount(t, "60 N·m"), Graduation: *amount(t, "0.5 N·m"), Length: *amount(t, "340 mm")}},
			{ID: "crow", Name: "16 mm crowfoot adapter", Adapter: amount(t, "45 mm")}},
		Observations: []content.Observation{
			{ID: "frost", Seen: "Frost at the exhaust", Normal: true, Means: "expanding air cools", Not: wrong("a fault: the valve leaks", "a fault: the fluid is cold"), Step: "close"},
			{ID: "fluid", Seen: "Fluid in the exhaust", Means: "a diaphragm is ruptured", Not: wrong("condensate", "too much grease"), Critical: true, Step: "close"}},
		Faults: []content.Fault{{ID: "slow", Symptom: "The pump shifts slowly", Causes: []content.Cause{{ID: "cup", Text: "a rod cup seal fitted the wrong way round"}, {ID: "ice", Text: "ice in the exhaust"}}, Not: wrong("a worn foot bolt", "a new diaphragm", "too large a drain"), Step: "close"}},
		Steps:  []content.Step{{ID: "close", Phase: content.PhaseAssemble, Text: "Close the housing"}}}
}
