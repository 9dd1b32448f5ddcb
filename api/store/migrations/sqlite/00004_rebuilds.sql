-- +goose Up

-- Append-only: passwords given again before signing that were wrong. about is what
-- was to be signed.
CREATE TABLE refused_passwords (
    id      TEXT    NOT NULL PRIMARY KEY,
    person  TEXT    NOT NULL REFERENCES people (id),
    refused INTEGER NOT NULL,
    about   TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX refused_passwords_of_person ON refused_passwords (person, refused);

-- Append-only: signatures, one of each meaning under a thing. name and role are as
-- printed when it was signed; digest is the SHA-256 of exactly what was shown.
CREATE TABLE signatures (
    covers     TEXT    NOT NULL,
    id         TEXT    NOT NULL,
    meaning    TEXT    NOT NULL,
    signer     TEXT    NOT NULL REFERENCES people (id),
    name       TEXT    NOT NULL,
    role       TEXT    NOT NULL,
    technician TEXT    NOT NULL REFERENCES people (id),
    signed     INTEGER NOT NULL,
    digest     BLOB    NOT NULL,
    PRIMARY KEY (covers, id, meaning)
) STRICT, WITHOUT ROWID;

CREATE INDEX signatures_of_signer ON signatures (signer, signed);

-- Append-only: torque wrenches, by the id engraved on them. The scale is empty
-- where it is not stated.
CREATE TABLE wrenches (
    id       TEXT    NOT NULL PRIMARY KEY,
    kind     TEXT    NOT NULL,
    lowest   TEXT    NOT NULL,
    highest  TEXT    NOT NULL,
    added    INTEGER NOT NULL,
    added_by TEXT    REFERENCES people (id)
) STRICT, WITHOUT ROWID;

-- Append-only: calibrations of wrenches, in the order in which they were recorded.
-- done and due are days, the last one included; result is as found.
CREATE TABLE calibrations (
    wrench      TEXT    NOT NULL REFERENCES wrenches (id),
    n           INTEGER NOT NULL,
    done        TEXT    NOT NULL,
    due         TEXT    NOT NULL,
    result      TEXT    NOT NULL,
    certificate TEXT    NOT NULL,
    recorded    INTEGER NOT NULL,
    recorded_by TEXT    REFERENCES people (id),
    PRIMARY KEY (wrench, n)
) STRICT, WITHOUT ROWID;

-- Append-only: observed rebuilds as they were finished. record is the filled sheet
-- as JSON, sheet its text, digest the SHA-256 of the text: what is signed.
CREATE TABLE rebuilds (
    id         TEXT    NOT NULL PRIMARY KEY,
    technician TEXT    NOT NULL REFERENCES people (id),
    assessor   TEXT    NOT NULL REFERENCES people (id),
    procedure  TEXT    NOT NULL,
    revision   TEXT    NOT NULL,
    build      TEXT    NOT NULL,
    holds      TEXT    NOT NULL,
    opened     INTEGER NOT NULL,
    started    INTEGER NOT NULL,
    ended      INTEGER NOT NULL,
    finished   INTEGER NOT NULL,
    fault      TEXT    NOT NULL,
    digest     BLOB    NOT NULL,
    record     BLOB    NOT NULL,
    sheet      BLOB    NOT NULL,
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
) STRICT, WITHOUT ROWID;

CREATE INDEX rebuilds_by_time ON rebuilds (finished DESC, id);
CREATE INDEX rebuilds_of_technician ON rebuilds (technician, finished);
CREATE INDEX rebuilds_of_assessor ON rebuilds (assessor, finished);

-- Append-only: the wrenches used in finished rebuilds, to find them by; also ids
-- that are not on the register of wrenches.
CREATE TABLE rebuild_wrenches (
    rebuild TEXT NOT NULL REFERENCES rebuilds (id),
    wrench  TEXT NOT NULL,
    PRIMARY KEY (rebuild, wrench)
) STRICT, WITHOUT ROWID;

CREATE INDEX rebuild_wrenches_by_wrench ON rebuild_wrenches (wrench, rebuild);

-- Append-only: finished rebuilds struck out, with the reason.
CREATE TABLE rebuild_voids (
    rebuild   TEXT    NOT NULL PRIMARY KEY REFERENCES rebuilds (id),
    voided    INTEGER NOT NULL,
    voided_by TEXT    NOT NULL REFERENCES people (id),
    reason    TEXT    NOT NULL
) STRICT, WITHOUT ROWID;

-- Append-only: rebuilds given up before they were finished, with what had been
-- kept of their sheet, as JSON.
CREATE TABLE abandoned_rebuilds (
    id         TEXT    NOT NULL PRIMARY KEY,
    technician TEXT    NOT NULL REFERENCES people (id),
    assessor   TEXT    NOT NULL REFERENCES people (id),
    procedure  TEXT    NOT NULL,
    revision   TEXT    NOT NULL,
    build      TEXT    NOT NULL,
    holds      TEXT    NOT NULL,
    opened     INTEGER NOT NULL,
    abandoned  INTEGER NOT NULL,
    reason     TEXT    NOT NULL,
    entries    BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX abandoned_rebuilds_of_technician ON abandoned_rebuilds (technician, abandoned);

-- Working state: rebuilds that are being observed, one for a technician on a
-- procedure. holds names the hold points of a partial one, with spaces between.
CREATE TABLE open_rebuilds (
    rebuild    TEXT    NOT NULL PRIMARY KEY,
    technician TEXT    NOT NULL REFERENCES people (id),
    assessor   TEXT    NOT NULL REFERENCES people (id),
    procedure  TEXT    NOT NULL,
    revision   TEXT    NOT NULL,
    build      TEXT    NOT NULL,
    holds      TEXT    NOT NULL,
    opened     INTEGER NOT NULL,
    UNIQUE (technician, procedure),
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
) STRICT, WITHOUT ROWID;

-- Working state: what is kept of the sheet of an open rebuild, gone when it is
-- finished or abandoned.
CREATE TABLE rebuild_entries (
    rebuild  TEXT    NOT NULL REFERENCES open_rebuilds (rebuild) ON DELETE CASCADE,
    place    TEXT    NOT NULL,
    revision INTEGER NOT NULL,
    entry    BLOB    NOT NULL,
    kept     INTEGER NOT NULL,
    PRIMARY KEY (rebuild, place)
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER refused_passwords_no_update BEFORE UPDATE ON refused_passwords BEGIN SELECT RAISE(ABORT, 'refused_passwords is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER refused_passwords_no_delete BEFORE DELETE ON refused_passwords BEGIN SELECT RAISE(ABORT, 'refused_passwords is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER refused_passwords_no_replace BEFORE INSERT ON refused_passwords
WHEN EXISTS (SELECT 1 FROM refused_passwords WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'refused_passwords has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signatures_no_update BEFORE UPDATE ON signatures BEGIN SELECT RAISE(ABORT, 'signatures is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signatures_no_delete BEFORE DELETE ON signatures BEGIN SELECT RAISE(ABORT, 'signatures is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signatures_no_replace BEFORE INSERT ON signatures
WHEN EXISTS (SELECT 1 FROM signatures WHERE covers = NEW.covers AND id = NEW.id AND meaning = NEW.meaning)
BEGIN SELECT RAISE(ABORT, 'signatures has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER wrenches_no_update BEFORE UPDATE ON wrenches BEGIN SELECT RAISE(ABORT, 'wrenches is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER wrenches_no_delete BEFORE DELETE ON wrenches BEGIN SELECT RAISE(ABORT, 'wrenches is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER wrenches_no_replace BEFORE INSERT ON wrenches
WHEN EXISTS (SELECT 1 FROM wrenches WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'wrenches has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER calibrations_no_update BEFORE UPDATE ON calibrations BEGIN SELECT RAISE(ABORT, 'calibrations is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER calibrations_no_delete BEFORE DELETE ON calibrations BEGIN SELECT RAISE(ABORT, 'calibrations is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER calibrations_no_replace BEFORE INSERT ON calibrations
WHEN EXISTS (SELECT 1 FROM calibrations WHERE wrench = NEW.wrench AND n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'calibrations has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuilds_no_update BEFORE UPDATE ON rebuilds BEGIN SELECT RAISE(ABORT, 'rebuilds is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuilds_no_delete BEFORE DELETE ON rebuilds BEGIN SELECT RAISE(ABORT, 'rebuilds is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuilds_no_replace BEFORE INSERT ON rebuilds
WHEN EXISTS (SELECT 1 FROM rebuilds WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'rebuilds has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_wrenches_no_update BEFORE UPDATE ON rebuild_wrenches BEGIN SELECT RAISE(ABORT, 'rebuild_wrenches is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_wrenches_no_delete BEFORE DELETE ON rebuild_wrenches BEGIN SELECT RAISE(ABORT, 'rebuild_wrenches is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_wrenches_no_replace BEFORE INSERT ON rebuild_wrenches
WHEN EXISTS (SELECT 1 FROM rebuild_wrenches WHERE rebuild = NEW.rebuild AND wrench = NEW.wrench)
BEGIN SELECT RAISE(ABORT, 'rebuild_wrenches has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_voids_no_update BEFORE UPDATE ON rebuild_voids BEGIN SELECT RAISE(ABORT, 'rebuild_voids is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_voids_no_delete BEFORE DELETE ON rebuild_voids BEGIN SELECT RAISE(ABORT, 'rebuild_voids is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER rebuild_voids_no_replace BEFORE INSERT ON rebuild_voids
WHEN EXISTS (SELECT 1 FROM rebuild_voids WHERE rebuild = NEW.rebuild)
BEGIN SELECT RAISE(ABORT, 'rebuild_voids has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER abandoned_rebuilds_no_update BEFORE UPDATE ON abandoned_rebuilds BEGIN SELECT RAISE(ABORT, 'abandoned_rebuilds is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER abandoned_rebuilds_no_delete BEFORE DELETE ON abandoned_rebuilds BEGIN SELECT RAISE(ABORT, 'abandoned_rebuilds is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER abandoned_rebuilds_no_replace BEFORE INSERT ON abandoned_rebuilds
WHEN EXISTS (SELECT 1 FROM abandoned_rebuilds WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'abandoned_rebuilds has this key already'); END;
-- +goose StatementEnd
