package clearance

import "soloright/content"

// memo is what a walk over many pairs says again and again: the days on which
// clearances end are few, and a register on a date names each for hundreds of
// people.
type memo struct {
	dates   map[day]content.Date
	phrases map[phrase]string
}

// phrase is what the sentence of somebody cleared is made of.
type phrase struct {
	until    day
	revision string
}

// date is the day's date.
func (w *walk) date(d day) content.Date {
	if w.memo == nil {
		return d.date()
	}
	if w.memo.dates == nil {
		w.memo.dates, w.memo.phrases = map[day]content.Date{}, map[phrase]string{}
	}
	out, ok := w.memo.dates[d]
	if !ok {
		out = d.date()
		w.memo.dates[d] = out
	}
	return out
}

// said is the sentence of somebody cleared.
func (w *walk) said(p phrase, s *Standing) string {
	if w.memo != nil {
		if text, ok := w.memo.phrases[p]; ok {
			return text
		}
	}
	text := "cleared until " + s.Until.String() + " on revision " + s.Revision
	if w.memo != nil {
		w.memo.phrases[p] = text
	}
	return text
}
