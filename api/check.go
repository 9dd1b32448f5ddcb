package api

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/go-playground/validator/v10"
)

// validate checks the tags of command types; field names are the JSON ones.
var validate = newValidator()

func newValidator() *validator.Validate {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || name == "" {
			return f.Name
		}
		return name
	})
	return v
}

// check refuses a command with wrong fields, naming every one. Text with a NUL,
// or that is not UTF-8, is refused too: PostgreSQL cannot keep it.
func check(cmd any) error {
	fields := unkeepable(reflect.ValueOf(cmd))
	var wrong validator.ValidationErrors
	if err := validate.Struct(cmd); errors.As(err, &wrong) {
		for _, f := range wrong {
			_, name, _ := strings.Cut(f.Namespace(), ".")
			fields = append(fields, FieldError{Field: name, Message: ruleWords(f)})
		}
	} else if err != nil {
		return fmt.Errorf("check command: %w", err)
	}
	if len(fields) == 0 {
		return nil
	}
	return &Error{Kind: Invalid, Message: "Something in the request is not right: " + fields[0].Field + " " + fields[0].Message + ".", Fields: fields}
}

// ruleWords says in plain words what a tag asks for.
func ruleWords(f validator.FieldError) string {
	switch f.Tag() {
	case "required":
		return "is missing"
	case "oneof":
		return "must be one of: " + strings.ReplaceAll(f.Param(), "' '", "', '")
	case "len":
		return "must have " + f.Param() + " characters"
	case "hexadecimal":
		return "must be hexadecimal digits"
	case "min":
		if f.Kind() == reflect.String {
			return "must have at least " + f.Param() + " characters"
		}
		return "must be at least " + f.Param()
	case "gt":
		return "must be above " + f.Param()
	case "lt":
		return "must be below " + f.Param()
	case "max":
		if f.Kind() == reflect.String {
			return "must have at most " + f.Param() + " characters"
		}
		return "must be at most " + f.Param()
	}
	return "does not meet the rule " + f.Tag()
}

// unkeepable names the texts of a command that a database cannot keep.
func unkeepable(v reflect.Value) []FieldError {
	var out []FieldError
	for i := range v.NumField() {
		f := reflect.Indirect(v.Field(i)) // of a nil pointer: no value, of no kind
		if f.Kind() != reflect.String || utf8.ValidString(f.String()) && !strings.ContainsRune(f.String(), 0) {
			continue
		}
		name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		out = append(out, FieldError{Field: name, Message: "holds a character that cannot be kept"})
	}
	return out
}
