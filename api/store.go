package api

import (
	"context"
	"errors"
	"time"

	"soloright/scoring/ledger"
)

// ErrNone is what a store returns where there is no such row.
var ErrNone = errors.New("no such row")

// ErrExists is what a store returns where a unique key is taken already.
var ErrExists = errors.New("exists already")

// Store is where records are kept. A database that cannot be reached gives an
// *Error of kind Unavailable from both methods.
type Store interface {
	// InTx runs f in one transaction that may write; it is committed, and durable,
	// when InTx returns nil. f may be run again from the start when the database
	// asks for it, so it must not change anything outside but by its last run.
	// There is no nesting.
	InTx(ctx context.Context, f func(Tx) error) error
	// Read runs f on one snapshot. It never waits for a writer.
	Read(ctx context.Context, f func(Reader) error) error
}

// Reader is what may be read. Methods return ErrNone where there is no such row.
// Times are UTC and whole microseconds.
type Reader interface {
	// SessionByHash finds a session and its person by the SHA-256 of its token.
	SessionByHash(ctx context.Context, hash []byte) (Session, Person, error)
	SessionsOf(ctx context.Context, person string) ([]Session, error)

	Person(ctx context.Context, id string) (Person, error)
	PersonBySignIn(ctx context.Context, signIn string) (Person, error) // sign-in names compare in lower case
	People(ctx context.Context) ([]Person, error)                      // by name, then id

	Revision(ctx context.Context, procedure, revision string) (Revision, error)
	// CurrentRevisions returns the newest imported revision of each procedure, without Source and Blueprint, by procedure id.
	CurrentRevisions(ctx context.Context) ([]Revision, error)
	// Revisions returns every revision of a procedure, oldest import first, without Source and Blueprint.
	Revisions(ctx context.Context, procedure string) ([]Revision, error)

	Sitting(ctx context.Context, id string) (Sitting, error)
	// Sittings returns sittings, newest first. Zero fields of the filter do not filter.
	Sittings(ctx context.Context, f SittingFilter) ([]Sitting, error)
	// Form returns the form as set: the bytes that were stored.
	Form(ctx context.Context, sitting string) ([]byte, error)
	// Answers returns the answers of an open sitting, by sheet.
	Answers(ctx context.Context, sitting string) ([]KeptAnswer, error)
	HandIn(ctx context.Context, sitting string) (HandIn, error)
	// Marks returns every marking of a sitting, oldest first; the last one stands.
	Marks(ctx context.Context, sitting string) ([]Marking, error)
	Void(ctx context.Context, sitting string) (Void, error)
	// Met returns what a person met in a procedure's sittings that were opened before
	// the given time, oldest first; Missed as the marking said that stood at that time.
	Met(ctx context.Context, person, procedure string, before time.Time) ([]MetItem, error)
	// Overdue returns the ids of at most limit open sittings whose deadline is at or before now, oldest deadline first.
	Overdue(ctx context.Context, now time.Time, limit int) ([]string, error)
	// Unmarked returns the ids of at most limit sittings handed in and not marked, oldest first.
	Unmarked(ctx context.Context, limit int) ([]string, error)
	// SittingIDs returns the ids of at most limit sittings handed in, in the order of
	// their ids, after the given id: to walk through all of them.
	SittingIDs(ctx context.Context, after string, limit int) ([]string, error)

	ActReader
	LedgerReader
	CardReader
	CheckReader
	ResponseReader
	RebuildReader
	WithdrawalReader
	ReviseReader
	PanelReader
}

// ActReader is what may be read of the acts on the record. Every list is in the
// order of the record.
type ActReader interface {
	// Acts returns at most limit acts after the given place. Whoever sees an act sees
	// every one before it: acts are put on the record one transaction after the other.
	Acts(ctx context.Context, after int64, limit int) ([]StoredAct, error)
	ActsOfPerson(ctx context.Context, person string) ([]StoredAct, error)
	ActsOfProcedure(ctx context.Context, procedure string) ([]StoredAct, error)
	ActsAbout(ctx context.Context, subject string) ([]StoredAct, error)
	// Unsettled returns the ids of at most limit sittings that are noted as waiting
	// for their final verdict and were handed in by then, oldest first.
	Unsettled(ctx context.Context, handed time.Time, limit int) ([]string, error)
}

