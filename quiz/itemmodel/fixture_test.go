package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/torque"
)

// procedures returns every procedure that the laws are held on: those of the
// library, and two small ones with the cases that are easy to get wrong.
func procedures(t testing.TB) []*content.Procedure {
	t.Helper()
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	return append(all, bench(), machine(t))
}

func no(texts ...string) []content.Wrong {
	out := make([]content.Wrong, len(texts))
	for i, s := range texts {
		out[i] = content.Wrong{Text: s, Because: "“" + s + "” is stated to be wrong."}
	}
	return out
}

// bench is a small invented procedure on which each model of the bench meets the
// cases that are easy to get wrong: identical layers, a reversible part, few
// wrong answers, a control that serves two hazards.
func bench() *content.Procedure {
	return &content.Procedure{
		ID: "bench", Title: "Rebuild of a bench cylinder", Equipment: "air cylinder", Revision: "A",
		Isolation: benchIsolation(), Energies: benchEnergies(), Openings: []content.Opening{
			{ID: "head", Title: "cylinder head", Do: "Ease the bolts at the far side half a turn first, standing clear of the split", Step: "open",
				Not: no("Take out the two nearest bolts first", "Ease all bolts fully before breaking the joint", "Drive a wedge into the joint")},
		},
		Tools: benchTools(), Parts: benchParts(), Stacks: benchStacks(), Hazards: benchHazards(), Steps: benchSteps(),
	}
}

func benchIsolation() *content.Isolation {
	return &content.Isolation{
		Prepare:  []content.Action{{ID: "notify", Text: "Tell the line that the cylinder stops"}, {ID: "permit", Text: "Take out the permit"}},
		Shutdown: content.Action{ID: "stop", Text: "Stop the cylinder by its normal stop"}, FirstOpening: content.Action{ID: "open", Text: "Break the head joint"},
		Restore: []content.Action{{ID: "look", Text: "Look over the work area"}, {ID: "clear", Text: "Send everybody clear"}, {ID: "unlock", Text: "Take off your own lock"},
			{ID: "tell", Text: "Tell the line that it starts again"}, {ID: "air-on", Text: "Open the air slowly"}},
		Step: "isolate",
	}
}

func benchEnergies() []content.Energy {
	return []content.Energy{
		{ID: "air", Kind: content.Pneumatic, Source: "compressed air", Isolate: "Close the air valve", Lock: "Hang your own lock", Relieve: "Open the bleed", Prove: "Read zero on the gauge and crack the fitting",
			NoProof: no("The gauge alone reads zero", "The hissing has stopped", "The valve handle stands crosswise"), Step: "isolate",
			Returns: &content.Return{How: "The valve can leak by", Do: "Leave the bleed open all through the work", Not: no("Close the bleed once it reads zero", "Look at the gauge again after the work")}},
		{ID: "load", Kind: content.Gravity, Source: "raised load", Isolate: "Lower the load onto the stand", Lock: "Hang your own lock", Relieve: "Let the sling go slack", Prove: "Try to move the load by hand",
			NoProof: no("The sling looks slack", "The hoist is switched off"), Step: "isolate"},
		{ID: "power", Kind: content.Electrical, Source: "control supply", Isolate: "Switch off the isolator", Lock: "Lock the isolator off", Relieve: "Wait five minutes", Prove: "Try the start button",
			NoProof: no("The lamp is out"), Step: "isolate"},
	}
}

func benchTools() []content.Tool {
	return []content.Tool{{ID: "hook", Name: "brass hook"}, {ID: "driver", Name: "screwdriver"}, {ID: "press", Name: "arbor press"}, {ID: "hammer", Name: "steel hammer"},
		{ID: "sleeve", Name: "fitting sleeve"}, {ID: "pick", Name: "steel pick"}, {ID: "pliers", Name: "ring pliers"}}
}

