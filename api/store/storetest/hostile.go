package storetest

import (
	"context"
	"errors"
	"math/rand/v2"
	"sync"

	"soloright/api"
)

// A HostileStore is a store that does whatever a store may do to its caller,
// far more often than a real one: it cannot be reached, it loses the connection
// before or after the commit, it runs the callback again for no reason. Its
// choices follow from its seed. It is safe for concurrent use.
type HostileStore struct {
	api.Store
	mu   sync.Mutex
	rnd  *rand.Rand
	Seen map[Trouble]int // how often it made which trouble; read it when nobody calls
}

// Trouble is what a hostile store did.
type Trouble string

// The troubles. NoTrouble is most frequent, so that work gets done.
const (
	NoTrouble  Trouble = "none"
	Unreached  Trouble = "not reached"       // the callback is not run
	LostBefore Trouble = "lost before"       // the callback is run, nothing is kept, the caller gets an error
	LostAfter  Trouble = "lost after"        // the callback is run, all is kept, the caller gets an error
	RunAgain   Trouble = "run again"         // the callback is run, taken back, and run again
	RunTwice   Trouble = "run again, longer" // twice taken back
)

// errTakeBack takes a run back.
var errTakeBack = errors.New("the hostile store takes this run back")

// Hostile makes trouble in front of a store.
func Hostile(s api.Store, seed uint64) *HostileStore {
	return &HostileStore{Store: s, rnd: rand.New(rand.NewPCG(seed, 0)), Seen: map[Trouble]int{}}
}

// choose draws the next trouble.
func (h *HostileStore) choose(among ...Trouble) Trouble {
	h.mu.Lock()
	defer h.mu.Unlock()
	t := NoTrouble
	if h.rnd.IntN(3) == 0 {
		t = among[h.rnd.IntN(len(among))]
	}
	h.Seen[t]++
	return t
}

// lost is the error of a store whose connection is lost.
func lost() error {
	return &api.Error{Kind: api.Unavailable, Message: "The database cannot be reached just now.", Err: errors.New("hostile store")}
}

// InTx runs f, or not, once or more often, and tells the truth or not about
// whether it was kept: only nil means that it was.
func (h *HostileStore) InTx(ctx context.Context, f func(api.Tx) error) error {
	again := 0
	switch h.choose(Unreached, LostBefore, LostAfter, RunAgain, RunTwice) {
	case Unreached:
		return lost()
	case LostBefore:
		if err := h.takeBack(ctx, f); err != nil {
			return err
		}
		return lost()
	case LostAfter:
		if err := h.Store.InTx(ctx, f); err != nil {
			return err
		}
		return lost()
	case RunAgain:
		again = 1
	case RunTwice:
		again = 2
	}
	for range again {
		if err := h.takeBack(ctx, f); err != nil {
			return err
		}
	}
	return h.Store.InTx(ctx, f)
}

// takeBack runs f and keeps nothing of it. What f returned is of no account:
// the real run will tell.
func (h *HostileStore) takeBack(ctx context.Context, f func(api.Tx) error) error {
	err := h.Store.InTx(ctx, func(tx api.Tx) error {
		_ = f(tx)
		return errTakeBack
	})
	if errors.Is(err, errTakeBack) {
		return nil
	}
	return err
}

// Read runs f, or not, once or more often.
func (h *HostileStore) Read(ctx context.Context, f func(api.Reader) error) error {
	switch h.choose(Unreached, RunAgain) {
	case Unreached:
		return lost()
	case RunAgain:
		err := h.Store.Read(ctx, func(r api.Reader) error {
			_ = f(r)
			return errTakeBack
		})
		if !errors.Is(err, errTakeBack) {
			return err
		}
	}
	return h.Store.Read(ctx, f)
}
