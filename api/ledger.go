package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"time"

	"soloright/scoring/ledger"
)

// Every act on the record is attested by an entry of the ledger, appended in the
// transaction of the act. This file holds the entries, one function for each
// kind; ledger_attest.go holds, for each, the check that what it attests is
// still what the database holds. Entries carry ids and digests, no names; "by"
// is the person who acted, "operator" for whoever runs the program, "program"
// for what it does by itself.
const (
	byOperator = "operator"
	byProgram  = "program"
)

// by names who acted.
func (w Actor) by() string {
	if w.op {
		return byOperator
	}
	return w.Person.ID
}

// attest appends entries in the transaction of the act. It is called last: from
// here on everybody else who appends waits for the commit.
func (a *App) attest(ctx context.Context, tx Tx, entries ...ledger.Entry) error {
	return AppendEntries(ctx, tx, a.signer, entries...)
}

// AppendEntries appends entries to the ledger, in their order, and signs the new
// head; without entries it does nothing. Several in one call cost hardly more
// than one. A nil signer leaves the head unsigned: for tests only, and only in a
// ledger that nobody ever signed.
//
// It refuses to continue a head that the signer does not vouch for: one that was
// changed behind the program's back, or that another key has signed since.
func AppendEntries(ctx context.Context, tx Tx, signer *ledger.Signer, entries ...ledger.Entry) error {
	if len(entries) == 0 {
		return nil
	}
	texts := make([][]byte, len(entries))
	for i, e := range entries {
		var err error
		if texts[i], err = e.MarshalText(); err != nil {
			return err
		}
	}
	before, err := tx.LockLedger(ctx)
	if err != nil {
		return err
	}
	if err := vouch(before, signer); err != nil {
		return err
	}
	head, stored, err := ledger.Append(before.Head, texts...)
	if err != nil {
		return err
	}
	after := LedgerHead{Head: head}
	if signer != nil {
		if after.Checkpoint, err = signer.Sign(head); err != nil {
			return err
		}
	}
	if err := tx.PutLedger(ctx, after, ledgerRows(before.Size, entries, texts, stored)); err != nil {
		return fmt.Errorf("append to the ledger: %w", err)
	}
	return nil
}

// ledgerRows deals the stored hashes out to their entries.
func ledgerRows(first int64, entries []ledger.Entry, texts [][]byte, stored []ledger.Hash) []LedgerRow {
	rows := make([]LedgerRow, len(entries))
	for i, e := range entries {
		n := first + int64(i)
		with := ledger.HashesWith(n)
		rows[i] = LedgerRow{N: n, Kind: e.Kind, Subject: e.ID, At: e.At, Text: texts[i], Hashes: stored[:with]}
		stored = stored[with:]
	}
	return rows
}

// vouch returns nil if the signer may continue the head. The first entry of all
// has no signed head before it.
func vouch(h LedgerHead, signer *ledger.Signer) error {
	whole, err := ledger.NewHead(h.Size, h.Peaks)
	switch {
	case err != nil:
	case whole.Root != h.Root:
		err = errors.New("its root is not that of its peaks")
	case signer == nil && len(h.Checkpoint) > 0:
		err = errors.New("it is signed, and no key is given")
	case signer != nil && (h.Size > 0 || len(h.Checkpoint) > 0):
		err = signer.Vouches(whole, h.Checkpoint)
	}
	if err == nil {
		return nil
	}
	return &Error{Kind: Unavailable, Err: fmt.Errorf("continue the ledger at %d entries: %w", h.Size, err),
		Message: "Nothing can be put on the record just now: the head of its ledger is not one that this program signed. Tell whoever runs it."}
}

