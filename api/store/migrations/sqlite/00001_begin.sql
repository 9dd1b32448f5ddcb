-- +goose Up

-- Instants are whole microseconds since 1970 in UTC. Text sorts by its bytes.
--
-- What is append-only has no rowid (REPLACE could take a row out by it) and
-- three triggers: no UPDATE, no DELETE, and no INSERT of a key that is there
-- already. The third is for INSERT OR REPLACE, which deletes the old row
-- without asking the DELETE trigger; it names every unique key of its table.

-- Working state: who may sign in, and under what name.
CREATE TABLE people (
    id       TEXT    NOT NULL PRIMARY KEY,
    sign_in  TEXT    NOT NULL UNIQUE,
    name     TEXT    NOT NULL,
    role     TEXT    NOT NULL,
    password TEXT    NOT NULL,
    crew     TEXT    NOT NULL,
    added    INTEGER NOT NULL,
    gone     INTEGER
) STRICT, WITHOUT ROWID;

CREATE INDEX people_by_name ON people (name, id);

-- Working state: sign-ins, by the SHA-256 of their tokens.
CREATE TABLE sessions (
    hash    BLOB    NOT NULL PRIMARY KEY,
    person  TEXT    NOT NULL REFERENCES people (id),
    begun   INTEGER NOT NULL,
    seen    INTEGER NOT NULL,
    expires INTEGER NOT NULL,
    agent   TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX sessions_of_person ON sessions (person, begun);

-- Append-only: procedure revisions as they were imported.
CREATE TABLE revisions (
    procedure   TEXT    NOT NULL,
    revision    TEXT    NOT NULL,
    title       TEXT    NOT NULL,
    issued      TEXT    NOT NULL,
    digest      BLOB    NOT NULL,
    imported    INTEGER NOT NULL,
    imported_by TEXT    REFERENCES people (id),
    blueprint   BLOB    NOT NULL,
    source      BLOB    NOT NULL,
    PRIMARY KEY (procedure, revision)
) STRICT, WITHOUT ROWID;

CREATE INDEX revisions_by_import ON revisions (procedure, imported, revision);

-- Append-only: sittings as they were opened. What became of one is read off
-- hand_ins, marks and voids.
CREATE TABLE sittings (
    id        TEXT    NOT NULL PRIMARY KEY,
    person    TEXT    NOT NULL REFERENCES people (id),
    procedure TEXT    NOT NULL,
    revision  TEXT    NOT NULL,
    build     TEXT    NOT NULL,
    mode      TEXT    NOT NULL,
    confirms  TEXT    UNIQUE REFERENCES sittings (id),
    opened    INTEGER NOT NULL,
    deadline  INTEGER NOT NULL,
    items     INTEGER NOT NULL,
    digest    BLOB    NOT NULL,
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
) STRICT, WITHOUT ROWID;

CREATE INDEX sittings_by_time ON sittings (opened, id);
CREATE INDEX sittings_of_person ON sittings (person, opened, id);
CREATE INDEX sittings_of_person_on ON sittings (person, procedure, opened, id);
CREATE INDEX sittings_of_procedure ON sittings (procedure, opened, id);

-- Append-only: the forms as set, with their keys, to the byte.
CREATE TABLE forms (
    sitting TEXT NOT NULL PRIMARY KEY REFERENCES sittings (id),
    form    BLOB NOT NULL
) STRICT, WITHOUT ROWID;

-- Append-only: what each sheet of a form asks; facts is a JSON array of ids.
CREATE TABLE sitting_items (
    sitting TEXT    NOT NULL REFERENCES sittings (id),
    sheet   INTEGER NOT NULL,
    item    TEXT    NOT NULL,
    model   TEXT    NOT NULL,
    lead    TEXT    NOT NULL,
    topic   TEXT    NOT NULL,
    facts   TEXT    NOT NULL,
    PRIMARY KEY (sitting, sheet)
) STRICT, WITHOUT ROWID;

-- Working state: the sittings that can be answered. A hand-in deletes the row,
-- so reading it tells in one statement that a sitting is open. A person has one
-- for each procedure and mode, and beside it one that confirms another sitting.
CREATE TABLE open_sittings (
    sitting   TEXT    NOT NULL PRIMARY KEY REFERENCES sittings (id),
    person    TEXT    NOT NULL,
    procedure TEXT    NOT NULL,
    mode      TEXT    NOT NULL,
    confirms  TEXT    NOT NULL,
    opened    INTEGER NOT NULL,
    deadline  INTEGER NOT NULL,
    UNIQUE (person, procedure, mode, confirms)
) STRICT, WITHOUT ROWID;

CREATE INDEX open_sittings_by_deadline ON open_sittings (deadline, sitting);

-- Working state: the answers of open sittings, gone with the hand-in.
CREATE TABLE answers (
    sitting  TEXT    NOT NULL REFERENCES open_sittings (sitting) ON DELETE CASCADE,
    sheet    INTEGER NOT NULL,
    revision INTEGER NOT NULL,
    answer   BLOB    NOT NULL,
    kept     INTEGER NOT NULL,
    fixed    INTEGER NOT NULL,
    millis   INTEGER NOT NULL,
    PRIMARY KEY (sitting, sheet)
) STRICT, WITHOUT ROWID;

-- Append-only: the ends of sittings, with the answers as they stood.
CREATE TABLE hand_ins (
    sitting TEXT    NOT NULL PRIMARY KEY REFERENCES sittings (id),
    handed  INTEGER NOT NULL,
    time_up INTEGER NOT NULL,
    digest  BLOB    NOT NULL,
    answers BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

-- Working state: hand-ins that wait to be marked.
CREATE TABLE unmarked (
    sitting TEXT    NOT NULL PRIMARY KEY REFERENCES hand_ins (sitting),
    handed  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX unmarked_by_time ON unmarked (handed, sitting);

-- Append-only: markings; the one with the highest n stands.
CREATE TABLE marks (
    sitting TEXT    NOT NULL REFERENCES hand_ins (sitting),
    n       INTEGER NOT NULL,
    rules   INTEGER NOT NULL,
    marked  INTEGER NOT NULL,
    verdict TEXT    NOT NULL,
    percent INTEGER NOT NULL,
    reason  TEXT    NOT NULL,
    outcome BLOB    NOT NULL,
    PRIMARY KEY (sitting, n)
) STRICT, WITHOUT ROWID;

-- Append-only: the state of each fact in a marking, in the marking's order.
CREATE TABLE fact_marks (
    sitting TEXT    NOT NULL,
    n       INTEGER NOT NULL,
    place   INTEGER NOT NULL,
    sheet   INTEGER NOT NULL,
    fact    TEXT    NOT NULL,
    state   TEXT    NOT NULL,
    PRIMARY KEY (sitting, n, place),
    FOREIGN KEY (sitting, n) REFERENCES marks (sitting, n),
    FOREIGN KEY (sitting, sheet) REFERENCES sitting_items (sitting, sheet)
) STRICT, WITHOUT ROWID;

-- Append-only: sittings struck out, with the reason.
CREATE TABLE voids (
    sitting   TEXT    NOT NULL PRIMARY KEY REFERENCES sittings (id),
    voided    INTEGER NOT NULL,
    voided_by TEXT    REFERENCES people (id),
    reason    TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER revisions_no_update BEFORE UPDATE ON revisions BEGIN SELECT RAISE(ABORT, 'revisions is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER revisions_no_delete BEFORE DELETE ON revisions BEGIN SELECT RAISE(ABORT, 'revisions is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER revisions_no_replace BEFORE INSERT ON revisions
WHEN EXISTS (SELECT 1 FROM revisions WHERE procedure = NEW.procedure AND revision = NEW.revision)
BEGIN SELECT RAISE(ABORT, 'revisions has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER sittings_no_update BEFORE UPDATE ON sittings BEGIN SELECT RAISE(ABORT, 'sittings is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sittings_no_delete BEFORE DELETE ON sittings BEGIN SELECT RAISE(ABORT, 'sittings is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sittings_no_replace BEFORE INSERT ON sittings
WHEN EXISTS (SELECT 1 FROM sittings WHERE id = NEW.id)
    OR EXISTS (SELECT 1 FROM sittings WHERE confirms = NEW.confirms)
BEGIN SELECT RAISE(ABORT, 'sittings has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER forms_no_update BEFORE UPDATE ON forms BEGIN SELECT RAISE(ABORT, 'forms is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER forms_no_delete BEFORE DELETE ON forms BEGIN SELECT RAISE(ABORT, 'forms is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER forms_no_replace BEFORE INSERT ON forms
WHEN EXISTS (SELECT 1 FROM forms WHERE sitting = NEW.sitting)
BEGIN SELECT RAISE(ABORT, 'forms has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER sitting_items_no_update BEFORE UPDATE ON sitting_items BEGIN SELECT RAISE(ABORT, 'sitting_items is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sitting_items_no_delete BEFORE DELETE ON sitting_items BEGIN SELECT RAISE(ABORT, 'sitting_items is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sitting_items_no_replace BEFORE INSERT ON sitting_items
WHEN EXISTS (SELECT 1 FROM sitting_items WHERE sitting = NEW.sitting AND sheet = NEW.sheet)
BEGIN SELECT RAISE(ABORT, 'sitting_items has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER hand_ins_no_update BEFORE UPDATE ON hand_ins BEGIN SELECT RAISE(ABORT, 'hand_ins is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER hand_ins_no_delete BEFORE DELETE ON hand_ins BEGIN SELECT RAISE(ABORT, 'hand_ins is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER hand_ins_no_replace BEFORE INSERT ON hand_ins
WHEN EXISTS (SELECT 1 FROM hand_ins WHERE sitting = NEW.sitting)
BEGIN SELECT RAISE(ABORT, 'hand_ins has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER marks_no_update BEFORE UPDATE ON marks BEGIN SELECT RAISE(ABORT, 'marks is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER marks_no_delete BEFORE DELETE ON marks BEGIN SELECT RAISE(ABORT, 'marks is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER marks_no_replace BEFORE INSERT ON marks
WHEN EXISTS (SELECT 1 FROM marks WHERE sitting = NEW.sitting AND n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'marks has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER fact_marks_no_update BEFORE UPDATE ON fact_marks BEGIN SELECT RAISE(ABORT, 'fact_marks is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER fact_marks_no_delete BEFORE DELETE ON fact_marks BEGIN SELECT RAISE(ABORT, 'fact_marks is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER fact_marks_no_replace BEFORE INSERT ON fact_marks
WHEN EXISTS (SELECT 1 FROM fact_marks WHERE sitting = NEW.sitting AND n = NEW.n AND place = NEW.place)
BEGIN SELECT RAISE(ABORT, 'fact_marks has this key already'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER voids_no_update BEFORE UPDATE ON voids BEGIN SELECT RAISE(ABORT, 'voids is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER voids_no_delete BEFORE DELETE ON voids BEGIN SELECT RAISE(ABORT, 'voids is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER voids_no_replace BEFORE INSERT ON voids
WHEN EXISTS (SELECT 1 FROM voids WHERE sitting = NEW.sitting)
BEGIN SELECT RAISE(ABORT, 'voids has this key already'); END;
-- +goose StatementEnd