func benchParts() []content.Part {
	return []content.Part{
		{ID: "cup", Name: "cup seal", Shape: content.ShapeCupSeal, Quantity: 2, Disposition: content.AlwaysRenew, Critical: true, Step: "fit-seals",
			Surfaces: []content.Surface{{ID: "lip", Name: "outer lip", Treatment: content.Lubricate, Product: "silicone grease", Critical: true, Never: no("mineral grease", "anti-seize paste")}},
			Facing:   &content.Facing{Kind: content.Directional, Feature: "open side", Toward: "air chamber", Away: "centre", Wrong: "Air passes the rod.", Critical: true}},
		{ID: "ring", Name: "O-ring", Shape: content.ShapeORing, Quantity: 4, Disposition: content.AlwaysRenew,
			Surfaces: []content.Surface{{ID: "all", Name: "all round", Treatment: content.Lubricate, Product: "silicone grease"}},
			Facing:   &content.Facing{Kind: content.Reversible, Toward: "air chamber", Away: "centre", Critical: true}}, // only a directional one may be; still never dangerous
		{ID: "bush", Name: "bush", Shape: content.ShapeBush, Quantity: 2, Disposition: content.InspectRefit,
			Surfaces: []content.Surface{{ID: "bore", Name: "bore", Treatment: content.AsSupplied}},
			Facing:   &content.Facing{Kind: content.Directional, Feature: "chamfered end", Toward: "centre", Away: "air chamber"}},
		{ID: "gasket", Name: "gasket", Shape: content.ShapeGasket, Quantity: 1, Disposition: content.AlwaysRenew,
			Surfaces: []content.Surface{{ID: "faces", Name: "faces", Treatment: content.DryClean, Never: no("jointing compound", "silicone grease")}}},
		{ID: "head", Name: "cylinder head", Shape: content.ShapeCap, Quantity: 1, Disposition: content.RefitAsItIs, Critical: true,
			Facing: &content.Facing{Kind: content.AsPipework, Toward: "inlet side", Away: "outlet side"}},
		{ID: "bolt", Name: "head bolt", Shape: content.ShapeBolt, Quantity: 8, Disposition: content.RefitAsItIs,
			Surfaces: []content.Surface{{ID: "threads", Name: "threads", Treatment: content.AntiSeize, Product: "nickel anti-seize"}}},
		{ID: "rod", Name: "rod", Shape: content.ShapeRod, Quantity: 1, Disposition: content.InspectRefit,
			Surfaces: []content.Surface{{ID: "shank", Name: "shank", Treatment: content.Lubricate, Product: "silicone grease"}}},
		{ID: "retainer", Name: "retaining ring", Shape: content.ShapeRetainingRing, Quantity: 1, Disposition: content.AlwaysRenew},
	}
}

// benchStacks: in the second one the two rings look alike and carry different
// layers, so with one ring in it cannot be said which.
func benchStacks() []content.Stack {
	return []content.Stack{{ID: "twin", Title: "twin bore", In: "rod", From: "open end", Far: "shoulder", Step: "fit-seals", Layers: []content.Layer{
		{ID: "o1", Part: "ring"}, {ID: "o2", Part: "ring"}, {ID: "b", Part: "bush", On: []string{"o1"}}, {ID: "c", Part: "cup", On: []string{"o2"}, Critical: true},
		{ID: "k", Part: "bolt"}, {ID: "z", Part: "head", On: []string{"k"}}, {ID: "g", Part: "gasket", On: []string{"b", "c", "z"}}, {ID: "x", Part: "retainer", On: []string{"g"}},
	}}, {ID: "gland", Title: "rod gland", In: "bore", From: "air chamber", Far: "centre", Step: "fit-seals", Layers: []content.Layer{
		{ID: "r1", Part: "ring", Split: benchSplit()}, {ID: "b1", Part: "bush", On: []string{"r1"}}, {ID: "c1", Part: "cup", On: []string{"b1"}, Critical: true},
		{ID: "g1", Part: "gasket"}, {ID: "r2", Part: "ring", On: []string{"c1", "g1"}}, {ID: "b2", Part: "bush", On: []string{"r2"}}, {ID: "x", Part: "retainer", On: []string{"b2"}},
	}}}
}