// digest is the SHA-256 of bytes, as entries carry it.
func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// rowDigest is the digest of the columns of a row, or of several, each written
// with its length before it, so that no two rows have one text:
// "4:pump1:A16:1930000000000000".
func rowDigest(columns ...any) string {
	h := sha256.New()
	for _, c := range columns {
		s := ""
		switch c := c.(type) {
		case string:
			s = c
		case []byte:
			s = string(c)
		case int:
			s = strconv.Itoa(c)
		case bool:
			s = strconv.FormatBool(c)
		case time.Time:
			s = strconv.FormatInt(c.UnixMicro(), 10)
		default:
			s = fmt.Sprint(c)
		}
		fmt.Fprintf(h, "%d:%s", len(s), s)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// label writes a text that an author chose so that it is fit for an attribute.
func label(s string) string { return url.PathEscape(s) }

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// passwordDigest attests which password a person has. The stored string has a
// random salt in it, so the digest tells nothing of the password.
func passwordDigest(phc string) string {
	if phc == "" {
		return "none"
	}
	return digest([]byte(phc))
}

func accountAdded(p Person, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.AccountAdded, ID: p.ID, At: p.Added,
		Attributes: map[string]string{"by": by, "role": label(string(p.Role)), "password": passwordDigest(p.Password)}}
}

// accountChanges are the entries of what one change of an account changed.
func accountChanges(old, p Person, at time.Time, by string) []ledger.Entry {
	var all []ledger.Entry
	add := func(k ledger.Kind, key, value string) {
		e := ledger.Entry{Kind: k, ID: p.ID, At: at, Attributes: map[string]string{"by": by}}
		if key != "" {
			e.Attributes[key] = value
		}
		all = append(all, e)
	}
	if p.Name != old.Name || p.Crew != old.Crew {
		add(ledger.AccountChanged, "", "")
	}
	if p.Role != old.Role {
		add(ledger.RoleChanged, "role", label(string(p.Role)))
	}
	if p.Password != old.Password {
		add(ledger.PasswordSet, "password", passwordDigest(p.Password))
	}
	switch {
	case p.Left.Equal(old.Left):
	case p.Left.IsZero():
		add(ledger.AccountBack, "", "")
	default:
		add(ledger.AccountLeft, "", "")
	}
	return all
}

func revisionImported(r Revision, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.RevisionImported, ID: r.Procedure, At: r.Imported, Attributes: map[string]string{
		"by": by, "revision": label(r.Revision), "text": hex.EncodeToString(revisionDigest(r.Source, r.Blueprint)),
		"row": rowDigest(r.Procedure, r.Revision, r.Title, r.Issued.String(), r.Imported, r.By)}}
}

// handedIn attests the sitting, its form and the answers.
func handedIn(s Sitting, form []byte, h HandIn, at time.Time, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.SittingHandedIn, ID: s.ID, At: at, Attributes: map[string]string{
		"by": by, "person": s.Person, "procedure": label(s.Procedure), "revision": label(s.Revision), "mode": string(s.Mode),
		"form": digest(form), "answers": digest(h.Answers), "time-up": yesNo(h.TimeUp),
		"row": rowDigest(s.ID, s.Person, s.Procedure, s.Revision, s.Build, string(s.Mode), s.Confirms, s.Opened, s.Deadline, s.Items, h.At, h.TimeUp)}}
}

func marked(m Marking, by string) ledger.Entry {
	kind := ledger.SittingMarked
	if m.N > 1 {
		kind = ledger.SittingRemarked
	}
	return ledger.Entry{Kind: kind, ID: m.Sitting, At: m.At, Attributes: map[string]string{
		"by": by, "marking": strconv.Itoa(m.N), "rules": strconv.Itoa(m.Rules), "outcome": digest(m.Outcome), "verdict": m.Verdict,
		"row": rowDigest(m.Sitting, m.N, m.Rules, m.At, m.Verdict, m.Percent, m.Reason)}}
}

func voided(v Void, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.SittingVoided, ID: v.Sitting, At: v.At, Attributes: map[string]string{
		"by": by, "reason": digest([]byte(v.Reason)), "row": rowDigest(v.Sitting, v.At, v.By, v.Reason)}}
}
