-- +goose Up

-- Append-only: Angoff panels with the form that is rated, what each judge said in
-- each round, and the ends of rounds. judges are ids, percents are numbers, with a space
-- between.
CREATE TABLE panels (
    id        TEXT   COLLATE "C" NOT NULL PRIMARY KEY,
    procedure TEXT   COLLATE "C" NOT NULL,
    revision  TEXT   COLLATE "C" NOT NULL,
    build     TEXT   COLLATE "C" NOT NULL,
    judges    TEXT   NOT NULL,
    form      BYTEA  NOT NULL,
    digest    BYTEA  NOT NULL,
    items     BIGINT NOT NULL,
    opened    BIGINT NOT NULL,
    opened_by TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
);

CREATE INDEX panels_by_time ON panels (opened, id);

CREATE TABLE panel_ratings (
    panel    TEXT   COLLATE "C" NOT NULL REFERENCES panels (id),
    round    BIGINT NOT NULL,
    judge    TEXT   COLLATE "C" NOT NULL REFERENCES people (id),
    rated    BIGINT NOT NULL,
    percents TEXT   NOT NULL,
    PRIMARY KEY (panel, round, judge)
);

CREATE TABLE panel_ends (
    panel    TEXT    COLLATE "C" NOT NULL REFERENCES panels (id),
    round    BIGINT  NOT NULL,
    closed   BOOLEAN NOT NULL,
    ended    BIGINT  NOT NULL,
    ended_by TEXT    COLLATE "C" NOT NULL REFERENCES people (id),
    note     TEXT    NOT NULL,
    PRIMARY KEY (panel, round)
);

SELECT make_append_only('panels');
SELECT make_append_only('panel_ratings');
SELECT make_append_only('panel_ends');
