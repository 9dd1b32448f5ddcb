-- +goose Up

-- Append-only: what happened to people, procedures and clearances, one row for
-- each act, in the order of the record: seq is one more than the number of the
-- ledger entry that attests it. data is the act as package clearance encodes
-- it; person, procedure and subject are to find it by.
CREATE TABLE acts (
    seq       BIGINT NOT NULL PRIMARY KEY,
    at        BIGINT NOT NULL,
    done_by   TEXT   COLLATE "C" REFERENCES people (id),
    kind      TEXT   COLLATE "C" NOT NULL,
    person    TEXT   COLLATE "C" NOT NULL,
    procedure TEXT   COLLATE "C" NOT NULL,
    subject   TEXT   COLLATE "C" NOT NULL,
    data      BYTEA  NOT NULL
);

CREATE INDEX acts_of_person ON acts (person, seq);
CREATE INDEX acts_of_procedure ON acts (procedure, seq);
CREATE INDEX acts_of_subject ON acts (subject, seq);

-- Working state: qualifying sittings marked "to confirm" that have no final
-- verdict yet.
CREATE TABLE unsettled (
    sitting TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES hand_ins (sitting),
    handed  BIGINT NOT NULL
);

CREATE INDEX unsettled_by_time ON unsettled (handed, sitting);

SELECT make_append_only('acts');
