-- The history: originals, what was read from them, what a person decided, and marks of work still to do.
-- What was printed and read is written once and never changed; what a person or a later check makes of it
-- stands beside it (standing, decisions). Texts ending in _key are for matching, never for showing.

CREATE TABLE documents (
    id            INTEGER PRIMARY KEY,
    sha256        TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source_file   TEXT NOT NULL CHECK (source_file <> ''),
    bytes         INTEGER NOT NULL CHECK (bytes >= 0),
    format        TEXT NOT NULL CHECK (format IN ('pdf', 'scan', 'csv', 'xlsx', 'text', 'mail', 'archive', 'html',
                                                  'exchange-xml', 'image', 'unknown')),
    outcome       TEXT NOT NULL CHECK (outcome IN ('filed', 'held', 'refused', 'duplicate')),
    why           TEXT,
    lab           TEXT,
    client        TEXT,
    report        TEXT,
    kept_at       TEXT,
    inside_of     TEXT CHECK (inside_of IS NULL OR length(inside_of) = 64),
    settled       INTEGER NOT NULL DEFAULT 0 CHECK (settled IN (0, 1)),
    recorded_at   TEXT NOT NULL
) STRICT;

CREATE INDEX documents_inside ON documents (inside_of) WHERE inside_of IS NOT NULL;

-- The same bytes again under another name, or inside another mail or archive.
CREATE TABLE copies (
    id            INTEGER PRIMARY KEY,
    document_id   INTEGER NOT NULL REFERENCES documents (id),
    source_file   TEXT NOT NULL CHECK (source_file <> ''),
    inside_of     TEXT NOT NULL DEFAULT '',
    recorded_at   TEXT NOT NULL,
    UNIQUE (document_id, source_file, inside_of)
) STRICT;

CREATE TABLE reports (
    id            INTEGER PRIMARY KEY,
    document_id   INTEGER NOT NULL REFERENCES documents (id),
    ordinal       INTEGER NOT NULL CHECK (ordinal >= 0),
    lab           TEXT,
    client        TEXT,
    number        TEXT,
    received_on   TEXT CHECK (received_on IS NULL OR received_on IS date(received_on)),
    reported_on   TEXT CHECK (reported_on IS NULL OR reported_on IS date(reported_on)),
    revised       INTEGER NOT NULL CHECK (revised IN (0, 1)),
    doubts        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(doubts)),
    UNIQUE (document_id, ordinal)
) STRICT;

CREATE TABLE sites (
    id            TEXT PRIMARY KEY CHECK (id <> ''),
    name          TEXT NOT NULL,
    client        TEXT,
    use_          TEXT,
    region        TEXT,
    texture       TEXT,
    calcareous    INTEGER CHECK (calcareous IS NULL OR calcareous IN (0, 1)),
    area_ft2      REAL CHECK (area_ft2 IS NULL OR area_ft2 > 0),
    species       TEXT,
    guides        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(guides)),
    note          TEXT
) STRICT;

-- Which site and zone a printed client and sample name mean.
CREATE TABLE site_names (
    client_key    TEXT NOT NULL,
    label_key     TEXT NOT NULL,
    client        TEXT,
    label         TEXT NOT NULL,
    site          TEXT NOT NULL REFERENCES sites (id),
    zone          TEXT NOT NULL DEFAULT 'whole',
    PRIMARY KEY (client_key, label_key)
) STRICT, WITHOUT ROWID;
CREATE INDEX site_names_by_site ON site_names (site);

