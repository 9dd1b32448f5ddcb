-- +goose Up

-- Instants are whole microseconds since 1970 in UTC. Text sorts by its bytes,
-- whatever the locale of the database, so both dialects give the same order.

-- Makes a table append-only. The row trigger refuses UPDATE and DELETE, also by
-- ON CONFLICT, MERGE or a cascade; TRUNCATE has no rows and gets its own.
-- ENABLE ALWAYS: they fire even where session_replication_role is replica.
-- +goose StatementBegin
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END
$$;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE FUNCTION make_append_only(t regclass) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('CREATE TRIGGER append_only_rows BEFORE UPDATE OR DELETE ON %s
        FOR EACH ROW EXECUTE FUNCTION refuse_change()', t);
    EXECUTE format('CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON %s
        FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()', t);
    EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER append_only_rows', t);
    EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER append_only_whole', t);
END
$$;
-- +goose StatementEnd

-- Working state: who may sign in, and under what name.
CREATE TABLE people (
    id       TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    sign_in  TEXT   COLLATE "C" NOT NULL UNIQUE,
    name     TEXT   COLLATE "C" NOT NULL,
    role     TEXT   COLLATE "C" NOT NULL,
    password TEXT   COLLATE "C" NOT NULL,
    crew     TEXT   COLLATE "C" NOT NULL,
    added    BIGINT NOT NULL,
    gone     BIGINT
);

CREATE INDEX people_by_name ON people (name, id);

-- Working state: sign-ins, by the SHA-256 of their tokens.
CREATE TABLE sessions (
    hash    BYTEA  NOT NULL PRIMARY KEY,
    person  TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    begun   BIGINT NOT NULL,
    seen    BIGINT NOT NULL,
    expires BIGINT NOT NULL,
    agent   TEXT   COLLATE "C" NOT NULL
);

CREATE INDEX sessions_of_person ON sessions (person, begun);

-- Append-only: procedure revisions as they were imported.
CREATE TABLE revisions (
    procedure   TEXT   COLLATE "C" NOT NULL,
    revision    TEXT   COLLATE "C" NOT NULL,
    title       TEXT   COLLATE "C" NOT NULL,
    issued      TEXT   COLLATE "C" NOT NULL,
    digest      BYTEA  NOT NULL,
    imported    BIGINT NOT NULL,
    imported_by TEXT   COLLATE "C" REFERENCES people (id),
    blueprint   BYTEA  NOT NULL,
    source      BYTEA  NOT NULL,
    PRIMARY KEY (procedure, revision)
);

CREATE INDEX revisions_by_import ON revisions (procedure, imported, revision);

-- Append-only: sittings as they were opened. What became of one is read off
-- hand_ins, marks and voids.
CREATE TABLE sittings (
    id        TEXT    COLLATE "C" NOT NULL PRIMARY KEY,
    person    TEXT    COLLATE "C" NOT NULL REFERENCES people (id),
    procedure TEXT    COLLATE "C" NOT NULL,
    revision  TEXT    COLLATE "C" NOT NULL,
    build     TEXT    COLLATE "C" NOT NULL,
    mode      TEXT    COLLATE "C" NOT NULL,
    confirms  TEXT    COLLATE "C" UNIQUE REFERENCES sittings (id),
    opened    BIGINT  NOT NULL,
    deadline  BIGINT  NOT NULL,
    items     INTEGER NOT NULL,
    digest    BYTEA   NOT NULL,
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
);

CREATE INDEX sittings_by_time ON sittings (opened, id);
CREATE INDEX sittings_of_person ON sittings (person, opened, id);
CREATE INDEX sittings_of_person_on ON sittings (person, procedure, opened, id);
CREATE INDEX sittings_of_procedure ON sittings (procedure, opened, id);

-- Append-only: the forms as set, with their keys, to the byte.
CREATE TABLE forms (
    sitting TEXT  COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sittings (id),
    form    BYTEA NOT NULL
);

-- Append-only: what each sheet of a form asks; facts is a JSON array of ids.
CREATE TABLE sitting_items (
    sitting TEXT    COLLATE "C" NOT NULL REFERENCES sittings (id),
    sheet   INTEGER NOT NULL,
    item    TEXT    COLLATE "C" NOT NULL,
    model   TEXT    COLLATE "C" NOT NULL,
    lead    TEXT    COLLATE "C" NOT NULL,
    topic   TEXT    COLLATE "C" NOT NULL,
    facts   TEXT    COLLATE "C" NOT NULL,
    PRIMARY KEY (sitting, sheet)
);

-- Working state: the sittings that can be answered. A hand-in deletes the row,
-- so reading it under a lock tells in one statement that a sitting is open and
-- stays so. A person has one for each procedure and mode, and beside it one
-- that confirms another sitting.
CREATE TABLE open_sittings (
    sitting   TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sittings (id),
    person    TEXT   COLLATE "C" NOT NULL,
    procedure TEXT   COLLATE "C" NOT NULL,
    mode      TEXT   COLLATE "C" NOT NULL,
    confirms  TEXT   COLLATE "C" NOT NULL,
    opened    BIGINT NOT NULL,
    deadline  BIGINT NOT NULL,
    UNIQUE (person, procedure, mode, confirms)
);

CREATE INDEX open_sittings_by_deadline ON open_sittings (deadline, sitting);

-- Working state: the answers of open sittings, gone with the hand-in. Room is
-- left in each page, so that a changed answer stays in it.
CREATE TABLE answers (
    sitting  TEXT    COLLATE "C" NOT NULL REFERENCES open_sittings (sitting) ON DELETE CASCADE,
    sheet    INTEGER NOT NULL,
    revision BIGINT  NOT NULL,
    answer   BYTEA   NOT NULL,
    kept     BIGINT  NOT NULL,
    fixed    BOOLEAN NOT NULL,
    millis   BIGINT  NOT NULL,
    PRIMARY KEY (sitting, sheet)
) WITH (fillfactor = 70);

-- Append-only: the ends of sittings, with the answers as they stood.
CREATE TABLE hand_ins (
    sitting TEXT    COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sittings (id),
    handed  BIGINT  NOT NULL,
    time_up BOOLEAN NOT NULL,
    digest  BYTEA   NOT NULL,
    answers BYTEA   NOT NULL
);

-- Working state: hand-ins that wait to be marked.
CREATE TABLE unmarked (
    sitting TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES hand_ins (sitting),
    handed  BIGINT NOT NULL
);

CREATE INDEX unmarked_by_time ON unmarked (handed, sitting);

-- Append-only: markings; the one with the highest n stands.
CREATE TABLE marks (
    sitting TEXT    COLLATE "C" NOT NULL REFERENCES hand_ins (sitting),
    n       INTEGER NOT NULL,
    rules   INTEGER NOT NULL,
    marked  BIGINT  NOT NULL,
    verdict TEXT    COLLATE "C" NOT NULL,
    percent INTEGER NOT NULL,
    reason  TEXT    COLLATE "C" NOT NULL,
    outcome BYTEA   NOT NULL,
    PRIMARY KEY (sitting, n)
);

-- Append-only: the state of each fact in a marking, in the marking's order.
CREATE TABLE fact_marks (
    sitting TEXT    COLLATE "C" NOT NULL,
    n       INTEGER NOT NULL,
    place   INTEGER NOT NULL,
    sheet   INTEGER NOT NULL,
    fact    TEXT    COLLATE "C" NOT NULL,
    state   TEXT    COLLATE "C" NOT NULL,
    PRIMARY KEY (sitting, n, place),
    FOREIGN KEY (sitting, n) REFERENCES marks (sitting, n),
    FOREIGN KEY (sitting, sheet) REFERENCES sitting_items (sitting, sheet)
);

-- Append-only: sittings struck out, with the reason.
CREATE TABLE voids (
    sitting   TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sittings (id),
    voided    BIGINT NOT NULL,
    voided_by TEXT   COLLATE "C" REFERENCES people (id),
    reason    TEXT   COLLATE "C" NOT NULL
);

SELECT make_append_only('revisions');
SELECT make_append_only('sittings');
SELECT make_append_only('forms');
SELECT make_append_only('sitting_items');
SELECT make_append_only('hand_ins');
SELECT make_append_only('marks');
SELECT make_append_only('fact_marks');
SELECT make_append_only('voids');
