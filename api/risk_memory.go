package api

import (
	"context"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"soloright/scoring"
	"soloright/scoring/itemstat"
)

// tryMemory holds of every qualifying try that counts what the risk of a result
// needs: which lead facts were right, by the chance of being right by luck. It is
// read once and gone on with from where it stopped, and follows from the record
// alone.
type tryMemory struct {
	mu    sync.Mutex
	place int64
	tries map[string]heardTry
}

// heardTry is one qualifying try, without its confirming step: that asks about what
// was missed and is no fair sample of what is held.
type heardTry struct {
	sitting, person, procedure string
	at                         time.Time
	marks                      []float32
	chance                     []float32 // of full marks
	right                      []bool    // whether the lead fact's part was fully right
}

func newTryMemory() *tryMemory { return &tryMemory{tries: map[string]heardTry{}} }

// tryBatch is how many sittings are read in one go.
const tryBatch = 500

// catchUp reads on to the end of the history, batch by batch.
func (m *tryMemory) catchUp(ctx context.Context, s Store) error {
	for {
		var got []SittingResponses
		err := s.Read(ctx, func(r Reader) (err error) {
			got, err = r.Responses(ctx, m.at(), tryBatch)
			return err
		})
		if err != nil || len(got) == 0 {
			return wrap("read the history", err)
		}
		m.add(got)
	}
}

func (m *tryMemory) at() int64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.place
}

func (m *tryMemory) add(all []SittingResponses) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, s := range all {
		if s.Place <= m.place {
			continue
		}
		m.place = s.Place
		if s.Void {
			delete(m.tries, s.Sitting)
			continue
		}
		if s.Mode == Qualifying && s.Confirms == "" {
			m.tries[s.Sitting] = tryOf(s)
		}
	}
}

func tryOf(s SittingResponses) heardTry {
	t := heardTry{sitting: s.Sitting, person: strings.Clone(s.Person), procedure: strings.Clone(s.Procedure), at: s.HandedIn}
	for _, sheet := range s.Sheets {
		if sheet.Chance >= 1 || len(sheet.Facts) == 0 {
			continue
		}
		t.marks = append(t.marks, float32(sheet.Mark))
		t.chance = append(t.chance, float32(sheet.Chance))
		t.right = append(t.right, sheet.Facts[0].State == scoring.Right)
	}
	return t
}

// on returns the tries on a procedure handed in by an instant, oldest first.
func (m *tryMemory) on(procedure string, end time.Time) []heardTry {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []heardTry
	for _, t := range m.tries {
		if t.procedure == procedure && !t.at.After(end) {
			out = append(out, t)
		}
	}
	slices.SortFunc(out, func(a, b heardTry) int {
		if c := a.at.Compare(b.at); c != 0 {
			return c
		}
		return strings.Compare(a.sitting, b.sitting)
	})
	return out
}

// tallies counts the lead facts of some tries by their chance of luck, in rising
// order of it.
func tallies(tries []heardTry) []itemstat.Tally {
	by := map[float32]itemstat.Tally{}
	for _, t := range tries {
		for i, g := range t.chance {
			n := by[g]
			n.Guess = float64(g)
			n.Answered++
			if t.right[i] {
				n.Right++
			}
			by[g] = n
		}
	}
	out := make([]itemstat.Tally, 0, len(by))
	for _, g := range slices.Sorted(maps.Keys(by)) {
		out = append(out, by[g])
	}
	return out
}

// rights counts the lead facts of one try that were right, and all of them.
func (t heardTry) rights() (right, of int) {
	for _, ok := range t.right {
		if ok {
			right++
		}
	}
	return right, len(t.right)
}
