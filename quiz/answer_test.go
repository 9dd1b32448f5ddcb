package quiz

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func letters(s string) []Option {
	var out []Option
	for _, id := range strings.Fields(s) {
		out = append(out, Option{ID: id})
	}
	return out
}

func TestCheckAnswer(t *testing.T) {
	choice := Interaction{Kind: Choice, Options: letters("a b c")}
	multiple := Interaction{Kind: Multiple, Options: letters("a b c")}
	order := Interaction{Kind: Order, Options: letters("a b c")}
	sequence := Interaction{Kind: Sequence, Options: letters("a b c d")}
	hotspot := Interaction{Kind: Hotspot, Options: letters("a b")}
	match := Interaction{Kind: Match, Rows: letters("a b"), Bins: letters("a b c")}
	numeric := Interaction{Kind: Numeric, Options: letters("a"), Unit: "N·m"}
	for _, c := range []struct {
		name  string
		in    Interaction
		a     Answer
		field string // "" where it can be read
	}{
		{"blank choice", choice, Answer{}, ""},
		{"one", choice, Answer{Options: []string{"b"}}, ""},
		{"unknown option", choice, Answer{Options: []string{"z"}}, "options"},
		{"two of a choice", choice, Answer{Options: []string{"a", "b"}}, "options"},
		{"number in a choice", choice, Answer{Number: "1"}, "number"},
		{"rows in a choice", choice, Answer{Rows: map[string]string{"a": "a"}}, "rows"},
		{"two of a hotspot", hotspot, Answer{Options: []string{"a", "b"}}, "options"},
		{"all ticked", multiple, Answer{Options: []string{"c", "a", "b"}}, ""},
		{"ticked twice", multiple, Answer{Options: []string{"a", "a"}}, "options"},
		{"placed in part", order, Answer{Options: []string{"c"}}, ""},
		{"placed in full", order, Answer{Options: []string{"c", "a", "b"}}, ""},
		{"placed twice", order, Answer{Options: []string{"c", "c"}}, "options"},
		{"too many", order, Answer{Options: []string{"c", "a", "b", "a"}}, "options"},
		{"the same fastener twice", sequence, Answer{Options: []string{"a", "c", "a"}}, "options"},
		{"part of a sequence", sequence, Answer{Options: []string{"a", "c"}}, ""},
		{"filled in part", match, Answer{Rows: map[string]string{"a": "c"}}, ""},
		{"unknown row", match, Answer{Rows: map[string]string{"c": "a"}}, "rows"},
		{"unknown bin", match, Answer{Rows: map[string]string{"a": "d"}}, "rows"},
		{"empty bin", match, Answer{Rows: map[string]string{"a": ""}}, "rows"},
		{"ticks in a match", match, Answer{Options: []string{"a"}}, "options"},
		{"decimal comma", numeric, Answer{Number: "13,6"}, ""},
		{"with the unit", numeric, Answer{Number: "13.6 N·m"}, ""},
		{"wrong unit can be read", numeric, Answer{Number: "13.6 lbf·in"}, ""},
		{"no number", numeric, Answer{Number: "about ten"}, "number"},
		{"the option", numeric, Answer{Options: []string{"a"}}, ""},
		{"the option and a number", numeric, Answer{Options: []string{"a"}, Number: "3"}, "number"},
		{"unknown option beside the box", numeric, Answer{Options: []string{"b"}}, "options"},
		{"spaces are blank", numeric, Answer{Number: "  "}, ""},
		{"too long", numeric, Answer{Number: strings.Repeat("1", MaxNumber+1)}, "number"},
		{"spaces too long", numeric, Answer{Number: strings.Repeat(" ", 5000)}, "number"},
		{"no text", numeric, Answer{Number: "1\xff"}, "number"},
		{"unknown interaction", Interaction{Kind: "essay"}, Answer{}, "options"},
	} {
		err := CheckAnswer(c.in, c.a)
		var ae *AnswerError
		switch {
		case c.field == "" && err != nil:
			t.Errorf("%s: refused: %v", c.name, err)
		case c.field != "" && (!errors.As(err, &ae) || ae.Field != c.field || ae.Message == ""):
			t.Errorf("%s: got %v, want an error on %s", c.name, err, c.field)
		}
	}
}

func TestCanonical(t *testing.T) {
	for _, c := range []struct {
		a    Answer
		want string
	}{
		{Answer{}, `{}`},
		{Answer{Options: []string{}, Rows: map[string]string{}, Number: " "}, `{}`},
		{Answer{Options: []string{"c", "a"}}, `{"options":["c","a"]}`},
		{Answer{Rows: map[string]string{"b": "a", "a": "b"}}, `{"rows":{"a":"b","b":"a"}}`},
		{Answer{Number: "13,6"}, `{"number":"13,6"}`},
	} {
		got := c.a.Canonical()
		if string(got) != c.want {
			t.Errorf("%+v: %s, want %s", c.a, got, c.want)
		}
		var back Answer
		if err := json.Unmarshal(got, &back); err != nil || string(back.Canonical()) != c.want {
			t.Errorf("%s does not read back: %+v, %v", got, back, err)
		}
	}
	if a, b := (Answer{Options: []string{"a", "c"}}), (Answer{Options: []string{"c", "a"}}); cmp.Equal(a.Canonical(), b.Canonical()) {
		t.Error("two orders with one encoding")
	}
}
