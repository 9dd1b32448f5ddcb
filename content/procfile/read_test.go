package procfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/procfile"
)

// Whatever the bytes, Read gives a sound procedure or the complete list of what
// is wrong, in the order of the lines, and the same list again.
func FuzzRead(f *testing.F) {
	f.Add([]byte(example(f)))
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		archive, err := txtar.ParseFile(file)
		if err != nil {
			f.Fatal(err)
		}
		for _, c := range archive.Files {
			f.Add(c.Data)
		}
	}
	for _, odd := range []string{"", "a", "~", "[]", "{}", "steps: [{}]", "? [a]\n: b\n", "id: \xff", "<<: *a", "---\n...\n---\n", "steps: &a [*a]", "{? : }"} {
		f.Add([]byte(odd))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := procfile.Read("f.yaml", data)
		if err == nil {
			if problems := content.Validate(p); len(problems) > 0 {
				t.Errorf("read and not sound: %v", problems)
			}
			return
		}
		sane(t, p, err)
		if _, again := procfile.Read("f.yaml", data); again == nil || again.Error() != err.Error() {
			t.Errorf("another answer to the same file:\n%v\n%v", err, again)
		}
	})
}

func sane(t *testing.T, p *content.Procedure, err error) {
	t.Helper()
	if p != nil {
		t.Error("a file with errors gave a procedure")
	}
	var all *procfile.Errors
	if !errors.As(err, &all) || len(all.List) == 0 {
		t.Fatalf("the error is %T: %v", err, err)
	}
	line := 1
	for _, e := range all.List {
		if e.File != "f.yaml" || e.Line < line || e.Column < 1 || e.Message == "" {
			t.Errorf("not a place in the file, or out of order: %+v", e)
		}
		line = e.Line
	}
}

// What was put on record reads for ever: Stored judges the form alone.
func TestStored(t *testing.T) {
	text := strings.Replace(example(t), "load_steps: [50, 100]", "load_steps: [100, 50]", 1)
	if _, err := procfile.Read("f.yaml", []byte(text)); err == nil {
		t.Error("Read takes load steps that fall")
	}
	p, err := procfile.Stored("f.yaml", []byte(text))
	if err != nil || len(p.Joints) != 2 {
		t.Errorf("Stored: %v", err)
	}
	if _, err := procfile.Stored("f.yaml", []byte(text+"odd: key\n")); err == nil {
		t.Error("Stored takes a key that is not known")
	}
}

