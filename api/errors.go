package api

import (
	"errors"
	"fmt"
)

// Kind is the kind of an error: what whoever asked can do about it. Faces map
// kinds to their own words in one table; an error without a kind is a defect.
type Kind string

// The kinds of error.
const (
	Unauthenticated Kind = "unauthenticated" // sign in, or sign in again
	Forbidden       Kind = "forbidden"       // signed in, but not in a role that may
	NotFound        Kind = "not-found"       // there is none, or it is somebody else's
	Malformed       Kind = "malformed"       // cannot be read at all
	Invalid         Kind = "invalid"         // read, but a field is wrong; Fields says which
	Conflict        Kind = "conflict"        // the state does not allow it; State says which it is
	TooMany         Kind = "too-many"        // wait a little, then again
	Unavailable     Kind = "unavailable"     // the database cannot be reached; nothing acknowledged is lost
)

// Error is an error with a kind. Message is one plain sentence for the person
// who asked; the wrapped error is for the log only.
type Error struct {
	Kind    Kind
	Message string
	Fields  []FieldError // for Invalid
	State   string       // for Conflict: the state that stood in the way
	Err     error
}

// FieldError says what is wrong with one field of a command.
type FieldError struct {
	Field   string `json:"field"` // as the JSON face names it: "answer.options[1]"
	Message string `json:"message"`
}

func (e *Error) Error() string {
	if e.Err != nil {
		return fmt.Sprintf("%s: %s: %v", e.Kind, e.Message, e.Err)
	}
	return fmt.Sprintf("%s: %s", e.Kind, e.Message)
}

func (e *Error) Unwrap() error { return e.Err }

// KindOf returns the kind of the first *Error in the chain, or "" where there is none.
func KindOf(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return ""
}

func notFound(what string) error {
	return &Error{Kind: NotFound, Message: "There is no such " + what + "."}
}

func invalid(field, message string) error {
	return &Error{Kind: Invalid, Message: message, Fields: []FieldError{{field, message}}}
}

func conflict(state, message string) error {
	return &Error{Kind: Conflict, State: state, Message: message}
}
