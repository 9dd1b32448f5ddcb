-- +goose Up

-- Append-only: item models that write no more on a fact, and single items, each
-- with its reason; and that they are taken up again. Of the rows of one subject the
-- last one stands. An empty revision is every revision, an empty item every item
-- of the model on the fact.
CREATE TABLE item_withdrawals (
    procedure TEXT    COLLATE "C" NOT NULL,
    revision  TEXT    COLLATE "C" NOT NULL,
    fact      TEXT    COLLATE "C" NOT NULL,
    model     TEXT    COLLATE "C" NOT NULL,
    item      TEXT    COLLATE "C" NOT NULL,
    n         BIGINT  NOT NULL,
    withdrawn BOOLEAN NOT NULL,
    at        BIGINT  NOT NULL,
    done_by   TEXT    COLLATE "C" REFERENCES people (id),
    reason    TEXT    NOT NULL,
    PRIMARY KEY (procedure, revision, fact, model, item, n)
);

CREATE INDEX sitting_items_of_family ON sitting_items (lead, model, sitting);

SELECT make_append_only('item_withdrawals');
