-- +goose Up

-- Append-only: wallet cards, each with the SHA-256 of the code that its QR
-- leads to; the code itself is kept nowhere. Revision and last day are as printed.
CREATE TABLE cards (
    id        TEXT    NOT NULL PRIMARY KEY,
    code      BLOB    NOT NULL UNIQUE,
    person    TEXT    NOT NULL REFERENCES people (id),
    procedure TEXT    NOT NULL,
    revision  TEXT    NOT NULL,
    until     TEXT    NOT NULL,
    issued    INTEGER NOT NULL,
    issued_by TEXT    NOT NULL REFERENCES people (id)
) STRICT, WITHOUT ROWID;

CREATE INDEX cards_of_person ON cards (person, procedure, issued);

-- Append-only: a card that is here is not valid any more.
CREATE TABLE card_revocations (
    card       TEXT    NOT NULL PRIMARY KEY REFERENCES cards (id),
    revoked    INTEGER NOT NULL,
    revoked_by TEXT    NOT NULL REFERENCES people (id),
    reason     TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER cards_no_update BEFORE UPDATE ON cards BEGIN SELECT RAISE(ABORT, 'cards is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER cards_no_delete BEFORE DELETE ON cards BEGIN SELECT RAISE(ABORT, 'cards is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER cards_no_replace BEFORE INSERT ON cards
WHEN EXISTS (SELECT 1 FROM cards WHERE id = NEW.id OR code = NEW.code)
BEGIN SELECT RAISE(ABORT, 'cards has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_revocations_no_update BEFORE UPDATE ON card_revocations BEGIN SELECT RAISE(ABORT, 'card_revocations is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_revocations_no_delete BEFORE DELETE ON card_revocations BEGIN SELECT RAISE(ABORT, 'card_revocations is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_revocations_no_replace BEFORE INSERT ON card_revocations
WHEN EXISTS (SELECT 1 FROM card_revocations WHERE card = NEW.card)
BEGIN SELECT RAISE(ABORT, 'card_revocations has this key already'); END;
-- +goose StatementEnd
