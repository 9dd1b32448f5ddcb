package store

import (
	"context"
	"database/sql"
	"strings"

	"soloright/api"
)

// personRow is a row of people.
type personRow struct {
	ID       string          `db:"id"`
	SignIn   string          `db:"sign_in"`
	Name     string          `db:"name"`
	Role     string          `db:"role"`
	Password string          `db:"password"`
	Crew     string          `db:"crew"`
	Added    int64           `db:"added"`
	Gone     sql.Null[int64] `db:"gone"`
}

func (r personRow) person() api.Person {
	return api.Person{ID: r.ID, SignIn: r.SignIn, Name: r.Name, Role: api.Role(r.Role), Password: r.Password, Crew: r.Crew,
		Added: instant(r.Added), Left: instantOrZero(r.Gone)}
}

var personByID = reads("read person", `
	SELECT id, sign_in, name, role, password, crew, added, gone
	FROM people
	WHERE id = ?`)

// Person finds a person by id.
func (r reader) Person(ctx context.Context, id string) (api.Person, error) {
	return r.person(ctx, personByID, id)
}

var personBySignIn = reads("read person by sign-in", `
	SELECT id, sign_in, name, role, password, crew, added, gone
	FROM people
	WHERE sign_in = ?`)

// PersonBySignIn finds a person by the name to sign in with, in any case.
func (r reader) PersonBySignIn(ctx context.Context, signIn string) (api.Person, error) {
	return r.person(ctx, personBySignIn, strings.ToLower(signIn))
}

func (r reader) person(ctx context.Context, s *statement, key string) (api.Person, error) {
	var row personRow
	if err := r.get(ctx, &row, s, key); err != nil {
		return api.Person{}, err
	}
	return row.person(), nil
}

var everybody = reads("list people", `
	SELECT id, sign_in, name, role, password, crew, added, gone
	FROM people
	ORDER BY name, id`)

// People lists everybody, also who has left, by the bytes of the name, then by id.
func (r reader) People(ctx context.Context) ([]api.Person, error) {
	var rows []personRow
	if err := r.list(ctx, &rows, everybody); err != nil {
		return nil, err
	}
	people := make([]api.Person, len(rows))
	for i, row := range rows {
		people[i] = row.person()
	}
	return people, nil
}

var addPerson = writes("add person", `
	INSERT INTO people (id, sign_in, name, role, password, crew, added, gone)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddPerson adds a person; the sign-in name is kept in lower case.
func (t txn) AddPerson(ctx context.Context, p api.Person) error {
	return t.add(ctx, addPerson, p.ID, strings.ToLower(p.SignIn), p.Name, string(p.Role), p.Password, p.Crew, micros(p.Added), microsOrNull(p.Left))
}

var setPerson = writes("change person", `
	UPDATE people
	SET name = ?, role = ?, password = ?, crew = ?, gone = ?
	WHERE id = ?`)

// SetPerson replaces what may change of a person: all but id, sign-in name and
// the time of adding.
func (t txn) SetPerson(ctx context.Context, p api.Person) error {
	n, err := t.exec(ctx, setPerson, p.Name, string(p.Role), p.Password, p.Crew, microsOrNull(p.Left), p.ID)
	if err == nil && n == 0 {
		return api.ErrNone
	}
	return err
}
