// Package procfile reads procedure files and blueprint files: YAML, strictly.
//
// A file holds one YAML document whose keys are the json tags of the types of
// package content; FORMAT.md in package library describes it for people, and
// [Schema] for editors. A key is required unless its tag says omitempty.
//
// A syntax error stops the reading and is reported alone. Everything after it is
// reported at once, in the order of the lines: keys that are not known or stand
// twice, values of the wrong kind, quantities and dates that do not read,
// anchors, aliases, merge keys and tags, and all that [content.Validate] finds.
// Nothing is half-read: where there is one error there is no procedure.
package procfile

import (
	"soloright/content"
)

// Read reads a procedure and checks it. The name stands in front of each error.
// Where the file has errors, the error is an [*Errors] with all of them.
func Read(name string, data []byte) (*content.Procedure, error) {
	return read(name, data, content.Validate)
}

// Stored reads a procedure that was checked when it was put on record: its form
// must read, its content is not judged again. So what was once accepted can be
// read for ever, even when later versions check more.
func Stored(name string, data []byte) (*content.Procedure, error) {
	return read(name, data, func(*content.Procedure) []content.Problem { return nil })
}

// StoredBlueprint reads a blueprint that was checked when it was put on record,
// as [Stored] reads a procedure.
func StoredBlueprint(name string, data []byte) (*content.Blueprint, error) {
	return read(name, data, func(*content.Blueprint) []content.Problem { return nil })
}

// ReadBlueprint reads a blueprint and checks what it says by itself. Whether it
// fits a procedure is for [ReadBlueprintFor] or [content.ValidateBlueprint].
func ReadBlueprint(name string, data []byte) (*content.Blueprint, error) {
	return ReadBlueprintFor(name, data, nil)
}

// ReadBlueprintFor reads a blueprint and checks that it fits the procedure.
func ReadBlueprintFor(name string, data []byte, p *content.Procedure) (*content.Blueprint, error) {
	return read(name, data, func(b *content.Blueprint) []content.Problem { return content.ValidateBlueprint(b, p) })
}

func read[T any](name string, data []byte, validate func(*T) []content.Problem) (*T, error) {
	root, bad := parse(data)
	if bad != nil {
		bad.File = name
		return nil, &Errors{List: []Error{*bad}}
	}
	r := newReader(name)
	out := new(T)
	r.document(root, out)
	r.judge(validate(out))
	if len(r.errs) > 0 {
		return nil, r.sorted()
	}
	return out, nil
}
