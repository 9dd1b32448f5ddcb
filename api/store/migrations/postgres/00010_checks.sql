-- +goose Up

-- Working state: checks of the whole record, as far as they have come, so that
-- every instance shows the same. What a check found is a list of sentences, as
-- JSON. ended is NULL while it runs.
CREATE TABLE record_checks (
    id       TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    asked_by TEXT   COLLATE "C" REFERENCES people (id),
    begun    BIGINT NOT NULL,
    seen     BIGINT NOT NULL,
    ended    BIGINT,
    part     TEXT   COLLATE "C" NOT NULL,
    done     BIGINT NOT NULL,
    total    BIGINT NOT NULL,
    older    BIGINT NOT NULL,
    entries  BIGINT NOT NULL,
    records  BIGINT NOT NULL,
    wrong    BIGINT NOT NULL,
    found    BYTEA  NOT NULL,
    broke    TEXT   COLLATE "C" NOT NULL
);

CREATE INDEX record_checks_by_time ON record_checks (begun, id);
