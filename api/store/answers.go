package store

import (
	"context"

	"soloright/api"
)

// openRow is a row of open_sittings, as the answering path reads it.
type openRow struct {
	ID       string `db:"sitting"`
	Person   string `db:"person"`
	Mode     string `db:"mode"`
	Opened   int64  `db:"opened"`
	Deadline int64  `db:"deadline"`
}

const selectOpen = `
	SELECT sitting, person, mode, opened, deadline
	FROM open_sittings
	WHERE sitting = ?`

var (
	openShared    = locks("hold open sitting", selectOpen, dialect.lockShared)
	openExclusive = locks("hold open sitting alone", selectOpen, dialect.lockExclusive)
)

// OpenShared reads an open sitting; until this transaction ends it cannot be
// handed in.
func (t txn) OpenShared(ctx context.Context, sitting string) (api.Open, error) {
	return t.open(ctx, openShared, sitting)
}

// OpenExclusive reads an open sitting; until this transaction ends nobody else
// can answer it or hand it in.
func (t txn) OpenExclusive(ctx context.Context, sitting string) (api.Open, error) {
	return t.open(ctx, openExclusive, sitting)
}

func (t txn) open(ctx context.Context, s *statement, sitting string) (api.Open, error) {
	var row openRow
	if err := t.get(ctx, &row, s, sitting); err != nil {
		return api.Open{}, err
	}
	return api.Open{ID: row.ID, Person: row.Person, Mode: api.Mode(row.Mode), Opened: instant(row.Opened), Deadline: instant(row.Deadline)}, nil
}

// answerRow is a row of answers.
type answerRow struct {
	Sheet    int    `db:"sheet"`
	Revision int64  `db:"revision"`
	Answer   []byte `db:"answer"`
	Kept     int64  `db:"kept"`
	Fixed    bool   `db:"fixed"`
	Millis   int64  `db:"millis"`
}

var answersOf = reads("list answers", `
	SELECT sheet, revision, answer, kept, fixed, millis
	FROM answers
	WHERE sitting = ?
	ORDER BY sheet`)

// Answers lists the answers of an open sitting; there are none after its hand-in.
func (r reader) Answers(ctx context.Context, sitting string) ([]api.KeptAnswer, error) {
	var rows []answerRow
	if err := r.list(ctx, &rows, answersOf, sitting); err != nil {
		return nil, err
	}
	answers := make([]api.KeptAnswer, len(rows))
	for i, row := range rows {
		answers[i] = api.KeptAnswer{Sheet: row.Sheet, Revision: row.Revision, Answer: row.Answer, Kept: instant(row.Kept), Fixed: row.Fixed, Millis: row.Millis}
	}
	return answers, nil
}

var putAnswer = writes("keep answer", `
	INSERT INTO answers (sitting, sheet, revision, answer, kept, fixed, millis)
	VALUES (?, ?, ?, ?, ?, FALSE, ?)
	ON CONFLICT (sitting, sheet) DO UPDATE
	SET revision = excluded.revision, answer = excluded.answer, kept = excluded.kept, millis = excluded.millis
	WHERE excluded.revision > answers.revision AND NOT answers.fixed`)

// PutAnswer keeps an answer, not fixed whatever a says, unless a newer one or a
// fixed one is there. ErrNone where the sitting is not open.
func (t txn) PutAnswer(ctx context.Context, sitting string, a api.KeptAnswer) (bool, error) {
	n, err := t.exec(ctx, putAnswer, sitting, a.Sheet, a.Revision, blob(a.Answer), micros(a.Kept), a.Millis)
	return n == 1, err
}

var fixAnswer = writes("fix answer", `
	INSERT INTO answers (sitting, sheet, revision, answer, kept, fixed, millis)
	VALUES (?, ?, ?, ?, ?, TRUE, ?)
	ON CONFLICT (sitting, sheet) DO UPDATE
	SET revision = excluded.revision, answer = excluded.answer, kept = excluded.kept, fixed = TRUE, millis = excluded.millis
	WHERE NOT answers.fixed`)

// FixAnswer keeps an answer for good, whatever its revision. One that is fixed
// already stays as it is. ErrNone where the sitting is not open.
func (t txn) FixAnswer(ctx context.Context, sitting string, a api.KeptAnswer) error {
	return t.do(ctx, fixAnswer, sitting, a.Sheet, a.Revision, blob(a.Answer), micros(a.Kept), a.Millis)
}
