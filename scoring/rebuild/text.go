package rebuild

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
)

// Form is the first line of the text of a sheet.
const Form = "soloright rebuild sheet 1"

// Text returns the canonical text of the sheet, in the form that the package
// comment gives. Equal records give equal bytes.
func (r Record) Text() []byte {
	var b strings.Builder
	line := func(fields ...string) {
		for i, f := range fields {
			fields[i] = strings.Join(strings.Fields(f), " ")
		}
		b.WriteString(strings.Join(fields, "\t") + "\n")
	}
	extent := "whole"
	if r.Partial {
		extent = "partial"
	}
	line(Form)
	line("rebuild", r.Rebuild)
	line("procedure", r.Procedure, r.Title)
	line("revision", r.Revision)
	line("build", r.Build, r.BuildTitle)
	line("extent", extent)
	line("technician", r.Technician.ID, r.Technician.Name)
	line("assessor", r.Assessor.ID, r.Assessor.Name)
	line("started", r.Started)
	line("ended", r.Ended)
	for _, st := range r.Steps {
		line("step", strconv.Itoa(st.N), st.Step, string(st.Phase), st.Text)
		for _, l := range st.Lines {
			line(string(l.Kind), l.Place, l.What, l.Wanted, l.Found, l.Wrench, l.Kept, l.Note, l.Fault)
		}
	}
	for _, u := range r.Wrenches {
		done, due := "", ""
		if !u.Calibration.Done.IsZero() {
			done, due = u.Calibration.Done.String(), u.Calibration.Due.String()
		}
		line("wrench", u.ID, done, due, u.Calibration.Certificate, u.Fault)
	}
	line("remarks", r.Remarks)
	if why := r.Fault(); why != "" {
		line("counts", "no", why)
	} else {
		line("counts", "yes")
	}
	return []byte(b.String())
}

// Digest returns the SHA-256 of the text, in hex: what is signed.
func (r Record) Digest() string {
	sum := sha256.Sum256(r.Text())
	return hex.EncodeToString(sum[:])
}