CREATE TABLE samples (
    id            INTEGER PRIMARY KEY,
    report_id     INTEGER NOT NULL REFERENCES reports (id),
    ordinal       INTEGER NOT NULL CHECK (ordinal >= 0),
    site          TEXT REFERENCES sites (id),
    zone          TEXT NOT NULL CHECK (zone <> ''),
    season        INTEGER CHECK (season IS NULL OR season BETWEEN 1800 AND 9999),
    label         TEXT NOT NULL,
    lab_number    TEXT,
    sampled_on    TEXT CHECK (sampled_on IS NULL OR sampled_on IS date(sampled_on)),
    depth_top_cm  REAL,
    depth_bottom_cm REAL,
    others        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(others)),
    doubts        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(doubts)),
    label_key     TEXT NOT NULL,
    number_key    TEXT NOT NULL,
    lab_number_key TEXT NOT NULL,
    duplicate_of  INTEGER REFERENCES samples (id),
    superseded_by INTEGER REFERENCES samples (id),
    CHECK ((depth_top_cm IS NULL) = (depth_bottom_cm IS NULL)),
    CHECK (duplicate_of IS NULL OR duplicate_of <> id),
    CHECK (superseded_by IS NULL OR superseded_by <> id),
    UNIQUE (report_id, ordinal)
) STRICT;
CREATE INDEX samples_by_site ON samples (site, season);
CREATE INDEX samples_by_number ON samples (number_key, label_key);
CREATE INDEX samples_by_lab_number ON samples (lab_number_key, label_key);
CREATE INDEX samples_by_label ON samples (label_key, sampled_on, number_key);
CREATE INDEX samples_duplicate ON samples (duplicate_of) WHERE duplicate_of IS NOT NULL;
CREATE INDEX samples_superseded ON samples (superseded_by) WHERE superseded_by IS NOT NULL;

CREATE TABLE readings (
    id            INTEGER PRIMARY KEY,
    sample_id     INTEGER NOT NULL REFERENCES samples (id),
    ordinal       INTEGER NOT NULL CHECK (ordinal >= 0),
    analyte       TEXT NOT NULL CHECK (analyte <> ''),
    method        TEXT NOT NULL CHECK (method <> ''),
    value         REAL NOT NULL CHECK (value BETWEEN -1e12 AND 1e12),
    unit          TEXT NOT NULL CHECK (unit IN ('1', '%', 'mg/kg', 'dS/m', 'cmol/kg', 'g/cm3')),
    basis         TEXT CHECK (basis IS NULL OR basis IN ('mass', 'volume')),
    qualifier     TEXT CHECK (qualifier IS NULL OR qualifier IN ('<', '>')),
    raw_value     TEXT NOT NULL,
    raw_unit      TEXT NOT NULL,
    place         TEXT CHECK (place IS NULL OR json_valid(place)),
    status        TEXT NOT NULL CHECK (status IN ('accepted', 'held', 'corrected', 'rejected')),
    doubt         TEXT,
    doubts        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(doubts)),
    witnesses     TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(witnesses)),
    CHECK (status NOT IN ('accepted', 'corrected')
           OR (value >= 0 AND (analyte NOT IN ('ph', 'buffer_ph') OR value <= 14) AND (unit <> '%' OR value <= 100))),
    UNIQUE (sample_id, ordinal)
) STRICT;
CREATE INDEX readings_held ON readings (id) WHERE status = 'held';
CREATE TRIGGER readings_stay BEFORE UPDATE ON readings
BEGIN SELECT RAISE (ABORT, 'what was printed stays'); END;

-- Every decision of a person, in the order taken; an undo is a decision too. Before and after are JSON.
CREATE TABLE decisions (
    id            INTEGER PRIMARY KEY,
    reading_id    INTEGER REFERENCES readings (id),
    sample_id     INTEGER REFERENCES samples (id),
    action        TEXT NOT NULL CHECK (action IN ('accept', 'correct', 'reject', 'assign', 'undo')),
    undoes        INTEGER REFERENCES decisions (id),
    who           TEXT NOT NULL,
    at            TEXT NOT NULL,
    before        TEXT NOT NULL CHECK (json_valid(before)),
    after         TEXT NOT NULL CHECK (json_valid(after)),
    CHECK ((reading_id IS NULL) <> (sample_id IS NULL)),
    CHECK ((action = 'undo') = (undoes IS NOT NULL))
) STRICT;
CREATE INDEX decisions_by_reading ON decisions (reading_id);
CREATE INDEX decisions_by_sample ON decisions (sample_id);
CREATE UNIQUE INDEX decisions_undone_once ON decisions (undoes) WHERE undoes IS NOT NULL;
CREATE TRIGGER decisions_stay BEFORE UPDATE ON decisions
BEGIN SELECT RAISE (ABORT, 'decisions are only added'); END;
CREATE TRIGGER decisions_are_kept BEFORE DELETE ON decisions
BEGIN SELECT RAISE (ABORT, 'decisions are only added'); END;

