package storetest

import (
	"errors"
	"testing"

	"soloright/api"
)

func panel(id, procedure string, at int) api.Panel {
	return api.Panel{ID: id, Procedure: procedure, Revision: "1", Build: "small", Judges: []string{"bo", "ana"}, Form: []byte(`{"items":[]}`), Digest: []byte{7}, Items: 2, Opened: minutes(at), By: "ana"}
}

func ratings(panel string, round int, judge string) api.PanelRatings {
	return api.PanelRatings{Panel: panel, Round: round, Judge: judge, At: minutes(10 + round), Percent: []int{80, 55}}
}

// fillPanels is one panel with everything that may hang on it.
func fillPanels(tx api.Tx) error {
	if err := tx.AddPanel(background, panel("p", "pump", 0)); err != nil {
		return err
	}
	if err := tx.AddRatings(background, ratings("p", 1, "bo")); err != nil {
		return err
	}
	return tx.AddPanelEnd(background, api.PanelEnd{Panel: "p", Round: 1, Closed: true, At: minutes(20), By: "ana", Note: "talked over"})
}

// panels are kept with their ratings and ends, each once.
func panels(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	late := panel("q", "pump", 5)
	late.Judges = []string{"ana"}
	end := api.PanelEnd{Panel: "p", Round: 2, At: minutes(21), By: "bo"}
	f.tx(fillPanels)
	f.tx(func(tx api.Tx) error {
		for _, err := range []error{tx.AddPanel(background, late), tx.AddRatings(background, ratings("p", 2, "bo")), tx.AddRatings(background, ratings("p", 1, "ana")),
			tx.AddPanelEnd(background, end)} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddPanel(background, late) })
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddRatings(background, ratings("p", 1, "ana")) })
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddPanelEnd(background, end) })
	f.read(func(r api.Reader) error {
		got, err := r.Panel(background, "p")
		same(t, "the panel", got, panel("p", "pump", 0))
		if err != nil {
			return err
		}
		bare := func(p api.Panel) api.Panel {
			p.Form = nil
			return p
		}
		all, err := r.Panels(background)
		same(t, "panels", all, []api.Panel{bare(late), bare(panel("p", "pump", 0))})
		if err != nil {
			return err
		}
		said, err := r.RatingsOf(background, "p")
		same(t, "ratings", said, []api.PanelRatings{ratings("p", 1, "ana"), ratings("p", 1, "bo"), ratings("p", 2, "bo")})
		if err != nil {
			return err
		}
		ends, err := r.EndsOf(background, "p")
		if len(ends) != 2 || !ends[0].Closed || ends[0].Note != "talked over" || ends[1] != end {
			t.Errorf("ends %+v", ends)
		}
		if err != nil {
			return err
		}
		_, err = r.Panel(background, "none")
		if !errors.Is(err, api.ErrNone) {
			t.Errorf("no such panel: %v", err)
		}
		return nil
	})
}
