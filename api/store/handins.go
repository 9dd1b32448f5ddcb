package store

import (
	"context"
	"time"

	"soloright/api"
)

// handInRow is a row of hand_ins.
type handInRow struct {
	Sitting string `db:"sitting"`
	Handed  int64  `db:"handed"`
	TimeUp  bool   `db:"time_up"`
	Digest  []byte `db:"digest"`
	Answers []byte `db:"answers"`
}

var oneHandIn = reads("read hand-in", `
	SELECT sitting, handed, time_up, digest, answers
	FROM hand_ins
	WHERE sitting = ?`)

// HandIn finds the hand-in of a sitting.
func (r reader) HandIn(ctx context.Context, sitting string) (api.HandIn, error) {
	var row handInRow
	if err := r.get(ctx, &row, oneHandIn, sitting); err != nil {
		return api.HandIn{}, err
	}
	return api.HandIn{Sitting: row.Sitting, At: instant(row.Handed), TimeUp: row.TimeUp, Answers: row.Answers, Digest: row.Digest}, nil
}

var (
	addHandIn = writes("add hand-in", `
	INSERT INTO hand_ins (sitting, handed, time_up, digest, answers)
	VALUES (?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	closeSitting = writes("close sitting", `
	DELETE FROM open_sittings
	WHERE sitting = ?`)

	addUnmarked = writes("note that a hand-in is to be marked", `
	INSERT INTO unmarked (sitting, handed)
	SELECT sitting, handed
	FROM hand_ins
	WHERE sitting = ? AND NOT EXISTS (SELECT 1 FROM voids WHERE voids.sitting = hand_ins.sitting)`)
)

// AddHandIn writes a hand-in and closes the sitting; its working answers go.
// ErrExists where it is handed in already, ErrNone where there is no such
// sitting. Whoever reads the answers for it has to hold the sitting by
// OpenExclusive.
func (t txn) AddHandIn(ctx context.Context, h api.HandIn) error {
	if err := t.add(ctx, addHandIn, h.Sitting, micros(h.At), h.TimeUp, blob(h.Digest), blob(h.Answers)); err != nil {
		return err
	}
	if err := t.do(ctx, closeSitting, h.Sitting); err != nil {
		return err
	}
	return t.do(ctx, addUnmarked, h.Sitting)
}

var overdue = reads("list overdue sittings", `
	SELECT sitting
	FROM open_sittings
	WHERE deadline <= ?
	ORDER BY deadline, sitting
	LIMIT ?`)

// Overdue lists open sittings whose time is up, the longest overdue first.
func (r reader) Overdue(ctx context.Context, now time.Time, limit int) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, overdue, micros(now), limit)
	return ids, err
}

var unmarked = reads("list unmarked sittings", `
	SELECT sitting
	FROM unmarked
	ORDER BY handed, sitting
	LIMIT ?`)

// Unmarked lists hand-ins that wait to be marked, oldest first. One that was
// struck out waits no more.
func (r reader) Unmarked(ctx context.Context, limit int) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, unmarked, limit)
	return ids, err
}

var handedIn = reads("list sittings handed in", `
	SELECT sitting
	FROM hand_ins
	WHERE sitting > ?
	ORDER BY sitting
	LIMIT ?`)

// SittingIDs lists sittings handed in whose id comes after the given one.
func (r reader) SittingIDs(ctx context.Context, after string, limit int) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, handedIn, after, limit)
	return ids, err
}

var everySitting = reads("list sittings by id", `
	SELECT id
	FROM sittings
	WHERE id > ?
	ORDER BY id
	LIMIT ?`)

// EverySittingID lists sittings whose id comes after the given one.
func (r reader) EverySittingID(ctx context.Context, after string, limit int) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, everySitting, after, limit)
	return ids, err
}
