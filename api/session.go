package api

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
)

// How long a session lasts, and how often its last use is written.
const (
	SessionFor   = 12 * time.Hour
	touchEvery   = time.Minute
	tokenBytes   = 32
	maxAgentText = 120
)

// SignIn is the command to begin a session.
type SignIn struct {
	SignIn   string `json:"sign_in" validate:"required,max=64"`
	Password string `json:"password" validate:"required,max=256"`
	Agent    string `json:"-"`
}

// SignedIn is a session begun. Token goes to the device and is stored nowhere.
type SignedIn struct {
	Token   string
	Expires time.Time
	Person  Person
}

// SignIn begins a session. A wrong name and a wrong password give the same
// answer after the same work. Wrong tries are slowed down by the cost of the
// hash, of which only one per core runs at a time.
func (a *App) SignIn(ctx context.Context, cmd SignIn) (SignedIn, error) {
	cmd.Agent = shorten(cmd.Agent, maxAgentText) // no reason to be refused
	if err := check(cmd); err != nil {
		return SignedIn{}, err
	}
	var p Person
	err := a.store.Read(ctx, func(r Reader) (err error) {
		p, err = r.PersonBySignIn(ctx, cmd.SignIn)
		if errors.Is(err, ErrNone) {
			p = Person{}
			return nil
		}
		return err
	})
	if err != nil {
		return SignedIn{}, fmt.Errorf("find account: %w", err)
	}
	ok, err := a.passwords.Verify(ctx, p.Password, cmd.Password)
	if err != nil {
		return SignedIn{}, fmt.Errorf("check password: %w", err)
	}
	if !ok || !p.Left.IsZero() {
		return SignedIn{}, &Error{Kind: Unauthenticated, Message: "That sign-in name and password do not belong together."}
	}
	return a.begin(ctx, p, cmd.Agent)
}

// begin opens a session for a person who has proved who it is.
func (a *App) begin(ctx context.Context, p Person, agent string) (SignedIn, error) {
	raw := make([]byte, tokenBytes)
	if _, err := io.ReadFull(a.entropy, raw); err != nil {
		return SignedIn{}, fmt.Errorf("read randomness: %w", err)
	}
	token := base64.RawURLEncoding.EncodeToString(raw)
	hash, _ := tokenHash(token)
	now := a.now()
	s := Session{Hash: hash, Person: p.ID, Begun: now, Seen: now, Expires: now.Add(SessionFor), Agent: agent}
	err := a.store.InTx(ctx, func(tx Tx) error { return tx.AddSession(ctx, s) })
	if err != nil {
		return SignedIn{}, fmt.Errorf("begin session: %w", err)
	}
	return SignedIn{Token: token, Expires: s.Expires, Person: p}, nil
}

// SignOut ends the caller's session. It is no error where there is none.
func (a *App) SignOut(ctx context.Context, c Caller) error {
	hash, ok := tokenHash(c.token)
	if !ok {
		return nil
	}
	return a.store.InTx(ctx, func(tx Tx) error { return tx.EndSession(ctx, hash) })
}

// SignOutEverywhere ends every session of the caller.
func (a *App) SignOutEverywhere(ctx context.Context, c Caller) error {
	return a.store.InTx(ctx, func(tx Tx) error {
		w, err := a.actor(ctx, tx, c)
		if err != nil {
			return err
		}
		return tx.EndSessions(ctx, w.Person.ID)
	})
}

// Me returns the caller's account and sessions.
func (a *App) Me(ctx context.Context, c Caller) (Person, []Session, error) {
	var p Person
	var ss []Session
	err := a.read(ctx, c, "", func(r Reader, w Actor) (err error) {
		p = w.Person
		ss, err = r.SessionsOf(ctx, p.ID)
		return err
	})
	return p, ss, err
}

// touch writes when the session was last used, at most once a minute.
func (a *App) touch(ctx context.Context, tx Tx, w Actor) error {
	if w.op || a.now().Sub(w.Session.Seen) < touchEvery {
		return nil
	}
	if err := tx.TouchSession(ctx, w.Session.Hash, a.now()); err != nil {
		return fmt.Errorf("touch session: %w", err)
	}
	return nil
}

// tokenHash is the SHA-256 of a token's bytes; false where it is no token.
func tokenHash(token string) ([]byte, bool) {
	raw, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil || len(raw) != tokenBytes {
		return nil, false
	}
	sum := sha256.Sum256(raw)
	return sum[:], true
}

// shorten cuts text to at most n runes; what is not UTF-8 becomes a mark for it.
func shorten(s string, n int) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n])
}
