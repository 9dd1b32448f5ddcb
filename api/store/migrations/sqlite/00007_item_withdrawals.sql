-- +goose Up

-- Append-only: item models that write no more on a fact, and single items, each
-- with its reason; and that they are taken up again. Of the rows of one subject the
-- last one stands. An empty revision is every revision, an empty item every item
-- of the model on the fact.
CREATE TABLE item_withdrawals (
    procedure TEXT    NOT NULL,
    revision  TEXT    NOT NULL,
    fact      TEXT    NOT NULL,
    model     TEXT    NOT NULL,
    item      TEXT    NOT NULL,
    n         INTEGER NOT NULL,
    withdrawn INTEGER NOT NULL,
    at        INTEGER NOT NULL,
    done_by   TEXT    REFERENCES people (id),
    reason    TEXT    NOT NULL,
    PRIMARY KEY (procedure, revision, fact, model, item, n)
) STRICT, WITHOUT ROWID;

CREATE INDEX sitting_items_of_family ON sitting_items (lead, model, sitting);

-- +goose StatementBegin
CREATE TRIGGER item_withdrawals_no_update BEFORE UPDATE ON item_withdrawals BEGIN SELECT RAISE(ABORT, 'item_withdrawals is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER item_withdrawals_no_delete BEFORE DELETE ON item_withdrawals BEGIN SELECT RAISE(ABORT, 'item_withdrawals is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER item_withdrawals_no_replace BEFORE INSERT ON item_withdrawals
WHEN EXISTS (SELECT 1 FROM item_withdrawals WHERE procedure = NEW.procedure AND revision = NEW.revision AND fact = NEW.fact AND model = NEW.model AND item = NEW.item AND n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'item_withdrawals has this key already'); END;
-- +goose StatementEnd
