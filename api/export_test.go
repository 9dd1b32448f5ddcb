package api

import (
	"context"
	"time"

	"soloright/scoring/clearance"
)

// TrailWords tells of one act, as a trail does.
func TrailWords(act clearance.Act) TrailAct {
	v := &TrailView{}
	t := teller{f: newRegisterCache(time.UTC), out: v}
	t.tell(clearance.Event{Seq: 1, Act: act})
	return v.Acts[0]
}

// PutActs puts acts on the record that no use case makes yet, by a person.
func PutActs(ctx context.Context, a *App, person string, acts ...clearance.Act) error {
	return a.store.InTx(ctx, func(tx Tx) error {
		all := make([]newAct, len(acts))
		for i, act := range acts {
			all[i] = newAct{act: act}
		}
		return a.withActs(ctx, tx, Actor{Person: Person{ID: person}}, nil, all...)
	})
}

// BuildFor is the build on which somebody is asked who sat on an older one.
var BuildFor = buildFor
