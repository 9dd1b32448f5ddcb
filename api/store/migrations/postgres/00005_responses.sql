-- +goose Up

-- Working state: what each marked sitting says, sheet by sheet, as its last
-- marking has it, for analysis. It follows from forms, hand_ins, marks and voids
-- and can be worked out anew. place is the order of reading: whoever writes holds
-- the ledger's head, and takes one more than the last. sheets is a JSON array;
-- a sitting that was struck out has n 0 and no sheets.
CREATE TABLE responses (
    sitting TEXT    COLLATE "C" NOT NULL PRIMARY KEY REFERENCES hand_ins (sitting),
    place   BIGINT  NOT NULL UNIQUE,
    n       INTEGER NOT NULL,
    void    BOOLEAN NOT NULL,
    sheets  BYTEA   NOT NULL
);
