package api

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"soloright/content"
	"soloright/scoring"
	"soloright/scoring/itemhealth"
)

// healthReading gathers the history into studies, one for each procedure.
type healthReading struct {
	a       *App
	studies map[string]*study
	order   []string
	tell    func(HealthProgress)
	asOf    HealthAsOf
	texts   map[string]string // one copy of each
}

// study is a study with what each revision states.
type study struct {
	*itemhealth.Study
	title  string
	values map[string]map[content.FactID]string // by revision
}

func (h *healthReading) read(ctx context.Context, r Reader) error {
	const batch = 500
	for {
		all, err := r.Responses(ctx, h.asOf.Place, batch)
		if err != nil || len(all) == 0 {
			return err
		}
		for _, s := range all {
			if err := h.add(ctx, r, s); err != nil {
				return fmt.Errorf("sitting %s: %w", s.Sitting, err)
			}
		}
		h.tell(HealthProgress{Doing: "reading the history", Read: h.asOf.Sittings})
	}
}

func (h *healthReading) add(ctx context.Context, r Reader, s SittingResponses) error {
	h.asOf.Place, h.asOf.HandedIn = s.Place, s.HandedIn
	if s.Void {
		return nil
	}
	st := h.studies[s.Procedure]
	if st == nil {
		var err error
		if st, err = h.begin(ctx, r, s.Procedure); err != nil {
			return err
		}
	}
	values, err := st.stated(ctx, h.a, r, s.Procedure, s.Revision)
	if err != nil {
		return err
	}
	h.asOf.Sittings++
	var marks []float64
	for _, sheet := range reached(s) {
		marks = append(marks, sheet.Mark)
		h.asOf.Answers++
		if err := st.Add(h.response(s, sheet, values[sheet.Lead])); err != nil {
			return err
		}
	}
	if s.Mode == Qualifying && s.Confirms == "" {
		st.Sitting(marks)
	}
	return nil
}

// begin begins the study of a procedure.
func (h *healthReading) begin(ctx context.Context, r Reader, procedure string) (*study, error) {
	order, err := revisionOrder(ctx, r, procedure)
	if err != nil {
		return nil, err
	}
	inForce, err := h.a.revisionInForce(ctx, r, procedure)
	if err != nil {
		return nil, err
	}
	inForce = cmp.Or(inForce, order[len(order)-1])
	p, err := h.a.content.whole(ctx, r, procedure, inForce)
	if err != nil {
		return nil, err
	}
	e, err := h.a.content.edition(ctx, r, procedure, inForce, p.BuildIDs()[0])
	if err != nil {
		return nil, err
	}
	cut, err := h.a.cut(ctx, r, procedure, e.Blueprint)
	if err != nil {
		return nil, err
	}
	st := &study{title: p.Title, values: map[string]map[content.FactID]string{}}
	current := map[string]string{}
	for _, f := range content.Facts(p) {
		current[string(f.ID)] = f.Value
	}
	st.Study = itemhealth.NewStudy(itemhealth.Design{Revisions: order, Current: current, Cut: float64(cut) / 100})
	h.studies[procedure] = st
	h.order = append(h.order, procedure)
	return st, nil
}

// stated is what a revision states, by fact.
func (st *study) stated(ctx context.Context, a *App, r Reader, procedure, revision string) (map[content.FactID]string, error) {
	if v := st.values[revision]; v != nil {
		return v, nil
	}
	p, err := a.content.whole(ctx, r, procedure, revision)
	if err != nil {
		return nil, err
	}
	v := map[content.FactID]string{}
	for _, f := range content.Facts(p) {
		v[f.ID] = f.Value
	}
	st.values[revision] = v
	return v, nil
}

// reached are the sheets of a sitting that say something of an item. In practice
// the blank ones after the last that was answered were not reached: who stops
// practising has not missed them.
func reached(s SittingResponses) []Response {
	n := len(s.Sheets)
	for s.Mode == Practice && n > 0 && s.Sheets[n-1].Blank {
		n--
	}
	return s.Sheets[:n]
}

// response is a sheet as a study takes it in.
func (h *healthReading) response(s SittingResponses, sheet Response, value string) itemhealth.Response {
	r := itemhealth.Response{Person: h.text(s.Person), Crew: h.text(s.Crew), Revision: h.text(s.Revision), Value: value,
		Family: itemhealth.Family{Lead: h.text(string(sheet.Lead)), Model: h.text(sheet.Model)},
		At:     s.HandedIn, Item: h.text(sheet.Item), Mark: sheet.Mark, Blank: sheet.Blank, Seconds: float64(sheet.Millis) / 1000}
	for _, f := range sheet.Facts {
		r.Right = r.Right || f.Fact == sheet.Lead && f.State == scoring.Right
	}
	for _, o := range sheet.Options {
		r.Options = append(r.Options, itemhealth.Option{Text: h.text(o.Text), Right: o.Right, Chosen: o.Chosen})
	}
	for _, said := range sheet.Said {
		r.Said = append(r.Said, h.text(said))
	}
	return r
}

// text keeps one copy of each text: a history says the same things over and over.
func (h *healthReading) text(s string) string {
	if t, ok := h.texts[s]; ok {
		return t
	}
	s = strings.Clone(s)
	h.texts[s] = s
	return s
}
