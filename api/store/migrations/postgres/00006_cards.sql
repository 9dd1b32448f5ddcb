-- +goose Up

-- Append-only: wallet cards, each with the SHA-256 of the code that its QR
-- leads to; the code itself is kept nowhere. Revision and last day are as printed.
CREATE TABLE cards (
    id        TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    code      BYTEA  NOT NULL UNIQUE,
    person    TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    procedure TEXT   COLLATE "C" NOT NULL,
    revision  TEXT   COLLATE "C" NOT NULL,
    until     TEXT   COLLATE "C" NOT NULL,
    issued    BIGINT NOT NULL,
    issued_by TEXT   COLLATE "C" NOT NULL REFERENCES people (id)
);

CREATE INDEX cards_of_person ON cards (person, procedure, issued);

-- Append-only: a card that is here is not valid any more.
CREATE TABLE card_revocations (
    card       TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES cards (id),
    revoked    BIGINT NOT NULL,
    revoked_by TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    reason     TEXT   COLLATE "C" NOT NULL
);

SELECT make_append_only('cards');
SELECT make_append_only('card_revocations');
