-- Where further copies of this archive are kept; of this copy alone, and no fact.
CREATE TABLE copy (
    id     TEXT PRIMARY KEY,
    place  TEXT NOT NULL,
    added  TEXT NOT NULL
);
