package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// saveStation keeps what the form says of each place, for browsers without scripts
// and for the buttons of all, and goes where the pressed button says. What cannot be
// kept is shown again; everything else of the step is kept.
func (f *Face) saveStation(c *gin.Context) error {
	_, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	if !v.Open {
		return f.sheetClosed(c)
	}
	posted, wrong := map[string]rebuild.Entry{}, []string{}
	form := c.Request.PostForm
	for i := range v.Plan.Stations {
		if v.Plan.Stations[i].Step.ID != c.Param("step") {
			continue
		}
		for place, e := range stationEntries(&v.Plan.Stations[i], form) {
			err := f.keepEntry(c, v, place, e, form.Get(place+":rev"))
			switch {
			case err == nil:
			case api.KindOf(err) == api.Invalid:
				posted[place] = e
				wrong = append(wrong, edge.Known(err).Message)
			case conflictState(err) == "finished":
				return f.sheetClosed(c)
			default:
				return err
			}
		}
	}
	if len(wrong) > 0 {
		slices.Sort(wrong)
		pg, v, err := f.rebuildView(c)
		if err != nil {
			return err
		}
		return f.stationPage(c, http.StatusUnprocessableEntity, pg, v, posted, fmt.Sprintf("Not kept: %s", strings.Join(slices.Compact(wrong), " ")))
	}
	to := c.PostForm("go")
	if !strings.HasPrefix(to, "steps/") && to != "times" && to != "read-over" {
		return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
	}
	return seeOther(c, "/rebuilds/%s/%s", v.Rebuild.ID, to)
}

// sheetClosed says that an entry came too late.
func (f *Face) sheetClosed(c *gin.Context) error {
	f.failTo(c, http.StatusConflict, &api.Error{Kind: api.Conflict, Message: "This sheet is finished. It stays as it was kept."}, Link{"/rebuilds/" + c.Param("rebuild"), "To the sheet"})
	return nil
}

// keepEntry keeps an entry that differs from what is kept. What the page saw last is
// the counter of a browser without scripts.
func (f *Face) keepEntry(c *gin.Context, v api.RebuildView, place string, e rebuild.Entry, seen string) error {
	old := v.Entries[place].Entry
	if sameEntry(old, e) {
		return nil
	}
	revision, err := strconv.ParseInt(seen, 10, 64)
	if err != nil || revision < 0 {
		return &api.Error{Kind: api.Malformed, Message: "The form does not say which entries it follows."}
	}
	k, err := f.app.SaveEntry(c.Request.Context(), edge.Caller(c), api.SaveEntry{Rebuild: v.Rebuild.ID, Place: place, Revision: revision + 1, Entry: e})
	if err == nil && !k.Same {
		return &api.Error{Kind: api.Invalid, Message: "A newer entry stands at “" + k.Line.What + "”. Read it, and write yours again if it is to stand."}
	}
	return err
}

func sameEntry(a, b rebuild.Entry) bool {
	if !slices.Equal(a.Readings, b.Readings) && !(a.Empty() && b.Empty()) {
		return false
	}
	a.Readings, b.Readings = nil, nil
	return fmt.Sprint(a) == fmt.Sprint(b)
}

// stationEntries reads a posted step: the fields of each place are named after it.
func stationEntries(st *rebuild.Station, form url.Values) map[string]rebuild.Entry {
	out := map[string]rebuild.Entry{}
	field := func(place, name string) string { return strings.TrimSpace(form.Get(place + ":" + name)) }
	if st.Step.Hold != nil {
		p := rebuild.PlaceOfHold(st.Step.ID)
		e := rebuild.Entry{Outcome: clearance.Outcome(field(p, "outcome")), Note: field(p, "note")}
		if e.Outcome == clearance.NotApplicable {
			e.Condition = field(p, "condition")
		}
		out[p] = e
	}
	for _, j := range st.Joints {
		unit, angle := form.Get("unit:"+j.ID), form.Get("angle-unit:"+j.ID)
		for n := 1; n <= j.Pattern.Count; n++ {
			p := rebuild.PlaceOfFastener(j.ID, n)
			e := rebuild.Entry{As: rebuild.As(field(p, "as")), Value: withUnit(field(p, "value"), unit), Reached: field(p, "reached") != "",
				Angle: withUnit(field(p, "angle"), angle), Wrench: field(p, "wrench"), Note: field(p, "note")}
			if all := rebuild.Ways(&j); len(all) == 1 && e.Value == "" && !e.Reached && e.Note == "" {
				e.As = "" // the only way says nothing by itself
			}
			out[p] = e
		}
	}
	list := func(p string, n int, unit func(int) string) []string {
		all := make([]string, n)
		for i := range all {
			all[i] = withUnit(field(p, "reading."+strconv.Itoa(i)), unit(i))
		}
		return all
	}
	for _, s := range st.Settings {
		p := rebuild.PlaceOfSetting(s.ID)
		out[p] = rebuild.Entry{Readings: list(p, len(s.Readings), func(int) string { return s.Near.Unit().String() }), Note: field(p, "note")}
	}
	for _, t := range st.Tests {
		p := rebuild.PlaceOfTest(t.ID)
		unit := func(i int) string {
			if t.Accept[i].Limit == nil {
				return ""
			}
			return limitUnit(t.Accept[i].Limit)
		}
		out[p] = rebuild.Entry{Value: withUnit(field(p, "value"), t.Pressure.Unit().String()), Held: withUnit(field(p, "held"), t.Hold.Unit().String()),
			Readings: list(p, len(t.Accept), unit), Note: field(p, "note")}
	}
	return out
}
