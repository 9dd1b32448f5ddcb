-- +goose Up

-- Working state: checks of the whole record, as far as they have come, so that
-- every instance shows the same. What a check found is a list of sentences, as
-- JSON. ended is NULL while it runs.
CREATE TABLE record_checks (
    id       TEXT    NOT NULL PRIMARY KEY,
    asked_by TEXT    REFERENCES people (id),
    begun    INTEGER NOT NULL,
    seen     INTEGER NOT NULL,
    ended    INTEGER,
    part     TEXT    NOT NULL,
    done     INTEGER NOT NULL,
    total    INTEGER NOT NULL,
    older    INTEGER NOT NULL,
    entries  INTEGER NOT NULL,
    records  INTEGER NOT NULL,
    wrong    INTEGER NOT NULL,
    found    BLOB    NOT NULL,
    broke    TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX record_checks_by_time ON record_checks (begun, id);
