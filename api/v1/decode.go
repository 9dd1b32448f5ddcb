package v1

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"reflect"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// decode reads the body into a command: one JSON object, application/json, that
// fits the command's schema. encoding/json alone would take fields in other
// letters, fields given twice, null, and an object with half its fields missing;
// an answer that is missing would then wipe out the one that is kept.
func decode(c *gin.Context, into any) error {
	if c.ContentType() != "application/json" {
		return &api.Error{Kind: edge.BadType, Message: "Send the body as application/json."}
	}
	raw, err := whole(c.Request.Body)
	if err != nil {
		return err
	}
	fields, err := misfits(reflect.TypeOf(into).Elem(), raw, "")
	if err != nil {
		return &api.Error{Kind: api.Malformed, Message: "The body is not one JSON object: " + err.Error() + ".", Err: err}
	}
	if len(fields) == 0 {
		fields = wrongDates(reflect.TypeOf(into).Elem(), raw)
	}
	if len(fields) == 0 {
		fields, err = wrongType(json.Unmarshal(raw, into))
	}
	if err != nil || len(fields) == 0 {
		return err
	}
	return &api.Error{Kind: api.Invalid, Message: "Something in the body is not right: " + fields[0].Field + " " + fields[0].Message + ".", Fields: fields}
}

// whole reads a body to its end. One that breaks off is the client's affair.
func whole(body io.Reader) ([]byte, error) {
	raw, err := io.ReadAll(body)
	var big *http.MaxBytesError
	if err == nil || errors.As(err, &big) {
		return raw, err
	}
	return nil, &api.Error{Kind: api.Malformed, Message: "The body broke off.", Err: err}
}

// misfits compares the names in an object with the fields of a struct: unknown
// ones, ones given twice or as null, and missing ones. Names compare letter for
// letter. The error says that raw is not one JSON object.
func misfits(ty reflect.Type, raw []byte, within string) ([]api.FieldError, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	if t, err := d.Token(); err != nil {
		return nil, plainly(err)
	} else if t != json.Delim('{') {
		return nil, errors.New("it does not begin with a brace")
	}
	known, given := fieldsOf(ty), map[string]bool{}
	var wrong []api.FieldError
	say := func(name, message string) {
		wrong = append(wrong, api.FieldError{Field: within + name, Message: message})
	}
	for d.More() {
		name, value, err := member(d)
		if err != nil {
			return nil, plainly(err)
		}
		f, ok := known[name]
		switch {
		case !ok:
			say(name, "is not known here")
		case given[name]:
			say(name, "is given twice")
		case string(value) == "null":
			say(name, "must not be null; leave it out")
		case f.Type.Kind() == reflect.Struct && value[0] == '{':
			inside, err := misfits(f.Type, value, within+name+".")
			if err != nil {
				return nil, err
			}
			wrong = append(wrong, inside...)
		}
		given[name] = true
	}
	if err := ended(d); err != nil {
		return nil, plainly(err)
	}
	for i := range ty.NumField() { // in the order of the document
		if name, optional := jsonName(ty.Field(i)); name != "" && !optional && !given[name] {
			say(name, "is missing")
		}
	}
	return wrong, nil
}

// member reads one name and its value.
func member(d *json.Decoder) (string, json.RawMessage, error) {
	t, err := d.Token()
	if err != nil {
		return "", nil, err
	}
	name, _ := t.(string) // the names of an object are strings
	var value json.RawMessage
	err = d.Decode(&value)
	return name, value, err
}

// ended reads the closing brace, after which nothing may follow.
func ended(d *json.Decoder) error {
	if _, err := d.Token(); err != nil {
		return err
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows it")
	}
	return nil
}

func plainly(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("it ends too early")
	}
	return err
}

func fieldsOf(ty reflect.Type) map[string]reflect.StructField {
	out := map[string]reflect.StructField{}
	for i := range ty.NumField() {
		if name, _ := jsonName(ty.Field(i)); name != "" {
			out[name] = ty.Field(i)
		}
	}
	return out
}

// jsonName is the name of a field in JSON, "" where it has none, and whether it
// may be left out.
func jsonName(f reflect.StructField) (name string, optional bool) {
	name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
	if name == "-" {
		name = ""
	}
	return name, strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero")
}

// wrongDates names the fields for a day that hold none.
func wrongDates(ty reflect.Type, raw []byte) []api.FieldError {
	var given map[string]json.RawMessage
	if json.Unmarshal(raw, &given) != nil {
		return nil
	}
	var wrong []api.FieldError
	for i := range ty.NumField() {
		name, _ := jsonName(ty.Field(i))
		if ty.Field(i).Type != reflect.TypeFor[content.Date]() || given[name] == nil {
			continue
		}
		var d content.Date
		if err := json.Unmarshal(given[name], &d); err != nil || d.IsZero() {
			wrong = append(wrong, api.FieldError{Field: name, Message: "must be a day, written as 2026-03-02"})
		}
	}
	return wrong
}

// wrongType names the field whose value is of another type than its own.
func wrongType(err error) ([]api.FieldError, error) {
	var kind *json.UnmarshalTypeError
	if !errors.As(err, &kind) {
		return nil, err
	}
	return []api.FieldError{{Field: kind.Field, Message: "must be " + typeWords(kind.Type)}}, nil
}

// typeWords says in plain words what JSON a type is written as.
func typeWords(ty reflect.Type) string {
	switch ty.Kind() {
	case reflect.String:
		return "a text"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "an object"
	}
	return "a whole number"
}
