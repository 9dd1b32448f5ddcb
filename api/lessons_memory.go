package api

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"soloright/content"
	"soloright/scoring"
)

// lessonMemory is the history as far as lessons need it, read once and gone on
// with from where it stopped: a dozen bytes for each fact of each sheet. It
// follows from the record alone, whenever it was asked.
type lessonMemory struct {
	mu       sync.Mutex
	place    int64 // of the last sitting read
	sittings map[string]heardSitting
	facts    index[factOf]
	models   index[string]
	chances  index[float64]
	texts    map[string]string // one copy of each id
}

// factOf names a fact among those of all procedures.
type factOf struct {
	Procedure string
	Fact      content.FactID
}

// heardSitting is one sitting that counts.
type heardSitting struct {
	id                                 string
	person, procedure, revision, build string
	at                                 time.Time
	facts                              []heardFact
}

// heardFact is what one sheet said of one fact.
type heardFact struct {
	fact          int32
	model, chance uint16
	right, blank  bool
}

// index gives each value a number, in the order in which they come.
type index[T comparable] struct {
	of  map[T]int
	all []T
}

func (x *index[T]) put(v T) int {
	n, ok := x.of[v]
	if !ok {
		if x.of == nil {
			x.of = map[T]int{}
		}
		n = len(x.all)
		x.of[v] = n
		x.all = append(x.all, v)
	}
	return n
}

func newLessonMemory() *lessonMemory {
	return &lessonMemory{sittings: map[string]heardSitting{}, texts: map[string]string{}}
}

// responseBatch is how many sittings are read in one go.
const responseBatch = 500

// catchUp reads on to the end of the history, and tells how many sittings it has
// read. It holds neither a transaction nor the memory for longer than one batch.
func (m *lessonMemory) catchUp(ctx context.Context, s Store, read func(n int)) error {
	for n := 0; ; {
		var got []SittingResponses
		err := s.Read(ctx, func(r Reader) (err error) {
			got, err = r.Responses(ctx, m.at(), responseBatch)
			return err
		})
		if err != nil || len(got) == 0 {
			return wrap("read the history", err)
		}
		m.addAll(got)
		n += len(got)
		read(n)
	}
}

// at is the place up to which the history was read.
func (m *lessonMemory) at() int64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.place
}

func (m *lessonMemory) addAll(all []SittingResponses) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, one := range all {
		if one.Place > m.place {
			m.add(one)
		}
	}
}

func (m *lessonMemory) add(s SittingResponses) {
	m.place = s.Place
	if s.Void {
		delete(m.sittings, s.Sitting)
		return
	}
	h := heardSitting{id: s.Sitting, person: m.text(s.Person), procedure: m.text(s.Procedure), revision: m.text(s.Revision), build: m.text(s.Build), at: s.HandedIn}
	for _, sheet := range s.Sheets {
		if sheet.Left || sheet.Chance >= 1 {
			continue // left out of the marking, or nothing that could be got wrong
		}
		model, chance := m.models.put(sheet.Model), m.chances.put(sheet.Chance)
		for _, f := range sheet.Facts {
			fact := m.facts.put(factOf{h.procedure, f.Fact})
			h.facts = append(h.facts, heardFact{int32(fact), uint16(model), uint16(chance), f.State == scoring.Right, f.State == scoring.Blank})
		}
	}
	m.sittings[s.Sitting] = h
}

func (m *lessonMemory) text(s string) string {
	if t, ok := m.texts[s]; ok {
		return t
	}
	s = strings.Clone(s)
	m.texts[s] = s
	return s
}

// until returns the sittings handed in by then, oldest first, with the place up
// to which the history was read.
func (m *lessonMemory) until(end time.Time) ([]heardSitting, int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []heardSitting
	for _, s := range m.sittings {
		if !s.at.After(end) {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b heardSitting) int {
		if c := a.at.Compare(b.at); c != 0 {
			return c
		}
		return strings.Compare(a.id, b.id)
	})
	return out, m.place
}