// LedgerReader is what may be read of the ledger, and what a check of the rows
// that it attests needs beyond that.
type LedgerReader interface {
	// LedgerHead returns the head as it is stored, also one that does not agree with
	// itself: whoever relies on it checks it.
	LedgerHead(ctx context.Context) (LedgerHead, error)
	// LedgerRows returns at most limit entries, by number, from the given one on.
	LedgerRows(ctx context.Context, from int64, limit int) ([]LedgerRow, error)
	// LedgerOf returns the entries that name the record, by number.
	LedgerOf(ctx context.Context, subject string) ([]LedgerRow, error)
	// LedgerKeys returns the public keys in the order in which they signed.
	LedgerKeys(ctx context.Context) (ledger.Keys, error)

	// EverySittingID is SittingIDs of all sittings, open ones too.
	EverySittingID(ctx context.Context, after string, limit int) ([]string, error)
	// ItemsOf returns the items of a sitting as they were set, by sheet, without Missed.
	ItemsOf(ctx context.Context, sitting string) ([]MetItem, error)
	// MarkedFacts returns the facts of one marking in its order.
	MarkedFacts(ctx context.Context, sitting string, n int) ([]MarkedFact, error)
}

// Tx is what may be written. The database itself refuses to change or delete
// what is append-only: revisions, sittings with their forms, hand-ins, marks,
// voids, acts, cards, finished and abandoned rebuilds, signatures, wrenches with
// their calibrations, the ledger's entries and keys.
type Tx interface {
	Reader
	CardWriter
	CheckWriter
	ResponseWriter
	RebuildWriter
	WithdrawalWriter
	PanelWriter

	AddPerson(ctx context.Context, p Person) error // ErrExists where the sign-in name is taken
	SetPerson(ctx context.Context, p Person) error // replaces name, role, password and Left of an existing person
	AddSession(ctx context.Context, s Session) error
	TouchSession(ctx context.Context, hash []byte, seen time.Time) error
	EndSession(ctx context.Context, hash []byte) error
	EndSessions(ctx context.Context, person string) error

	AddRevision(ctx context.Context, r Revision) error // ErrExists where procedure and revision are there already

	// AddSitting writes the sitting, its form and its items, and opens it.
	// ErrExists where the person already has an open sitting of that mode on that procedure.
	AddSitting(ctx context.Context, s Sitting, form []byte, items []MetItem) error
	// OpenShared reads an open sitting so that it cannot be handed in before this
	// transaction ends; any number may hold it so. ErrNone where it is not open.
	OpenShared(ctx context.Context, sitting string) (Open, error)
	// OpenExclusive reads an open sitting so that nobody else can answer or hand it in.
	OpenExclusive(ctx context.Context, sitting string) (Open, error)
	// PutAnswer keeps an answer if its client revision is higher than the kept one's
	// and the kept one is not fixed; it reports whether it did.
	PutAnswer(ctx context.Context, sitting string, a KeptAnswer) (applied bool, err error)
	// FixAnswer keeps an answer for good: no later PutAnswer changes it.
	FixAnswer(ctx context.Context, sitting string, a KeptAnswer) error
	// AddHandIn writes the hand-in with its answers and closes the sitting.
	AddHandIn(ctx context.Context, h HandIn) error
	// AddMarks writes a marking, with the state of each fact.
	AddMarks(ctx context.Context, m Marking, facts []MarkedFact) error
	AddVoid(ctx context.Context, v Void) error // ErrExists where it is void already

	// AddActs puts acts on the record, in their order. The caller holds the ledger's
	// head; only attestActs calls it. ErrExists where a place is taken.
	AddActs(ctx context.Context, acts []StoredAct) error
	// AddUnsettled notes that a sitting waits for its final verdict; once is enough.
	AddUnsettled(ctx context.Context, sitting string, handed time.Time) error
	DropUnsettled(ctx context.Context, sitting string) error

	// LockLedger reads the head so that nobody else can append before this
	// transaction ends.
	LockLedger(ctx context.Context) (LedgerHead, error)
	// PutLedger writes entries and the head after them. The caller holds the head;
	// only [AppendEntries] and the rotation of a key call it.
	PutLedger(ctx context.Context, head LedgerHead, rows []LedgerRow) error
	AddLedgerKey(ctx context.Context, k ledger.Key) error // ErrExists where it is there already
}
