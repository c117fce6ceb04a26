-- Originals on their way: said before a move, cleared after it. No old place: the original just came.
CREATE TABLE moves (
    id            INTEGER PRIMARY KEY,
    sha256        TEXT NOT NULL CHECK (length(sha256) = 64),
    source_file   TEXT NOT NULL,
    old_at        TEXT CHECK (old_at IS NULL OR old_at <> new_at),
    new_at        TEXT NOT NULL,
    owner         TEXT NOT NULL
) STRICT;
CREATE INDEX moves_by_original ON moves (sha256, new_at);
CREATE INDEX documents_kept ON documents (kept_at) WHERE kept_at IS NOT NULL;
CREATE INDEX documents_in_held ON documents (sha256) WHERE substr(kept_at, 1, 5) = 'held/';

-- What a site's earlier seasons say of a reading: made anew whenever the site's numbers change.
CREATE TABLE past (
    reading_id    INTEGER PRIMARY KEY REFERENCES readings (id),
    doubt         TEXT,
    witness       TEXT,
    CHECK (doubt IS NOT NULL OR witness IS NOT NULL)
) STRICT;
CREATE INDEX past_doubts ON past (reading_id) WHERE doubt IS NOT NULL;

-- Up to which change of the sites something is made.
CREATE TABLE passes (
    purpose       TEXT PRIMARY KEY,
    change        INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- What the history cannot take from an original, in the order of work: names, decisions, sites. Triggers write it; it
-- is kept beside the store as JSON lines too, and with the originals it makes the history anew.
CREATE TABLE journal (
    id            INTEGER PRIMARY KEY,
    line          TEXT NOT NULL CHECK (json_valid(line))
) STRICT;
CREATE TRIGGER journal_stays BEFORE UPDATE ON journal
BEGIN SELECT RAISE (ABORT, 'the journal is only added to'); END;
CREATE TRIGGER journal_is_kept BEFORE DELETE ON journal
BEGIN SELECT RAISE (ABORT, 'the journal is only added to'); END;
