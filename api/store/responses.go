package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"soloright/api"
)

// responseRow is a row of responses with what is read off its sitting.
type responseRow struct {
	Sitting   string           `db:"sitting"`
	Place     int64            `db:"place"`
	N         int              `db:"n"`
	Void      bool             `db:"void"`
	Sheets    []byte           `db:"sheets"`
	Person    string           `db:"person"`
	Crew      string           `db:"crew"`
	Procedure string           `db:"procedure"`
	Revision  string           `db:"revision"`
	Build     string           `db:"build"`
	Mode      string           `db:"mode"`
	Confirms  sql.Null[string] `db:"confirms"`
	Handed    int64            `db:"handed"`
}

func (r responseRow) responses() (api.SittingResponses, error) {
	s := api.SittingResponses{Place: r.Place, Sitting: r.Sitting, Person: r.Person, Crew: r.Crew, Procedure: r.Procedure, Revision: r.Revision, Build: r.Build,
		Mode: api.Mode(r.Mode), Confirms: r.Confirms.V, HandedIn: instant(r.Handed), N: r.N, Void: r.Void}
	if r.Void {
		return s, nil
	}
	if err := json.Unmarshal(r.Sheets, &s.Sheets); err != nil {
		return s, fmt.Errorf("decode responses of %s: %w", r.Sitting, err)
	}
	return s, nil
}

const selectResponses = `
	SELECT r.sitting, r.place, r.n, r.void, r.sheets, s.person, p.crew, s.procedure, s.revision, s.build, s.mode, s.confirms, h.handed
	FROM responses AS r
	JOIN sittings AS s ON s.id = r.sitting
	JOIN hand_ins AS h ON h.sitting = r.sitting
	JOIN people AS p ON p.id = s.person`

var (
	responsesAfter = reads("list responses", selectResponses+`
	WHERE r.place > ?
	ORDER BY r.place
	LIMIT ?`)

	responsesOf = reads("read responses", selectResponses+`
	WHERE r.sitting = ?`)

	withoutResponses = reads("list sittings without responses", `
	SELECT DISTINCT sitting
	FROM marks
	WHERE sitting > ?
		AND NOT EXISTS (SELECT 1 FROM responses WHERE responses.sitting = marks.sitting AND (responses.void OR responses.n >= marks.n))
	ORDER BY sitting
	LIMIT ?`)
)

// Responses lists what sittings say, by place.
func (r reader) Responses(ctx context.Context, after int64, limit int) ([]api.SittingResponses, error) {
	var rows []responseRow
	if err := r.list(ctx, &rows, responsesAfter, after, limit); err != nil {
		return nil, err
	}
	all := make([]api.SittingResponses, len(rows))
	for i, row := range rows {
		var err error
		if all[i], err = row.responses(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// ResponsesOf finds what one sitting says.
func (r reader) ResponsesOf(ctx context.Context, sitting string) (api.SittingResponses, error) {
	var row responseRow
	if err := r.get(ctx, &row, responsesOf, sitting); err != nil {
		return api.SittingResponses{}, err
	}
	return row.responses()
}

// WithoutResponses lists sittings whose last marking is not to be read.
func (r reader) WithoutResponses(ctx context.Context, after string, limit int) ([]string, error) {
	var ids []string
	if err := r.list(ctx, &ids, withoutResponses, after, limit); err != nil {
		return nil, err
	}
	return ids, nil
}

var putResponses = writes("keep responses", `
	INSERT INTO responses (sitting, place, n, void, sheets)
	VALUES (?, (SELECT COALESCE(MAX(place), 0) + 1 FROM responses), ?, ?, ?)
	ON CONFLICT (sitting) DO UPDATE
	SET place = excluded.place, n = excluded.n, void = excluded.void, sheets = excluded.sheets`)

// PutResponses keeps what a sitting says, at the end of the order.
func (t txn) PutResponses(ctx context.Context, s api.SittingResponses) error {
	sheets := []byte{}
	if !s.Void {
		var err error
		if sheets, err = json.Marshal(s.Sheets); err != nil {
			return fmt.Errorf("encode responses of %s: %w", s.Sitting, err)
		}
	}
	return t.do(ctx, putResponses, s.Sitting, s.N, s.Void, blob(sheets))
}
