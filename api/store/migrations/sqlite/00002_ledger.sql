-- +goose Up

-- Append-only: the ledger, one entry for each act, numbered from 0 without a
-- gap. The text is the entry; kind, subject and at are read off it, to find it
-- by. hashes are those that are stored with it, 32 bytes each: its leaf hash,
-- then, smallest first, those of the subtrees that it completes.
CREATE TABLE ledger_entries (
    n       INTEGER NOT NULL PRIMARY KEY,
    kind    TEXT    NOT NULL,
    subject TEXT    NOT NULL,
    at      INTEGER NOT NULL,
    text    BLOB    NOT NULL,
    hashes  BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX ledger_entries_of_subject ON ledger_entries (subject, n);

-- Working state: the head of the ledger, one row. peaks are those of the tree,
-- 32 bytes each; checkpoint is the head as it was signed when it became that.
CREATE TABLE ledger_head (
    one        INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    size       INTEGER NOT NULL,
    root       BLOB    NOT NULL,
    peaks      BLOB    NOT NULL,
    checkpoint BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

-- The root of no entries is the SHA-256 of nothing (RFC 6962 §2.1).
INSERT INTO ledger_head (one, size, root, peaks, checkpoint)
VALUES (1, 0, x'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855', x'', x'');

-- Append-only: the public keys of the ledger, each with the size from which on
-- it signs and the checkpoint by which the one before handed over to it.
CREATE TABLE ledger_keys (
    valid_from INTEGER NOT NULL PRIMARY KEY,
    verifier   TEXT    NOT NULL UNIQUE,
    handover   BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER ledger_entries_no_update BEFORE UPDATE ON ledger_entries BEGIN SELECT RAISE(ABORT, 'ledger_entries is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER ledger_entries_no_delete BEFORE DELETE ON ledger_entries BEGIN SELECT RAISE(ABORT, 'ledger_entries is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER ledger_entries_no_replace BEFORE INSERT ON ledger_entries
WHEN EXISTS (SELECT 1 FROM ledger_entries WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'ledger_entries has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER ledger_keys_no_update BEFORE UPDATE ON ledger_keys BEGIN SELECT RAISE(ABORT, 'ledger_keys is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER ledger_keys_no_delete BEFORE DELETE ON ledger_keys BEGIN SELECT RAISE(ABORT, 'ledger_keys is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER ledger_keys_no_replace BEFORE INSERT ON ledger_keys
WHEN EXISTS (SELECT 1 FROM ledger_keys WHERE valid_from = NEW.valid_from)
    OR EXISTS (SELECT 1 FROM ledger_keys WHERE verifier = NEW.verifier)
BEGIN SELECT RAISE(ABORT, 'ledger_keys has this key already'); END;
-- +goose StatementEnd
