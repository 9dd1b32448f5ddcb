-- +goose Up

-- Append-only: what happened to people, procedures and clearances, one row for
-- each act, in the order of the record: seq is one more than the number of the
-- ledger entry that attests it. data is the act as package clearance encodes
-- it; person, procedure and subject are to find it by.
CREATE TABLE acts (
    seq       INTEGER NOT NULL PRIMARY KEY,
    at        INTEGER NOT NULL,
    done_by   TEXT    REFERENCES people (id),
    kind      TEXT    NOT NULL,
    person    TEXT    NOT NULL,
    procedure TEXT    NOT NULL,
    subject   TEXT    NOT NULL,
    data      BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX acts_of_person ON acts (person, seq);
CREATE INDEX acts_of_procedure ON acts (procedure, seq);
CREATE INDEX acts_of_subject ON acts (subject, seq);

-- Working state: qualifying sittings marked "to confirm" that have no final
-- verdict yet.
CREATE TABLE unsettled (
    sitting TEXT    NOT NULL PRIMARY KEY REFERENCES hand_ins (sitting),
    handed  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX unsettled_by_time ON unsettled (handed, sitting);

-- +goose StatementBegin
CREATE TRIGGER acts_no_update BEFORE UPDATE ON acts BEGIN SELECT RAISE(ABORT, 'acts is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER acts_no_delete BEFORE DELETE ON acts BEGIN SELECT RAISE(ABORT, 'acts is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER acts_no_replace BEFORE INSERT ON acts
WHEN EXISTS (SELECT 1 FROM acts WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'acts has this key already'); END;
-- +goose StatementEnd
