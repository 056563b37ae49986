-- The digest of every fact that has none of its own: of an action with all that it wrote (facts
-- 'action', key its UUID), and of each row of 'original', 'source', 'event' and 'release'. Facts
-- 'archive' hold, as their key, the UUID of the archive that this catalogue is of, 'settings' the
-- digest of archive.toml when it was looked at last, 'unfinished' what must still be done.
-- A SHA-256 of the rows as JSON arrays, a line each; archivist/catalogue/facts.py says which.
CREATE TABLE digest (
    facts   TEXT NOT NULL,
    key     TEXT NOT NULL,
    sha256  TEXT NOT NULL,
    PRIMARY KEY (facts, key)
) WITHOUT ROWID;

-- In which run of 'fixity' each original was compared last; no fact, and of this copy alone.
CREATE TABLE compared (
    sha256  TEXT PRIMARY KEY,
    run     INTEGER NOT NULL
) WITHOUT ROWID;