-- Where a reading stands now, when that differs from how it was read: after a decision, or after a check made anew.
CREATE TABLE standing (
    reading_id    INTEGER PRIMARY KEY REFERENCES readings (id),
    status        TEXT NOT NULL CHECK (status IN ('accepted', 'held', 'corrected', 'rejected')),
    doubt         TEXT,
    analyte       TEXT NOT NULL CHECK (analyte <> ''),
    method        TEXT NOT NULL CHECK (method <> ''),
    value         REAL NOT NULL CHECK (value BETWEEN -1e12 AND 1e12),
    unit          TEXT NOT NULL CHECK (unit IN ('1', '%', 'mg/kg', 'dS/m', 'cmol/kg', 'g/cm3')),
    basis         TEXT CHECK (basis IS NULL OR basis IN ('mass', 'volume')),
    qualifier     TEXT CHECK (qualifier IS NULL OR qualifier IN ('<', '>')),
    decided       INTEGER NOT NULL CHECK (decided IN (0, 1)),
    CHECK (status NOT IN ('accepted', 'corrected')
           OR (value >= 0 AND (analyte NOT IN ('ph', 'buffer_ph') OR value <= 14) AND (unit <> '%' OR value <= 100)))
) STRICT;

CREATE INDEX standing_held ON standing (reading_id) WHERE status = 'held';

-- Values of two issues of one report that differ while neither says which is the later. They hold a reading as long as
-- the other printing counts and no person has decided.
CREATE TABLE contradictions (
    reading_id    INTEGER NOT NULL REFERENCES readings (id),
    sample_id     INTEGER NOT NULL REFERENCES samples (id),
    doubt         TEXT NOT NULL,
    PRIMARY KEY (reading_id, sample_id)
) STRICT, WITHOUT ROWID;

-- An inbox name still to remove: written with the record, cleared when the name is gone.
CREATE TABLE inbox_notes (
    id            INTEGER PRIMARY KEY,
    path          BLOB NOT NULL,
    sha256        TEXT NOT NULL,
    device        INTEGER NOT NULL,
    inode         INTEGER NOT NULL,
    size          INTEGER NOT NULL CHECK (size >= 0),
    mtime_s       INTEGER NOT NULL,
    mtime_ns      INTEGER NOT NULL,
    UNIQUE (path, device, inode, size, mtime_s, mtime_ns)
) STRICT;

-- Sites whose numbers changed, with the count of the change; and up to which change a purpose is done.
CREATE TABLE site_changes (
    site          TEXT PRIMARY KEY REFERENCES sites (id),
    change        INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX site_changes_by_change ON site_changes (change);
CREATE TABLE site_done (
    purpose       TEXT NOT NULL,
    site          TEXT NOT NULL REFERENCES sites (id),
    change        INTEGER NOT NULL,
    PRIMARY KEY (purpose, site)
) STRICT, WITHOUT ROWID;

-- What a person taught: a rule for reports to come. Added and ended, never changed.
CREATE TABLE taught (
    id            INTEGER PRIMARY KEY,
    kind          TEXT NOT NULL CHECK (kind <> ''),
    key           TEXT NOT NULL,
    rule          TEXT NOT NULL CHECK (json_valid(rule)),
    who           TEXT NOT NULL,
    at            TEXT NOT NULL,
    ended_by      TEXT,
    ended_at      TEXT
) STRICT;
CREATE INDEX taught_by_key ON taught (kind, key);
