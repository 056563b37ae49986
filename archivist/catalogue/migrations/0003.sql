-- Who was erased, so that a later intake does not bring the name back unasked: of each spelling of
-- the name the keyed digests of its words, never the words. Whoever has the archive and guesses a
-- name can try whether it was erased; nobody can read one here.
CREATE TABLE erased (
    party      TEXT PRIMARY KEY,
    at         TEXT NOT NULL,
    key        TEXT NOT NULL,
    spellings  TEXT NOT NULL
);
