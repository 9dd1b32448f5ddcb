package clearance

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"time"
)

// Event is one entry of the record. Its JSON form is
//
//	{"seq":17,"at":"2026-03-02T08:15:00Z","by":"p4","kind":"suspended","data":{…}}
//
// with the act as data. It holds ids and no names.
type Event struct {
	Seq int64     // place in the record, growing
	At  time.Time // when it was recorded, by the server's clock
	By  string    // who did it; "" for whoever runs the program
	Act Act
}

// Act is what happened: one of the struct types of this package, by value.
type Act interface {
	Kind() Kind
	check() error
}

// Kind names a type of act in the record.
type Kind string

// acts is the closed list of acts, each by an empty value.
var acts = []Act{
	AccountAdded{}, RoleSet{}, PersonLeft{}, PersonBack{},
	RevisionAdopted{}, ProcedureWithdrawn{}, PolicySet{},
	SittingMarked{}, SittingRemarked{}, SittingVoided{}, DeltaMarked{}, RemovedRead{}, ChangedRead{},
	RebuildFinished{}, RebuildVoided{}, Signed{},
	TrainingGiven{}, AssessorAppointed{}, AppointmentEnded{}, ExceptionGranted{},
	Suspended{}, Reinstated{}, Withdrawn{},
}

// EmptyActs lists an empty act of each kind: for whoever has to know them all.
func EmptyActs() []Act { return slices.Clone(acts) }

// Kinds lists every kind of act.
func Kinds() []Kind {
	out := make([]Kind, len(acts))
	for i, a := range acts {
		out[i] = a.Kind()
	}
	return out
}

var typeOf = func() map[Kind]reflect.Type {
	out := map[Kind]reflect.Type{}
	for _, a := range acts {
		out[a.Kind()] = reflect.TypeOf(a)
	}
	return out
}()

// Encode returns the kind and the JSON data of an act. Its error says what the
// act lacks. Equal acts give equal bytes.
func Encode(a Act) (Kind, []byte, error) {
	if err := a.check(); err != nil {
		return "", nil, fmt.Errorf("encode %q: %w", a.Kind(), err)
	}
	data, err := json.Marshal(a)
	if err != nil {
		return "", nil, fmt.Errorf("encode %q: %w", a.Kind(), err)
	}
	return a.Kind(), data, nil
}

// Decode reads what [Encode] wrote, but for the order of fields and white space,
// which a database may change. An unknown kind, an unknown field, one that is
// spelled otherwise or stands twice, text after the data and an act that lacks
// something are errors.
func Decode(k Kind, data []byte) (Act, error) {
	t, ok := typeOf[k]
	if !ok {
		return nil, fmt.Errorf("decode an event: there is no kind %q", k)
	}
	if a, ok := asWritten(t, data); ok {
		return a, nil
	}
	into := reflect.New(t)
	if err := strict(data, into.Interface()); err != nil {
		return nil, fmt.Errorf("decode %q: %w", k, err)
	}
	a := into.Elem().Interface().(Act)
	_, again, err := Encode(a)
	if err != nil {
		return nil, fmt.Errorf("decode %q: %w", k, err)
	}
	if !bytes.Equal(data, again) && !alike(data, again) {
		return nil, fmt.Errorf("decode %q: a field is spelled otherwise, stands twice or is written in another way", k)
	}
	return a, nil
}

// asWritten reads what [Encode] wrote, byte for byte: then nothing in it is unknown
// or stands twice, and it need not be looked at more closely. False: look.
func asWritten(t reflect.Type, data []byte) (Act, bool) {
	into := reflect.New(t)
	if json.Unmarshal(data, into.Interface()) != nil {
		return nil, false
	}
	a := into.Elem().Interface().(Act)
	_, again, err := Encode(a)
	return a, err == nil && bytes.Equal(data, again)
}

// alike reports whether two JSON texts differ in nothing but the order of fields,
// white space and escapes.
func alike(a, b []byte) bool {
	var x, y any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	return reflect.DeepEqual(x, y) && tokens(a) == tokens(b)
}

// tokens counts the tokens of a JSON text; a field that stands twice makes more.
func tokens(text []byte) (n int) {
	d := json.NewDecoder(bytes.NewReader(text))
	for {
		if _, err := d.Token(); err != nil {
			return n
		}
		n++
	}
}

func strict(data []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more text after the data")
	}
	return nil
}

type envelope struct {
	Seq  int64           `json:"seq"`
	At   time.Time       `json:"at"`
	By   string          `json:"by"`
	Kind Kind            `json:"kind"`
	Data json.RawMessage `json:"data"`
}

// MarshalJSON writes the event in the form given at [Event].
func (e Event) MarshalJSON() ([]byte, error) {
	if e.Act == nil {
		return nil, errors.New("encode an event: it has no act")
	}
	k, data, err := Encode(e.Act)
	if err != nil {
		return nil, err
	}
	return json.Marshal(envelope{e.Seq, e.At, e.By, k, data})
}

// UnmarshalJSON reads what MarshalJSON writes, as strictly as [Decode].
func (e *Event) UnmarshalJSON(b []byte) error {
	var v envelope
	if err := strict(b, &v); err != nil {
		return fmt.Errorf("decode an event: %w", err)
	}
	a, err := Decode(v.Kind, v.Data)
	if err != nil {
		return err
	}
	*e = Event{v.Seq, v.At, v.By, a}
	return nil
}

// Check returns an error where the event cannot be recorded: it lacks something,
// states a time after its own, or somebody appoints himself.
func (e Event) Check() error {
	if e.Act == nil {
		return errors.New("the event has no act")
	}
	if e.At.IsZero() {
		return errors.New("the event has no time")
	}
	if err := e.Act.check(); err != nil {
		return err
	}
	switch a := e.Act.(type) {
	case SittingMarked:
		return notAfter("the hand-in", a.HandedIn, e.At)
	case DeltaMarked:
		return notAfter("the hand-in", a.HandedIn, e.At)
	case RebuildFinished:
		return notAfter("the end of the rebuild", a.Ended, e.At)
	case AssessorAppointed:
		if a.Assessor == e.By {
			return errors.New("nobody appoints himself or herself")
		}
	}
	return nil
}

func notAfter(what string, t, at time.Time) error {
	if t.After(at) {
		return fmt.Errorf("%s is stated after the time of its record", what)
	}
	return nil
}

// required takes names and values by turns and returns an error that names the
// first empty one.
func required(pairs ...string) error {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] == "" {
			return fmt.Errorf("%s is missing", pairs[i])
		}
	}
	return nil
}
