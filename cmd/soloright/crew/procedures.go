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

// An edit puts a text in place of another that stands in a file once.
type edit struct{ old, new string }

// earlier makes revision C of the flange procedure from the one that ships: it
// took a scratch from bore to rim for one that can be dressed out, and asked about
// it on every form.
var (
	earlierFlange = []edit{
		{`revision: "D"`, `revision: "` + EarlierFlange + `"`},
		{"issued: 2026-01-26", "issued: 2024-06-10"},
		{"verdict: renew, because: It is a channel under the gasket. Dressing it out leaves a hollow.", "verdict: dress, because: The oilstone takes it off along the grooves."},
	}
	earlierBlueprint = []edit{{"always:\n", "always:\n  - " + string(WrongKey) + "\n"}}
)

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
	res, err := h.app.ImportProcedure(ctx, api.Operator(), api.Import{Name: flange + ".yaml", Source: src, Blueprint: library.BlueprintSource(flange), KeepOnly: true})
	if err != nil {
		return fmt.Errorf("import %s: %w", flange, err)
	}
	_, err = h.app.AdoptRevision(ctx, h.staff[api.SafetyOfficer].as, api.AdoptRevision{Procedure: flange, Revision: res.Revision, Replaces: EarlierFlange})
	return err
}
