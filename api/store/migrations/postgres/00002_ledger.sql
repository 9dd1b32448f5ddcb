-- +goose Up

-- Append-only: the ledger, one entry for each act, numbered from 0 without a
-- gap. The text is the entry; kind, subject and at are read off it, to find it
-- by. hashes are those that are stored with it, 32 bytes each: its leaf hash,
-- then, smallest first, those of the subtrees that it completes.
CREATE TABLE ledger_entries (
    n       BIGINT NOT NULL PRIMARY KEY,
    kind    TEXT   COLLATE "C" NOT NULL,
    subject TEXT   COLLATE "C" NOT NULL,
    at      BIGINT NOT NULL,
    text    BYTEA  NOT NULL,
    hashes  BYTEA  NOT NULL
);

CREATE INDEX ledger_entries_of_subject ON ledger_entries (subject, n);

-- Working state: the head of the ledger, one row. peaks are those of the tree,
-- 32 bytes each; checkpoint is the head as it was signed when it became that.
-- Room is left in the page, so that the row changes in place.
CREATE TABLE ledger_head (
    one        INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    size       BIGINT  NOT NULL,
    root       BYTEA   NOT NULL,
    peaks      BYTEA   NOT NULL,
    checkpoint BYTEA   NOT NULL
) WITH (fillfactor = 10);

-- The root of no entries is the SHA-256 of nothing (RFC 6962 §2.1).
INSERT INTO ledger_head (one, size, root, peaks, checkpoint)
VALUES (1, 0, '\xe3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855', '', '');

-- Append-only: the public keys of the ledger, each with the size from which on
-- it signs and the checkpoint by which the one before handed over to it.
CREATE TABLE ledger_keys (
    valid_from BIGINT NOT NULL PRIMARY KEY,
    verifier   TEXT   COLLATE "C" NOT NULL UNIQUE,
    handover   BYTEA  NOT NULL
);

SELECT make_append_only('ledger_entries');
SELECT make_append_only('ledger_keys');
