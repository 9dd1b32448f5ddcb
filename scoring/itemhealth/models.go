package itemhealth

import (
	"errors"

	"soloright/scoring/itemstat"
)

// mostErrors is for how many families standard errors of parameters are worked
// out: each costs two passes over the answers, and there are as many parameters or twice as many.
const mostErrors = 200

// closeEnough is the gain in log-likelihood that a fit may still leave: far less
// than a parameter's error shows, and a fraction of the cycles of a tight one.
const closeEnough = 1e-3

// fit puts the parameters of the measurement models into the report, part marks by
// the partial credit models, of which those of right and wrong are a case. A family
// needs [itemstat.NeedRasch] people, and not all of them alike; the others stay out.
func (s *Study) fit(rep *Report, columns []*column, done func(float64)) error {
	for i := range rep.Items {
		h := &rep.Items[i]
		h.Rasch, h.Slope, h.Intercept = waiting(h.People, itemstat.NeedRasch), waiting(h.People, itemstat.NeedColumn2PL), waiting(h.People, itemstat.NeedColumn2PL)
	}
	enter := func(need int) (at []int, in []*column) {
		for j, c := range columns {
			if len(c.first) >= need && !c.constant() {
				at, in = append(at, j), append(in, c)
			}
		}
		return at, in
	}
	at, in := enter(itemstat.NeedRasch)
	rep.Fit = Fit{Families: len(at)}
	var err error
	rep.Fit.Rasch, err = s.fitOne(itemstat.Rasch, in, func(j int, f itemstat.GradedItem) { rep.Items[at[j]].Rasch = f.Location })
	if err != nil {
		return err
	}
	if rep.Fit.Reliability, err = s.reliability(in); err != nil {
		return err
	}
	done(0.8)
	if len(s.people) < itemstat.NeedPeople2PL {
		rep.Fit.TwoPL = "not yet: from 500 people and 200 for each family"
		done(1)
		return nil
	}
	at, in = enter(itemstat.NeedColumn2PL)
	rep.Fit.TwoPL, err = s.fitOne(itemstat.TwoPL, in, func(j int, f itemstat.GradedItem) {
		rep.Items[at[j]].Slope, rep.Items[at[j]].Intercept = f.Slope, f.Location
	})
	done(1)
	return err
}

// fitOne fits a model to some columns. What the data cannot give is said, and no error.
func (s *Study) fitOne(model itemstat.Model, in []*column, put func(int, itemstat.GradedItem)) (string, error) {
	if len(in) == 0 {
		return "not yet: no family has enough answers", nil
	}
	m, err := s.matrix(in)
	if err != nil {
		return "", err
	}
	fit, err := itemstat.PartialCredit(m, itemstat.GradedOptions{Options: itemstat.Options{Model: model, Errors: len(in) <= mostErrors, Tolerance: closeEnough}})
	var no *itemstat.RefusedError
	if errors.As(err, &no) {
		return "not given: " + no.Error(), nil
	}
	if err != nil {
		return "", err
	}
	for j, f := range fit.Items {
		put(j, f)
	}
	if !fit.Converged {
		return "not given: " + string(itemstat.NotConverged), nil
	}
	return "settled", nil
}

// reliability is that of people's abilities, whatever forms they met, by the
// model with one slope, which leaves open how far people differ.
func (s *Study) reliability(in []*column) (itemstat.Figure, error) {
	if len(in) < 3 {
		return waiting(0, itemstat.NeedRasch), nil
	}
	m, err := s.matrix(in)
	if err != nil {
		return itemstat.Figure{}, err
	}
	none := func(r itemstat.Reason) (itemstat.Figure, error) {
		return itemstat.Figure{N: m.People(), NotYet: r}, nil
	}
	var no *itemstat.RefusedError
	fit, err := itemstat.PartialCredit(m, itemstat.GradedOptions{Options: itemstat.Options{Model: itemstat.CommonSlope}})
	switch {
	case errors.As(err, &no):
		return none(no.Reason)
	case err != nil:
		return itemstat.Figure{}, err
	case !fit.Converged:
		return none(itemstat.NotConverged)
	}
	r, err := itemstat.ModelReliable(m, fit.Columns)
	if errors.As(err, &no) {
		return none(no.Reason)
	}
	return r.EAP, err
}

// constant reports whether everybody has the same mark.
func (c *column) constant() bool {
	least, most := 2.0, -1.0
	for _, m := range c.first {
		least, most = min(least, m.mark), max(most, m.mark)
	}
	return most-least < 1e-9
}

// waiting is a figure before its model was fitted.
func waiting(n, need int) itemstat.Figure {
	if n < need {
		return itemstat.Figure{N: n, NotYet: itemstat.TooFew, Need: need}
	}
	return itemstat.Figure{N: n, NotYet: itemstat.Constant}
}
