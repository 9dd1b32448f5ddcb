package content

import (
	"reflect"
	"slices"
	"strings"

	"soloright/content/bolting"
	"soloright/content/torque"
)

// Allowed returns the words that a key may take, in the order in which they are
// listed to people; nil where it is not bound to a list.
func Allowed(k Key) []string {
	t := k.Type
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if ws, ok := wordsOfKey[k.ID()]; ok {
		return ws
	}
	return wordsOfType[t]
}

// Wanted says in a few words what a key takes, to follow "give".
func Wanted(k Key) string {
	if ws := Allowed(k); ws != nil {
		return "one of: " + strings.Join(ws, ", ")
	}
	t := k.Type
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t {
	case reflect.TypeFor[torque.Quantity]():
		return "a number with its unit, as in 13.6 N·m"
	case reflect.TypeFor[torque.Tolerance]():
		return "a tolerance, as in ±4 % or ±0.5 N·m"
	case reflect.TypeFor[Date]():
		return "a day, as in 2026-03-02"
	}
	if k.Name == "id" {
		return "an id of lower-case letters, digits and hyphens"
	}
	switch t.Kind() {
	case reflect.Slice:
		return "a list with at least one entry"
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Struct:
		return "its keys below it: " + strings.Join(required(t), ", ")
	}
	return "a text"
}

// required names the keys that a struct must have; where it must have none, all.
func required(t reflect.Type) []string {
	var must, all []string
	for _, k := range Keys(t) {
		all = append(all, k.Name)
		if k.Required {
			must = append(must, k.Name)
		}
	}
	if must == nil {
		return all
	}
	return must
}

var wordsOfType = map[reflect.Type][]string{
	reflect.TypeFor[EnergyKind]():  texts(Pneumatic, Process, Electrical, Mechanical, Gravity, Thermal, Chemical),
	reflect.TypeFor[Shape]():       shapes(),
	reflect.TypeFor[Disposition](): texts(AlwaysRenew, InspectRefit, RefitAsItIs),
	reflect.TypeFor[Treatment]():   texts(DryClean, Lubricate, AntiSeize, ThreadLock, AsSupplied),
	reflect.TypeFor[FacingKind]():  texts(Directional, Reversible, AsPipework),
	reflect.TypeFor[TightenBy]():   texts(ByTorque, ByTorqueAngle, ByTurns, ByGap, ToStop),
	reflect.TypeFor[WorkOut]():     texts(HalfRange, Range, Difference, Sum, Mean, Direct),
	reflect.TypeFor[Verdict]():     texts(VerdictRefit, VerdictDress, VerdictRenew),
	reflect.TypeFor[Phase]():       texts(Phases...),
	reflect.TypeFor[Topic]():       texts(Topics...),
}

// wordsOfKey lists the words of keys whose Go type does not say them.
var wordsOfKey = map[string][]string{
	"Stack.in":           {"bore", "rod"},
	"Align.hand":         {"right", "left"},
	"Inspection.outside": texts(VerdictDress, VerdictRenew),
	"Pattern.shape":      texts(bolting.Circle, bolting.Rectangle, bolting.Oblong, bolting.Free),
	"Rule.kind":          texts(bolting.Cross, bolting.Circular, bolting.Pinned),
	"Rule.means":         {bolting.OrderOfPlaces, bolting.Stamped},
}

func texts[T ~string](words ...T) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return out
}

// shapes lists the drawn shapes by name, "other" last.
func shapes() []string {
	var out []string
	for s := range Shapes {
		if s != ShapeOther {
			out = append(out, string(s))
		}
	}
	slices.Sort(out)
	return append(out, string(ShapeOther))
}