func benchSplit() *content.Split {
	at := func(s string) torque.Quantity {
		q, err := torque.Parse(s)
		if err != nil {
			panic(err)
		}
		return q
	}
	s := &content.Split{Angle: at("120 °"), From: "bleed port"}
	for _, a := range []string{"300 °", "0 °", "90 °", "480 °"} {
		s.Not = append(s.Not, content.WrongAngle{Angle: at(a), Because: "At " + a + " it lies over a port."})
	}
	return s
}

func benchHazards() []content.Hazard {
	c := func(id, text string) content.Cause { return content.Cause{ID: id, Text: text} }
	return []content.Hazard{
		{ID: "jet", Hazard: "Jet of air from a joint", Controls: []content.Cause{c("bleed", "Bleed to zero and prove it"), c("clear", "Stand clear of the split")}, Not: no("Wear gloves", "Work fast"), Critical: true, Step: "isolate"},
		{ID: "spring", Hazard: "Ring that flies off", Controls: []content.Cause{c("glasses", "Wear safety glasses")}, Not: no("Look away", "Hold a rag over your hand"), Step: "strip-seals"},
		{ID: "splash", Hazard: "Splash of cleaning fluid", Controls: []content.Cause{c("glasses", "Wear safety glasses"), c("apron", "Wear the apron")}, Not: no("Dilute the fluid"), Step: "clean"},
		{ID: "pinch", Hazard: "Fingers under the head", Controls: []content.Cause{c("stand", "Rest the head on the stand")}, Not: no("Have a mate hold it", "Lift it quickly"), Step: "open"},
		{ID: "slip", Hazard: "Oil on the floor", Controls: []content.Cause{c("tray", "Put a tray under it")}, Not: no("Walk round it", "Put down newspaper"), Step: "open"},
	}
}

func benchSteps() []content.Step {
	return []content.Step{
		{ID: "isolate", Phase: content.PhaseIsolate, Text: "Isolate the cylinder", Hold: &content.Hold{Look: "every lock and the open bleed", Critical: true}},
		{ID: "open", Phase: content.PhaseStrip, Text: "Lift off the head", After: []string{"isolate"}, Critical: true, Parts: []string{"head", "bolt"}},
		{ID: "strip-seals", Phase: content.PhaseStrip, Text: "Draw the seals out of the gland", After: []string{"open"}, Tools: []string{"hook"}, ToolsToo: []string{"pick"},
			ToolsNot: []content.NoTool{{Tool: "driver", Because: "It scores the bore."}, {Tool: "hammer", Because: "It bruises the gland."}}},
		{ID: "draw-rod", Phase: content.PhaseStrip, Text: "Draw the rod", After: []string{"open"}, Hold: &content.Hold{Look: "the shank of the rod"}},
		{ID: "look-rod", Phase: content.PhaseInspect, Text: "Look the rod over", After: []string{"draw-rod"}, Hold: &content.Hold{Look: "the shank of the rod"}},
		{ID: "clean", Phase: content.PhaseClean, Text: "Clean the gland", After: []string{"strip-seals"}},
		{ID: "fit-seals", Phase: content.PhaseAssemble, Text: "Fit the seals into the gland", After: []string{"clean"}, Stack: "gland", Parts: []string{"cup", "ring", "bush", "gasket", "retainer"}, Greases: []string{"cup/lip", "ring/all"},
			Tools: []string{"press", "sleeve"}, ToolsNot: []content.NoTool{{Tool: "hammer", Because: "It cracks the bush."}}, Hold: &content.Hold{Look: "the way round of the cup seals", Critical: true}},
		{ID: "fit-rod", Phase: content.PhaseAssemble, Text: "Pass the rod through the gland", After: []string{"fit-seals", "look-rod"}, Greases: []string{"rod/shank"}, Parts: []string{"rod"}},
		{ID: "close", Phase: content.PhaseAssemble, Text: "Put the head on", After: []string{"fit-rod"}, Hold: &content.Hold{Look: "the head before it is bolted", Unless: "the gland was not opened"}},
		{ID: "tighten", Phase: content.PhaseAssemble, Text: "Tighten the head bolts", After: []string{"close"}, Critical: true},
		{ID: "test", Phase: content.PhaseTest, Text: "Put air on and look for leaks", After: []string{"tighten"}},
	}
}
