-- +goose Up

-- Append-only: Angoff panels with the form that is rated, what each judge said in
-- each round, and the ends of rounds. judges are ids, percents are numbers, with a space
-- between.
CREATE TABLE panels (
    id        TEXT    NOT NULL PRIMARY KEY,
    procedure TEXT    NOT NULL,
    revision  TEXT    NOT NULL,
    build     TEXT    NOT NULL,
    judges    TEXT    NOT NULL,
    form      BLOB    NOT NULL,
    digest    BLOB    NOT NULL,
    items     INTEGER NOT NULL,
    opened    INTEGER NOT NULL,
    opened_by TEXT    NOT NULL REFERENCES people (id),
    FOREIGN KEY (procedure, revision) REFERENCES revisions (procedure, revision)
) STRICT, WITHOUT ROWID;

CREATE INDEX panels_by_time ON panels (opened, id);

CREATE TABLE panel_ratings (
    panel    TEXT    NOT NULL REFERENCES panels (id),
    round    INTEGER NOT NULL,
    judge    TEXT    NOT NULL REFERENCES people (id),
    rated    INTEGER NOT NULL,
    percents TEXT    NOT NULL,
    PRIMARY KEY (panel, round, judge)
) STRICT, WITHOUT ROWID;

CREATE TABLE panel_ends (
    panel    TEXT    NOT NULL REFERENCES panels (id),
    round    INTEGER NOT NULL,
    closed   INTEGER NOT NULL,
    ended    INTEGER NOT NULL,
    ended_by TEXT    NOT NULL REFERENCES people (id),
    note     TEXT    NOT NULL,
    PRIMARY KEY (panel, round)
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER panels_no_update BEFORE UPDATE ON panels BEGIN SELECT RAISE(ABORT, 'panels is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panels_no_delete BEFORE DELETE ON panels BEGIN SELECT RAISE(ABORT, 'panels is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panels_no_replace BEFORE INSERT ON panels
WHEN EXISTS (SELECT 1 FROM panels WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'panels has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ratings_no_update BEFORE UPDATE ON panel_ratings BEGIN SELECT RAISE(ABORT, 'panel_ratings is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ratings_no_delete BEFORE DELETE ON panel_ratings BEGIN SELECT RAISE(ABORT, 'panel_ratings is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ratings_no_replace BEFORE INSERT ON panel_ratings
WHEN EXISTS (SELECT 1 FROM panel_ratings WHERE panel = NEW.panel AND round = NEW.round AND judge = NEW.judge)
BEGIN SELECT RAISE(ABORT, 'panel_ratings has this key already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ends_no_update BEFORE UPDATE ON panel_ends BEGIN SELECT RAISE(ABORT, 'panel_ends is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ends_no_delete BEFORE DELETE ON panel_ends BEGIN SELECT RAISE(ABORT, 'panel_ends is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER panel_ends_no_replace BEFORE INSERT ON panel_ends
WHEN EXISTS (SELECT 1 FROM panel_ends WHERE panel = NEW.panel AND round = NEW.round)
BEGIN SELECT RAISE(ABORT, 'panel_ends has this key already'); END;
-- +goose StatementEnd
