-- +goose Up

-- Append-only: passwords given again before signing that were wrong. about is what
-- was to be signed.
CREATE TABLE refused_passwords (
    id      TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    person  TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    refused BIGINT NOT NULL,
    about   TEXT   COLLATE "C" NOT NULL
);

CREATE INDEX refused_passwords_of_person ON refused_passwords (person, refused);

-- Append-only: signatures, one of each meaning under a thing. name and role are as
-- printed when it was signed; digest is the SHA-256 of exactly what was shown.
CREATE TABLE signatures (
    covers     TEXT   COLLATE "C" NOT NULL,
    id         TEXT   COLLATE "C" NOT NULL,
    meaning    TEXT   COLLATE "C" NOT NULL,
    signer     TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    name       TEXT   COLLATE "C" NOT NULL,
    role       TEXT   COLLATE "C" NOT NULL,
    technician TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    signed     BIGINT NOT NULL,
    digest     BYTEA  NOT NULL,
    PRIMARY KEY (covers, id, meaning)
);

CREATE INDEX signatures_of_signer ON signatures (signer, signed);

-- Append-only: torque wrenches, by the id engraved on them. The scale is empty
-- where it is not stated.
CREATE TABLE wrenches (
    id       TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    kind     TEXT   COLLATE "C" NOT NULL,
    lowest   TEXT   COLLATE "C" NOT NULL,
    highest  TEXT   COLLATE "C" NOT NULL,
    added    BIGINT NOT NULL,
    added_by TEXT   COLLATE "C" REFERENCES people (id)
);

-- Append-only: calibrations of wrenches, in the order in which they were recorded.
-- done and due are days, the last one included; result is as found.
CREATE TABLE calibrations (
    wrench      TEXT    COLLATE "C" NOT NULL REFERENCES wrenches (id),
    n           INTEGER NOT NULL,
    done        TEXT    COLLATE "C" NOT NULL,
    due         TEXT    COLLATE "C" NOT NULL,
    result      TEXT    COLLATE "C" NOT NULL,
    certificate TEXT    COLLATE "C" NOT NULL,
    recorded    BIGINT  NOT NULL,
    recorded_by TEXT    COLLATE "C" REFERENCES people (id),
    PRIMARY KEY (wrench, n)
);

-- Append-only: observed rebuilds as they were finished. record is the filled sheet
-- as JSON, sheet its text, digest the SHA-256 of the text: what is signed.
CREATE TABLE rebuilds (
    id         TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    technician TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    assessor   TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    procedure  TEXT   COLLATE "C" NOT NULL,
    revision   TEXT   COLLATE "C" NOT NULL,
    build      TEXT   COLLATE "C" NOT NULL,
    holds      TEXT   COLLATE "C" NOT NULL,
    opened     BIGINT NOT NULL,
    started    BIGINT NOT NULL,
    ended      BIGINT NOT NULL,
    finished   BIGINT NOT NULL,
    fault      TEXT   COLLATE "C" NOT NULL,
    digest     BYTEA  NOT NULL,
    record     BYTEA  NOT NULL,
    sheet      BYTEA  NOT NULL,
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
);

CREATE INDEX rebuilds_by_time ON rebuilds (finished DESC, id);
CREATE INDEX rebuilds_of_technician ON rebuilds (technician, finished);
CREATE INDEX rebuilds_of_assessor ON rebuilds (assessor, finished);

-- Append-only: the wrenches used in finished rebuilds, to find them by; also ids
-- that are not on the register of wrenches.
CREATE TABLE rebuild_wrenches (
    rebuild TEXT COLLATE "C" NOT NULL REFERENCES rebuilds (id),
    wrench  TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (rebuild, wrench)
);

CREATE INDEX rebuild_wrenches_by_wrench ON rebuild_wrenches (wrench, rebuild);

-- Append-only: finished rebuilds struck out, with the reason.
CREATE TABLE rebuild_voids (
    rebuild   TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES rebuilds (id),
    voided    BIGINT NOT NULL,
    voided_by TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    reason    TEXT   COLLATE "C" NOT NULL
);

-- Append-only: rebuilds given up before they were finished, with what had been
-- kept of their sheet, as JSON.
CREATE TABLE abandoned_rebuilds (
    id         TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    technician TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    assessor   TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    procedure  TEXT   COLLATE "C" NOT NULL,
    revision   TEXT   COLLATE "C" NOT NULL,
    build      TEXT   COLLATE "C" NOT NULL,
    holds      TEXT   COLLATE "C" NOT NULL,
    opened     BIGINT NOT NULL,
    abandoned  BIGINT NOT NULL,
    reason     TEXT   COLLATE "C" NOT NULL,
    entries    BYTEA  NOT NULL
);

CREATE INDEX abandoned_rebuilds_of_technician ON abandoned_rebuilds (technician, abandoned);

-- Working state: rebuilds that are being observed, one for a technician on a
-- procedure. holds names the hold points of a partial one, with spaces between.
CREATE TABLE open_rebuilds (
    rebuild    TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    technician TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    assessor   TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    procedure  TEXT   COLLATE "C" NOT NULL,
    revision   TEXT   COLLATE "C" NOT NULL,
    build      TEXT   COLLATE "C" NOT NULL,
    holds      TEXT   COLLATE "C" NOT NULL,
    opened     BIGINT NOT NULL,
    UNIQUE (technician, procedure),
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
);

-- Working state: what is kept of the sheet of an open rebuild, gone when it is
-- finished or abandoned.
CREATE TABLE rebuild_entries (
    rebuild  TEXT   COLLATE "C" NOT NULL REFERENCES open_rebuilds (rebuild) ON DELETE CASCADE,
    place    TEXT   COLLATE "C" NOT NULL,
    revision BIGINT NOT NULL,
    entry    BYTEA  NOT NULL,
    kept     BIGINT NOT NULL,
    PRIMARY KEY (rebuild, place)
);

SELECT make_append_only('refused_passwords');
SELECT make_append_only('signatures');
SELECT make_append_only('wrenches');
SELECT make_append_only('calibrations');
SELECT make_append_only('rebuilds');
SELECT make_append_only('rebuild_wrenches');
SELECT make_append_only('rebuild_voids');
SELECT make_append_only('abandoned_rebuilds');