// Two readings of one file are equal, and reading keeps what the file says.
func TestReadKeepsWhatIsWritten(t *testing.T) {
	p, err := procfile.Read("f.yaml", []byte(example(t)))
	if err != nil {
		t.Fatal(err)
	}
	for got, want := range map[string]string{
		p.Issued.String():                      "2026-03-02",
		p.Joints[0].Tighten.Torque.Text():      "13.6 N·m",
		p.Joints[0].Tighten.Tolerance.Text():   "±10 %",
		p.Settings[0].Near.Text():              "0.30 mm",
		p.Settings[0].Readings[0]:              "12 o'clock",
		p.Energies[0].Returns.Not[0].Text:      "Shut the bleed when it is silent",
		fmt.Sprint(p.Joints[0].Pattern.Points): "[{0 0} {60 0} {60 40} {0 40}]",
		fmt.Sprint(p.Joints[0].LoadSteps):      "[50 100]",
		fmt.Sprint(p.Joints[0].Lengths[1].At):  "[3 4]",
		fmt.Sprint(p.Observations[0].Normal):   "true",
		fmt.Sprint(p.Parts[1].Quantity):        "1",
		string(p.Parts[1].Facing.Kind):         "directional",
		fmt.Sprint(p.Joints[1].Align.MaxAngle): "<nil>",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestReadBlueprint(t *testing.T) {
	p, err := procfile.Read("f.yaml", []byte(example(t)))
	if err != nil {
		t.Fatal(err)
	}
	sound := "procedure: clamp-cylinder\nitems: 30\nminutes: 45\ncut: 80\ntopics:\n  - {topic: tightening, min: 0, max: 6}\nalways: [facing/rod-seal]\n"
	b, err := procfile.ReadBlueprintFor("b.yaml", []byte(sound), p)
	if err != nil || b.Items != 30 || b.Topics[0].Topic != content.TopicTightening || b.Always[0] != "facing/rod-seal" {
		t.Fatalf("%+v, %v", b, err)
	}
	spoilt := strings.NewReplacer("items: 30", "items: 50", "min: 0, ", "", "facing/rod-seal", "facing/rod-seel").Replace(sound)
	want := "b.yaml:2:8: items: a form of 50 items is not allowed; ask for 24 to 40\n" +
		"b.yaml:6:5: topics[0].min: is missing; add min: and give a whole number\n"
	if _, err = procfile.ReadBlueprint("b.yaml", []byte(spoilt)); err == nil || err.Error()+"\n" != want {
		t.Errorf("without the procedure:\n%v\nwant:\n%s", err, want)
	}
	if b, err := procfile.StoredBlueprint("b.yaml", []byte(strings.Replace(sound, "items: 30", "items: 50", 1))); err != nil || b.Items != 50 {
		t.Errorf("stored: %v", err)
	}
	want += "b.yaml:7:10: always[0]: the procedure states no fact \"facing/rod-seel\"; did you mean facing/rod-seal?\n"
	if _, err = procfile.ReadBlueprintFor("b.yaml", []byte(spoilt), p); err == nil || err.Error()+"\n" != want {
		t.Errorf("with the procedure:\n%v\nwant:\n%s", err, want)
	}
}

// A file made to be slow is refused in time that grows with its length only.
func TestHostileFiles(t *testing.T) {
	many := func(format string, n int) string {
		var s strings.Builder
		for i := range n {
			fmt.Fprintf(&s, format, i)
		}
		return s.String()
	}
	for name, c := range map[string]struct{ text, want string }{
		"deep":       {"steps: " + strings.Repeat("[", 5000), "max depth"},
		"many steps": {strings.Replace(example(t), "steps:\n", "steps:\n"+many("  - {id: s%d, phase: test, text: a, after: [leak-test]}\n", 20000), 1), "has 20009 entries"},
		"many keys":  {example(t) + many("k%d: 1\n", 20000), "k19999: this key is not known"},
		"long text":  {strings.Replace(example(t), "owner: ", "owner: "+strings.Repeat("very ", 500), 1), "is 2523 bytes long"},
		"long number": {strings.Replace(example(t), "pressure: 6 bar", "pressure: "+strings.Repeat("9", 100000)+" bar", 1),
			"tests[0].pressure"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := procfile.Read("f.yaml", []byte(c.text))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("want %q, got %.300v", c.want, err)
			}
		})
	}
}

// Bytes that are no text are shown at their place.
func TestNoText(t *testing.T) {
	for in, want := range map[string]string{
		"id: x\ntitle: caf\xe9\n":                 "f.yaml:2:11: this byte is no text; save the file as UTF-8",
		"id: x\ntitle: a\x00b\n":                  "f.yaml:2:9: the control character U+0000 is not allowed; delete it",
		"\xff\xfei\x00d\x00":                      "f.yaml:1:1: this byte is no text; save the file as UTF-8",
		"äöü: \x07":                               "f.yaml:1:6: the control character U+0007 is not allowed; delete it",
		"id: \"\\x00\"\ntitle: \"\\a\"\nsteps: 1": "",
	} {
		_, err := procfile.Read("f.yaml", []byte(in))
		if err == nil || (want != "" && err.Error() != want) {
			t.Errorf("%q: %v, want %s", in, err, want)
		}
	}
}

// The library's own procedures keep reading, each from its file on disk as well.
func TestLibraryFiles(t *testing.T) {
	files, err := filepath.Glob("../library/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no procedures: ", err)
	}
	if _, err := library.Procedures(); err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, ".blueprint.yaml") {
			continue
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		p, err := procfile.Read(filepath.Base(file), text)
		if err != nil {
			t.Error(err)
			continue
		}
		if n := len(content.Facts(p)); n < 40 {
			t.Errorf("%s states %d facts", p.ID, n)
		}
	}
}
