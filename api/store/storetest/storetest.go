// Package storetest is the suite that every store passes: what [api.Store]
// promises, one after the other and all at once, and what the database itself
// refuses. Beside it stand a hostile store for the tests of use cases, and what
// benchmarks need.
package storetest

import (
	"context"
	"database/sql"
	"testing"

	"soloright/api"
)

// Database is one database of a test's own.
type Database struct {
	// Open opens a store on it, as one more instance; it is closed when the test
	// ends.
	Open func(testing.TB) api.Store
	// Raw is a handle on it that knows nothing of ours: what somebody with a
	// database shell has.
	Raw func(testing.TB) *sql.DB
	// PostgreSQL tells which of the two it is.
	PostgreSQL bool
}

// Run runs the suite; fresh gives an empty database.
func Run(t *testing.T, fresh func(testing.TB) Database) {
	for _, c := range []struct {
		name string
		run  func(*testing.T, Database)
	}{
		{"people", people},
		{"sign-in names are unique", uniqueSignIn},
		{"sessions", sessions},
		{"revisions", revisions},
		{"sittings", sittings},
		{"one open sitting", oneOpenSitting},
		{"one confirming sitting", oneConfirming},
		{"filters", filters},
		{"answers", answers},
		{"fixed answers", fixedAnswers},
		{"hand-in", handIn},
		{"overdue and unmarked", queues},
		{"marks", marks},
		{"voids", voids},
		{"met", met},
		{"references", references},
		{"a failed transaction leaves nothing", rollback},
		{"an existing key does not spoil the transaction", goesOn},
		{"a cancelled transaction leaves nothing", cancelled},
		{"waiting ends with the context", givesUp},
		{"a snapshot stays", snapshot},
		{"two hand-ins at once", handInsAtOnce},
		{"answers against a hand-in", answersAgainstHandIn},
		{"revisions under many writers", manyWriters},
		{"readers do not wait", readersDoNotWait},
		{"two sittings opened at once", openedAtOnce},
		{"two markings at once", markedAtOnce},
		{"two instances opened at once", instancesAtOnce},
		{"acts", acts},
		{"unsettled sittings", unsettledSittings},
		{"cards", cards},
		{"withdrawals", withdrawals},
		{"sittings that hold an item", heldBy},
		{"checks of the record", recordChecks},
		{"responses", responses},
		{"responses written at once", responsesAtOnce},
		{"signatures", signatures},
		{"wrenches", wrenches},
		{"rebuilds", rebuilds},
		{"entries against finishing", entriesAgainstFinish},
		{"panels", panels},
		{"ledger", ledgerKept},
		{"ledger head that somebody changed", ledgerHeadChanged},
		{"appends at once", appendsAtOnce},
		{"items and facts", itemsAndFacts},
		{"append-only", appendOnly},
		{"every table is one or the other", everyTable},
		{"under a hostile store", underHostile},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel() // they mostly wait for the disk
			c.run(t, fresh(t))
		})
	}
}

// rounds is n, or a tenth of it in a short run.
func rounds(n int) int {
	if testing.Short() {
		return max(1, n/10)
	}
	return n
}

// background is the context of a suite's calls.
var background = context.Background()
