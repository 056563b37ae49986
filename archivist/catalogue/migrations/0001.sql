-- The catalogue of an archive. Facts are only ever added; what may be made anew from them
-- (current, depiction, words) is marked so. Times are RFC 3339 in UTC.

-- Every change is an action: who, when and why. `undoes` names the action that it takes back.
CREATE TABLE action (
    number  INTEGER PRIMARY KEY AUTOINCREMENT,
    id      TEXT NOT NULL UNIQUE,
    kind    TEXT NOT NULL,
    at      TEXT NOT NULL,
    who     TEXT NOT NULL,
    why     TEXT NOT NULL DEFAULT '',
    undoes  TEXT REFERENCES action (id)
);
CREATE INDEX action_undoes ON action (undoes);

-- Every version of every record, photograph and party, as canonical JSON with its SHA-256.
CREATE TABLE version (
    entity  TEXT NOT NULL,
    kind    TEXT NOT NULL CHECK (kind IN ('object', 'photograph', 'party')),
    number  INTEGER NOT NULL CHECK (number > 0),
    action  TEXT NOT NULL REFERENCES action (id),
    json    TEXT NOT NULL,
    sha256  TEXT NOT NULL,
    PRIMARY KEY (entity, number)
);
CREATE INDEX version_action ON version (action);

-- Made from `version`: the latest version of each, and what it is looked up by.
-- `key` is the folded stock number, the SHA-256 of the picture, or the folded name.
CREATE TABLE current (
    row       INTEGER PRIMARY KEY,
    entity    TEXT NOT NULL UNIQUE,
    kind      TEXT NOT NULL,
    number    INTEGER NOT NULL,
    key       TEXT NOT NULL,
    label     TEXT NOT NULL,
    earliest  INTEGER,
    latest    INTEGER,
    state     TEXT NOT NULL CHECK (state IN ('present', 'withdrawn', 'merged')),
    merged_into TEXT,
    FOREIGN KEY (entity, number) REFERENCES version (entity, number)
);
CREATE INDEX current_key ON current (kind, key);
CREATE INDEX current_merged_into ON current (merged_into) WHERE merged_into IS NOT NULL;

-- Made from `version`: which photograph shows which piece in which view.
CREATE TABLE depiction (
    photograph  TEXT NOT NULL REFERENCES current (entity) ON DELETE CASCADE,
    object      TEXT NOT NULL,
    view        TEXT NOT NULL
);
CREATE INDEX depiction_object ON depiction (object);
CREATE INDEX depiction_photograph ON depiction (photograph);

-- Made from `version`: the words of the current versions; `rowid` is `current.row`.
CREATE VIRTUAL TABLE words USING fts5 (text, tokenize = "unicode61 remove_diacritics 2");

-- Where old material came from: a spreadsheet or a folder, known again by its UUID.
CREATE TABLE source (
    id        TEXT PRIMARY KEY,
    reader    TEXT NOT NULL,
    location  TEXT NOT NULL,
    first_seen TEXT NOT NULL
);
CREATE INDEX source_location ON source (location);

-- Every file that was taken in, by digest, and every place it was found in.
CREATE TABLE original (
    sha256      TEXT PRIMARY KEY,
    sha512      TEXT NOT NULL,
    size        INTEGER NOT NULL,
    extension   TEXT NOT NULL,
    media_type  TEXT NOT NULL,
    taken_in    TEXT NOT NULL
);
CREATE TABLE occurrence (
    sha256      TEXT NOT NULL REFERENCES original (sha256),
    source      TEXT NOT NULL REFERENCES source (id),
    path        TEXT NOT NULL,
    path_bytes  TEXT NOT NULL DEFAULT '',
    modified    TEXT NOT NULL DEFAULT '',
    action      TEXT NOT NULL REFERENCES action (id),
    PRIMARY KEY (source, path, path_bytes, sha256)
);
CREATE INDEX occurrence_sha256 ON occurrence (sha256);

-- The words of each cell as last imported, so that a later intake knows what has changed.
CREATE TABLE imported (
    source  TEXT NOT NULL REFERENCES source (id),
    row     TEXT NOT NULL,
    "column" TEXT NOT NULL,
    text    TEXT NOT NULL,
    object  TEXT NOT NULL,
    action  TEXT NOT NULL REFERENCES action (id),
    PRIMARY KEY (source, row, "column", action)
);
CREATE INDEX imported_action ON imported (action);

-- What befell the archive and its packages, in the words of PREMIS 3.0.
CREATE TABLE event (
    id       TEXT PRIMARY KEY,
    at       TEXT NOT NULL,
    type     TEXT NOT NULL,
    detail   TEXT NOT NULL,
    outcome  TEXT NOT NULL,
    agent    TEXT NOT NULL,
    report   TEXT NOT NULL DEFAULT ''
);
CREATE INDEX event_at ON event (at);

-- What was handed out: to which audience, when, with what in it, and its digest.
CREATE TABLE release (
    id         TEXT PRIMARY KEY,
    at         TEXT NOT NULL,
    audience   TEXT NOT NULL,
    exporters  TEXT NOT NULL,
    location   TEXT NOT NULL,
    digest     TEXT NOT NULL,
    objects    TEXT NOT NULL
);
