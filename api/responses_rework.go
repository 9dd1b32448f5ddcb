package api

import (
	"context"
	"errors"
	"fmt"
	"reflect"
)

// FillResponses works out, for analysis, what marked sittings say of which
// nothing is kept yet: those of a record that an older program wrote. It costs
// one read where there are none, and returns how many there were.
func (a *App) FillResponses(ctx context.Context) (filled int, err error) {
	const batch = 20
	for after := ""; ; {
		var ids []string
		err := a.store.Read(ctx, func(r Reader) (err error) {
			ids, err = r.WithoutResponses(ctx, after, batch)
			return err
		})
		if err != nil || len(ids) == 0 {
			return filled, wrap("find sittings without responses", err)
		}
		err = a.store.InTx(ctx, func(tx Tx) error {
			for _, id := range ids {
				if err := a.keepResponses(ctx, tx, id); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return filled, err
		}
		filled += len(ids)
		after = ids[len(ids)-1]
	}
}

// ReworkResponses works out anew what every sitting says and puts it right where
// something else is kept, or nothing. done is called after each sitting. It
// returns how many sittings it looked at and how many it put right; the cost is
// one reading of each form and hand-in.
func (a *App) ReworkResponses(ctx context.Context, done func(n int)) (looked, mended int, err error) {
	const batch = 200
	for after := ""; ; {
		var ids []string
		err := a.store.Read(ctx, func(r Reader) (err error) {
			ids, err = r.SittingIDs(ctx, after, batch)
			return err
		})
		if err != nil || len(ids) == 0 {
			return looked, mended, wrap("list sittings", err)
		}
		for _, id := range ids {
			is, err := a.responsesAreRight(ctx, id)
			if err != nil {
				return looked, mended, err
			}
			if !is {
				if err := a.store.InTx(ctx, func(tx Tx) error { return a.keepResponses(ctx, tx, id) }); err != nil {
					return looked, mended, err
				}
				mended++
			}
			looked++
			done(looked)
		}
		after = ids[len(ids)-1]
	}
}

// responsesAreRight compares what is kept of a sitting with what it says. One
// that is not marked yet says nothing.
func (a *App) responsesAreRight(ctx context.Context, id string) (is bool, err error) {
	err = a.store.Read(ctx, func(r Reader) error {
		want, err := a.responses(ctx, r, id)
		if errors.Is(err, ErrNone) {
			is = true
			return nil
		}
		if err != nil {
			return err
		}
		got, err := r.ResponsesOf(ctx, id)
		if err != nil && !errors.Is(err, ErrNone) {
			return fmt.Errorf("read responses of %s: %w", id, err)
		}
		is = err == nil && got.N == want.N && got.Void == want.Void && sameResponses(got.Sheets, want.Sheets)
		return nil
	})
	return is, err
}

func sameResponses(a, b []Response) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		x, y := a[i], b[i]
		if len(x.Said)+len(y.Said) == 0 {
			x.Said, y.Said = nil, nil
		}
		if len(x.Options)+len(y.Options) == 0 {
			x.Options, y.Options = nil, nil
		}
		if !reflect.DeepEqual(x, y) {
			return false
		}
	}
	return true
}

// wrap says what was being done; no error stays none.
func wrap(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", doing, err)
}
