package web

import (
	"fmt"
	"html/template"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"soloright/api"
	"soloright/quiz"
	"soloright/web/drawing"
)

// Control is the interaction of a sheet as plain form controls, with the figure
// that scripts let one answer on. The controls are the answer; the figure only
// sets them.
type Control struct {
	quiz.Sheet
	Answer  quiz.Answer
	Fixed   bool   // the answer stands: controls are shown disabled
	Prefix  string // of the ids of controls, where a page has several
	Figure  template.HTML
	Options []ControlOption
	Rows    []ControlRow
}

// ControlOption is an option with its place, tick and drawing.
type ControlOption struct {
	quiz.Option
	Chosen bool
	Place  int // order, sequence: 1..; 0 not placed
	Places []int
	Drawn  template.HTML
}

// ControlRow is a row of a match with the bin that was chosen.
type ControlRow struct {
	quiz.Option
	Bin   string
	Drawn template.HTML
}

func newControl(s quiz.Sheet, a quiz.Answer, fixed bool) Control {
	in := s.Interaction
	ctl := Control{Sheet: s, Answer: a, Fixed: fixed, Figure: drawing.Figure(s, a)}
	places := make([]int, len(in.Options))
	for i := range places {
		places[i] = i + 1
	}
	for _, o := range in.Options {
		co := ControlOption{Option: o, Chosen: slices.Contains(a.Options, o.ID), Places: places, Drawn: drawing.Option(s, o)}
		if in.Kind == quiz.Order || in.Kind == quiz.Sequence {
			co.Place = slices.Index(a.Options, o.ID) + 1
		}
		ctl.Options = append(ctl.Options, co)
	}
	for _, r := range in.Rows {
		ctl.Rows = append(ctl.Rows, ControlRow{Option: r, Bin: a.Rows[r.ID], Drawn: drawing.Option(s, r)})
	}
	return ctl
}

// Is reports whether the interaction is of the kind.
func (c Control) Is(kind string) bool { return string(c.Interaction.Kind) == kind }

// Facing reports whether the options are drawings of one part in its surrounding.
func (c Control) Facing() bool { return c.Sheet.Figure != nil && c.Sheet.Figure.Facing != nil }

// answerOf reads the answer out of posted controls. For orders two options at
// one place are Invalid: nothing of such an answer could be kept.
func answerOf(in quiz.Interaction, form url.Values) (quiz.Answer, error) {
	var a quiz.Answer
	switch in.Kind {
	case quiz.Match:
		for _, r := range in.Rows {
			if bin := form.Get("row." + r.ID); bin != "" {
				if a.Rows == nil {
					a.Rows = map[string]string{}
				}
				a.Rows[r.ID] = bin
			}
		}
	case quiz.Order, quiz.Sequence:
		return placed(in, form)
	case quiz.Numeric:
		a.Number = strings.TrimSpace(form.Get("number"))
		if other := form["option"]; len(other) > 0 {
			a.Options = other
		}
	default:
		a.Options = form["option"]
	}
	return a, nil
}

// placed orders the options by the places chosen for them.
func placed(in quiz.Interaction, form url.Values) (quiz.Answer, error) {
	at := map[int]string{}
	var a quiz.Answer
	for _, o := range in.Options {
		text := form.Get("place." + o.ID)
		if text == "" {
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > len(in.Options) {
			return a, unreadable(fmt.Sprintf("“%s” is no place from 1 to %d.", text, len(in.Options)))
		}
		if at[n] != "" {
			return a, unreadable(fmt.Sprintf("Place %d is given twice. Each place is for one only.", n))
		}
		at[n] = o.ID
	}
	for n := 1; n <= len(in.Options); n++ {
		if at[n] != "" {
			a.Options = append(a.Options, at[n])
		}
	}
	return a, nil
}

func unreadable(message string) error {
	return &api.Error{Kind: api.Invalid, Message: message, Fields: []api.FieldError{{Field: "answer.options", Message: message}}}
}
