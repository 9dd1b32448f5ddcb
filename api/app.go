// Package api is the application: its use cases, the ports it needs, the roles
// and the kinds of error. Both faces, JSON and HTML, and the operator's
// commands call the same use cases, so that a rule is written once.
//
// A use case takes the [Caller], checks who that is and what the role may do in
// the same transaction as the act itself, and returns an *[Error] with a kind
// for whatever the caller can do something about.
//
// # Delta sittings
//
// Whoever stands on an older revision than the one in force shows exactly what
// changed since, in a sitting of the mode delta: two or three fresh items on each
// changed fact, all right.
//
//   - They are for the build of the sitting that carries the clearance. A changed
//     fact that this build does not state, or that no model can ask, is read and
//     signed for before the delta sitting opens, with the removed ones; where it is
//     critical and no build asks it, its hold point is observed again besides. So
//     nobody is held for ever by a fact that cannot be asked.
//   - Tries and waiting time are the policy's. They are counted by themselves, for
//     the revision in force: with few items and no cut, trying until luck comes
//     would be easier than on a whole form. When they are used up, training opens
//     the way again; a new qualifying sitting is another way at any time.
//   - One asks twenty facts at most, and none whose items would give away those on
//     another; where more changed, one follows another. Each shows what it asked.
//   - While one is open the book is closed as in a qualifying one, and its keys stay
//     hidden afterwards. Struck out or marked again, it takes back or gives what it
//     brought, from then on.
package api

import (
	"context"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"sync"
	"time"

	"soloright/quiz"
	"soloright/scoring/ledger"
)

// Clock tells the time. It must not run backwards by much: deadlines are judged by it.
type Clock func() time.Time

// Config is what an [App] is made of. Store, Models, Clock and Entropy are required.
type Config struct {
	Store     Store
	Models    []quiz.Model
	Clock     Clock
	Entropy   io.Reader      // of ids, tokens, salts and seeds: must be unguessable outside of tests
	Log       *slog.Logger   // default: nowhere
	Zone      *time.Location // the site's zone, for printed times; default UTC
	Passwords Passwords      // default [Argon2id], one hash at a time on each core
	Signer    *ledger.Signer // of the ledger; without it heads stay unsigned, see [AppendEntries]
}

// App is the application. It is safe for concurrent use and holds nothing that
// is not in the store but caches of what never changes and of what follows from
// the record.
type App struct {
	store     Store
	models    []quiz.Model
	clock     Clock
	entropy   io.Reader
	log       *slog.Logger
	zone      *time.Location
	passwords Passwords
	signer    *ledger.Signer
	content   *contentCache
	forms     *formCache
	register  *registerCache
	health    *healthDesk
	tries     *tryMemory
	checks    *checkRuns
	lessons   *lessonDesk
	proofs    turns    // of passwords given again
	plans     sync.Map // rebuild.Plan by what it is of
}

// New makes an application.
func New(c Config) *App {
	a := &App{store: c.Store, models: c.Models, clock: c.Clock, entropy: c.Entropy, log: c.Log, zone: c.Zone, passwords: c.Passwords, signer: c.Signer}
	if a.passwords == nil {
		a.passwords = Argon2id(0, c.Entropy)
	}
	if a.log == nil {
		a.log = slog.New(slog.DiscardHandler)
	}
	if a.zone == nil {
		a.zone = time.UTC
	}
	a.content = newContentCache(c.Models)
	a.forms = newFormCache(2048)
	a.register = newRegisterCache(a.zone)
	a.health = &healthDesk{}
	a.tries = newTryMemory()
	a.checks = newCheckRuns()
	a.lessons = newLessonDesk()
	return a
}

// Zone is the site's time zone, in which times are printed.
func (a *App) Zone() *time.Location { return a.zone }

// now is the time in UTC and whole microseconds, as it is stored.
func (a *App) now() time.Time { return a.clock().UTC().Truncate(time.Microsecond) }

// newID makes an unguessable id of 26 letters and digits.
func (a *App) newID() (string, error) {
	var b [16]byte
	if _, err := io.ReadFull(a.entropy, b[:]); err != nil {
		return "", fmt.Errorf("read randomness: %w", err)
	}
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:])), nil
}

// Caller is who calls a use case: the bearer of a session token, or whoever
// runs the program.
type Caller struct {
	token    string
	operator bool
}

// Bearer is the caller with a session token; the token may be empty or wrong.
func Bearer(token string) Caller { return Caller{token: token} }

// Operator is whoever runs the program on its own machine: the command line.
// No face may ever make one from a request.
func Operator() Caller { return Caller{operator: true} }

// Actor is a caller who is known.
type Actor struct {
	Person  Person
	Session Session
	op      bool
}

// may refuses an act that the actor's role does not include.
func (w Actor) may(act Act) error {
	if w.op || w.Person.Role.May(act) {
		return nil
	}
	return &Error{Kind: Forbidden, Message: fmt.Sprintf("The role %s may not do this.", w.Person.Role)}
}

// actor finds out who the caller is.
func (a *App) actor(ctx context.Context, r Reader, c Caller) (Actor, error) {
	if c.operator {
		return Actor{op: true}, nil
	}
	expired := &Error{Kind: Unauthenticated, Message: "You are not signed in, or your session has ended. Sign in again; every kept answer is still there."}
	hash, ok := tokenHash(c.token)
	if !ok {
		return Actor{}, expired
	}
	s, p, err := r.SessionByHash(ctx, hash)
	if errors.Is(err, ErrNone) {
		return Actor{}, expired
	}
	if err != nil {
		return Actor{}, fmt.Errorf("read session: %w", err)
	}
	if now := a.now(); !now.Before(s.Expires) || !p.Left.IsZero() {
		return Actor{}, expired
	}
	return Actor{Person: p, Session: s}, nil
}

// inTx runs a use case that writes, for a caller who may do the act; for "" what
// the caller may is decided by the use case itself.
func (a *App) inTx(ctx context.Context, c Caller, act Act, f func(Tx, Actor) error) error {
	return a.store.InTx(ctx, func(tx Tx) error {
		w, err := a.actor(ctx, tx, c)
		if err != nil {
			return err
		}
		if act != "" {
			if err := w.may(act); err != nil {
				return err
			}
		}
		if err := a.touch(ctx, tx, w); err != nil {
			return err
		}
		return f(tx, w)
	})
}

// read runs a use case that only reads, for a caller who may do the act.
func (a *App) read(ctx context.Context, c Caller, act Act, f func(Reader, Actor) error) error {
	return a.store.Read(ctx, func(r Reader) error {
		w, err := a.actor(ctx, r, c)
		if err != nil {
			return err
		}
		if act != "" {
			if err := w.may(act); err != nil {
				return err
			}
		}
		return f(r, w)
	})
}

// allowed refuses a caller who may not do the act, before work that costs much.
// The transaction of the act itself asks again.
func (a *App) allowed(ctx context.Context, c Caller, act Act) error {
	return a.read(ctx, c, act, func(Reader, Actor) error { return nil })
}
