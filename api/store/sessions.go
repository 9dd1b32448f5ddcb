package store

import (
	"context"
	"time"

	"soloright/api"
)

// sessionRow is a row of sessions.
type sessionRow struct {
	Hash    []byte `db:"hash"`
	Holder  string `db:"person"`
	Begun   int64  `db:"begun"`
	Seen    int64  `db:"seen"`
	Expires int64  `db:"expires"`
	Agent   string `db:"agent"`
}

func (r sessionRow) session() api.Session {
	return api.Session{Hash: r.Hash, Person: r.Holder, Begun: instant(r.Begun), Seen: instant(r.Seen), Expires: instant(r.Expires), Agent: r.Agent}
}

var sessionByHash = reads("read session", `
	SELECT s.hash, s.person, s.begun, s.seen, s.expires, s.agent,
		p.id, p.sign_in, p.name, p.role, p.password, p.crew, p.added, p.gone
	FROM sessions AS s
	JOIN people AS p ON p.id = s.person
	WHERE s.hash = ?`)

// SessionByHash finds a session, expired or not, and its person.
func (r reader) SessionByHash(ctx context.Context, hash []byte) (api.Session, api.Person, error) {
	var row struct {
		sessionRow
		personRow
	}
	if err := r.get(ctx, &row, sessionByHash, blob(hash)); err != nil {
		return api.Session{}, api.Person{}, err
	}
	return row.session(), row.person(), nil
}

var sessionsOf = reads("list sessions", `
	SELECT hash, person, begun, seen, expires, agent
	FROM sessions
	WHERE person = ?
	ORDER BY begun DESC, hash`)

// SessionsOf lists a person's sessions, the last one begun first.
func (r reader) SessionsOf(ctx context.Context, person string) ([]api.Session, error) {
	var rows []sessionRow
	if err := r.list(ctx, &rows, sessionsOf, person); err != nil {
		return nil, err
	}
	sessions := make([]api.Session, len(rows))
	for i, row := range rows {
		sessions[i] = row.session()
	}
	return sessions, nil
}

var addSession = writes("add session", `
	INSERT INTO sessions (hash, person, begun, seen, expires, agent)
	VALUES (?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

var dropExpired = writes("drop expired sessions", `
	DELETE FROM sessions
	WHERE person = ? AND expires <= ?`)

// AddSession adds a session, and drops those of the same person that had
// expired when it began: nothing else ever would.
func (t txn) AddSession(ctx context.Context, s api.Session) error {
	if err := t.do(ctx, dropExpired, s.Person, micros(s.Begun)); err != nil {
		return err
	}
	return t.add(ctx, addSession, blob(s.Hash), s.Person, micros(s.Begun), micros(s.Seen), micros(s.Expires), s.Agent)
}

var touchSession = writes("touch session", `
	UPDATE sessions
	SET seen = ?
	WHERE hash = ? AND seen < ?`)

// TouchSession notes when a session was last used; it never goes back in time.
// A session that has ended meanwhile is no error.
func (t txn) TouchSession(ctx context.Context, hash []byte, seen time.Time) error {
	return t.do(ctx, touchSession, micros(seen), blob(hash), micros(seen))
}

var endSession = writes("end session", `
	DELETE FROM sessions
	WHERE hash = ?`)

// EndSession ends a session; one that is not there is no error.
func (t txn) EndSession(ctx context.Context, hash []byte) error {
	return t.do(ctx, endSession, blob(hash))
}

var endSessions = writes("end sessions", `
	DELETE FROM sessions
	WHERE person = ?`)

// EndSessions ends all sessions of a person.
func (t txn) EndSessions(ctx context.Context, person string) error {
	return t.do(ctx, endSessions, person)
}
