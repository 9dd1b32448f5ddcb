package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"soloright/api"
	"soloright/scoring/clearance"
)

// refusalRow is a row of refused_passwords.
type refusalRow struct {
	ID      string `db:"id"`
	Person  string `db:"person"`
	Refused int64  `db:"refused"`
	About   string `db:"about"`
}

func (r refusalRow) refused() api.RefusedPassword {
	return api.RefusedPassword{ID: r.ID, Person: r.Person, At: instant(r.Refused), About: r.About}
}

var (
	refusedOf = reads("list refused passwords of a person", `
	SELECT refused
	FROM refused_passwords
	WHERE person = ? AND refused > ?
	ORDER BY refused`)

	oneRefusal = reads("read refused password", `
	SELECT id, person, refused, about
	FROM refused_passwords
	WHERE id = ?`)

	everyRefusal = reads("list refused passwords", `
	SELECT id, person, refused, about
	FROM refused_passwords
	WHERE id > ?
	ORDER BY id
	LIMIT ?`)

	addRefusal = writes("add refused password", `
	INSERT INTO refused_passwords (id, person, refused, about)
	VALUES (?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

// RefusedPasswords lists when a person's password was refused, after an instant.
func (r reader) RefusedPasswords(ctx context.Context, person string, after time.Time) ([]time.Time, error) {
	var rows []int64
	if err := r.list(ctx, &rows, refusedOf, person, micros(after)); err != nil {
		return nil, err
	}
	out := make([]time.Time, len(rows))
	for i, us := range rows {
		out[i] = instant(us)
	}
	return out, nil
}

// RefusedPassword finds a refused password.
func (r reader) RefusedPassword(ctx context.Context, id string) (api.RefusedPassword, error) {
	var row refusalRow
	if err := r.get(ctx, &row, oneRefusal, id); err != nil {
		return api.RefusedPassword{}, err
	}
	return row.refused(), nil
}

// EveryRefusedPassword lists refused passwords whose id comes after the given one.
func (r reader) EveryRefusedPassword(ctx context.Context, after string, limit int) ([]api.RefusedPassword, error) {
	var rows []refusalRow
	if err := r.list(ctx, &rows, everyRefusal, after, limit); err != nil {
		return nil, err
	}
	out := make([]api.RefusedPassword, len(rows))
	for i, row := range rows {
		out[i] = row.refused()
	}
	return out, nil
}

// AddRefusedPassword keeps for good that a password was refused.
func (t txn) AddRefusedPassword(ctx context.Context, p api.RefusedPassword) error {
	return t.add(ctx, addRefusal, p.ID, p.Person, micros(p.At), p.About)
}

// signatureRow is a row of signatures.
type signatureRow struct {
	Covers     string `db:"covers"`
	ID         string `db:"id"`
	Meaning    string `db:"meaning"`
	Signer     string `db:"signer"`
	Name       string `db:"name"`
	Role       string `db:"role"`
	Technician string `db:"technician"`
	Signed     int64  `db:"signed"`
	Digest     []byte `db:"digest"`
}

func (r signatureRow) signature() api.Signature {
	return api.Signature{Covers: clearance.Covered{Kind: r.Covers, ID: r.ID, Digest: hex.EncodeToString(r.Digest)}, Meaning: clearance.Meaning(r.Meaning),
		Signer: r.Signer, Name: r.Name, Role: api.Role(r.Role), Technician: r.Technician, At: instant(r.Signed)}
}

var (
	signaturesUnder = reads("list signatures", `
	SELECT covers, id, meaning, signer, name, role, technician, signed, digest
	FROM signatures
	WHERE covers = ? AND id = ?
	ORDER BY signed, meaning`)

	everySignature = reads("list every signature", `
	SELECT covers, id, meaning, signer, name, role, technician, signed, digest
	FROM signatures
	WHERE (covers, id, meaning) > (?, ?, ?)
	ORDER BY covers, id, meaning
	LIMIT ?`)

	addSignature = writes("add signature", `
	INSERT INTO signatures (covers, id, meaning, signer, name, role, technician, signed, digest)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

// Signatures lists the signatures under a thing, the first one first.
func (r reader) Signatures(ctx context.Context, kind, id string) ([]api.Signature, error) {
	return r.signatures(ctx, signaturesUnder, kind, id)
}

// EverySignature lists signatures that come after the given one.
func (r reader) EverySignature(ctx context.Context, after api.Signature, limit int) ([]api.Signature, error) {
	return r.signatures(ctx, everySignature, after.Covers.Kind, after.Covers.ID, string(after.Meaning), limit)
}

func (r reader) signatures(ctx context.Context, s *statement, args ...any) ([]api.Signature, error) {
	var rows []signatureRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	out := make([]api.Signature, len(rows))
	for i, row := range rows {
		out[i] = row.signature()
	}
	return out, nil
}

// AddSignature keeps a signature for good.
func (t txn) AddSignature(ctx context.Context, s api.Signature) error {
	digest, err := hex.DecodeString(s.Covers.Digest)
	if err != nil {
		return fmt.Errorf("add signature: %w", err)
	}
	return t.add(ctx, addSignature, s.Covers.Kind, s.Covers.ID, string(s.Meaning), s.Signer, s.Name, string(s.Role), s.Technician, micros(s.At), blob(digest))
}
