package crew

import (
	"bytes"
	"context"
	"fmt"

	"soloright/api"
	"soloright/content/library"
)

// EarlierFlange is the revision of the flange procedure that had one verdict wrong.
const EarlierFlange = "C"

// NextPump is the revision of the pump procedure that is imported and not yet in
// force.
const NextPump = "D"

// An edit puts a text in place of another that stands in a file once.
type edit struct{ old, new string }

// earlier makes revision C of the flange procedure from the one that ships: it
// took a scratch from bore to rim for one that can be dressed out, and asked about
// it on every form.
var (
	earlierFlange = []edit{
		{`revision: "D"`, `revision: "` + EarlierFlange + `"`},
		{"issued: 2025-11-17", "issued: 2024-06-10"},
		{"verdict: renew, because: It is a channel under the gasket. Dressing it out leaves a hollow.", "verdict: dress, because: The oilstone takes it off along the grooves."},
	}
	earlierBlueprint = []edit{{"always:\n", "always:\n  - " + string(WrongKey) + "\n"}}
)

// nextPump makes the next revision of the pump procedure, which waits to be adopted:
// the air chambers are pulled up further, and the rod may wear less.
var nextPump = []edit{
	{`revision: "C"`, `revision: "` + NextPump + `"`},
	{"issued: 2024-03-04", "issued: 2026-03-02"},
	{"tighten: {by: torque, torque: 16 N·m, tolerance: ±10 %}", "tighten: {by: torque, torque: 18 N·m, tolerance: ±10 %}"},
	{"limit: {min: 0.04 mm, max: 0.14 mm}", "limit: {min: 0.04 mm, max: 0.12 mm}"},
}

// importEarlier puts the procedures on the record as they were in the beginning.
func importEarlier(ctx context.Context, app *api.App) error {
	procs, err := library.Procedures()
	if err != nil {
		return fmt.Errorf("read the library: %w", err)
	}
	for _, p := range procs {
		src, err := library.Source(p.ID)
		if err != nil {
			return fmt.Errorf("read the library: %w", err)
		}
		blueprint := library.BlueprintSource(p.ID)
		if p.ID == flange {
			if src, err = edited(src, earlierFlange); err != nil {
				return err
			}
			if blueprint, err = edited(blueprint, earlierBlueprint); err != nil {
				return err
			}
		}
		if _, err := app.ImportProcedure(ctx, api.Operator(), api.Import{Name: p.ID + ".yaml", Source: src, Blueprint: blueprint}); err != nil {
			return fmt.Errorf("import %s: %w", p.ID, err)
		}
	}
	return nil
}

// edited applies edits to a file. A text that does not stand in it just once is
// an error: the library has moved on and the history has not.
func edited(src []byte, edits []edit) ([]byte, error) {
	for _, e := range edits {
		if n := bytes.Count(src, []byte(e.old)); n != 1 {
			return nil, fmt.Errorf("make the earlier revision: %q stands in the file %d times", e.old, n)
		}
		src = bytes.Replace(src, []byte(e.old), []byte(e.new), 1)
	}
	return src, nil
}

// correctFlange imports the corrected flange procedure, and the safety officer
// adopts it.
func (h *history) correctFlange(ctx context.Context) error {
	src, err := library.Source(flange)
	if err != nil {
		return fmt.Errorf("read the library: %w", err)
	}
	revision, err := h.keep(ctx, flange, src)
	if err != nil {
		return err
	}
	_, err = h.app.AdoptRevision(ctx, h.staff[api.SafetyOfficer].as, api.AdoptRevision{Procedure: flange, Revision: revision, Replaces: EarlierFlange})
	return err
}

// offerPump imports the next revision of the pump procedure, for a safety officer
// to look at and adopt.
func (h *history) offerPump(ctx context.Context) error {
	src, err := library.Source(pump)
	if err != nil {
		return fmt.Errorf("read the library: %w", err)
	}
	if src, err = edited(src, nextPump); err != nil {
		return err
	}
	_, err = h.keep(ctx, pump, src)
	return err
}

// keep imports a revision without adopting it.
func (h *history) keep(ctx context.Context, procedure string, src []byte) (revision string, err error) {
	res, err := h.app.ImportProcedure(ctx, api.Operator(), api.Import{Name: procedure + ".yaml", Source: src, Blueprint: library.BlueprintSource(procedure)})
	if err != nil {
		return "", fmt.Errorf("import %s: %w", procedure, err)
	}
	return res.Revision, nil
}
