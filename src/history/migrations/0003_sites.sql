-- Rosters, codes on bags, sites joined on purpose, days told by a person, rules taught for a layout; and one book of
-- decisions for all of it.

-- A site joined into another is kept, so that the join can be taken back; what means it means the other.
ALTER TABLE sites ADD COLUMN joined_into TEXT REFERENCES sites (id) CHECK (joined_into IS NULL OR joined_into <> id);
ALTER TABLE site_names ADD COLUMN origin TEXT NOT NULL DEFAULT 'said' CHECK (origin IN ('said', 'roster'));

-- What the roster says of a zone.
CREATE TABLE zones (
    site          TEXT NOT NULL REFERENCES sites (id),
    zone          TEXT NOT NULL CHECK (zone <> ''),
    area_ft2      REAL CHECK (area_ft2 IS NULL OR area_ft2 > 0),
    depth_top_cm  REAL,
    depth_bottom_cm REAL,
    PRIMARY KEY (site, zone),
    CHECK ((depth_top_cm IS NULL) = (depth_bottom_cm IS NULL))
) STRICT, WITHOUT ROWID;

-- Codes that mean a site and zone whoever's name stands beside them: issued for bags, or the roster's own.
CREATE TABLE codes (
    code_key      TEXT PRIMARY KEY CHECK (code_key <> ''),
    code          TEXT NOT NULL,
    kind          TEXT NOT NULL CHECK (kind IN ('bag', 'roster')),
    site          TEXT NOT NULL REFERENCES sites (id),
    zone          TEXT NOT NULL CHECK (zone <> ''),
    season        INTEGER,
    depth_top_cm  REAL,
    depth_bottom_cm REAL,
    who           TEXT NOT NULL,
    at            TEXT NOT NULL,
    CHECK ((depth_top_cm IS NULL) = (depth_bottom_cm IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX codes_by_site ON codes (site, zone);

-- The day of sampling that a person told where none is printed; what is printed stays in sampled_on.
ALTER TABLE samples ADD COLUMN dated_on TEXT CHECK (dated_on IS NULL OR dated_on IS date(dated_on));

-- Features of the form a report is printed on, for what is taught.
ALTER TABLE reports ADD COLUMN layout TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(layout));

-- Documents a person said are no issues of one report, the older first.
CREATE TABLE issues_apart (
    older         TEXT NOT NULL,
    newer         TEXT NOT NULL,
    PRIMARY KEY (older, newer)
) STRICT, WITHOUT ROWID;

-- The book of decisions, widened: about a reading, a sample, or what the subject names.
CREATE TABLE decisions_wide (
    id            INTEGER PRIMARY KEY,
    reading_id    INTEGER REFERENCES readings (id),
    sample_id     INTEGER REFERENCES samples (id),
    subject       TEXT CHECK (subject IN ('sites', 'taught', 'issues')),
    action        TEXT NOT NULL CHECK (action <> ''),
    undoes        INTEGER REFERENCES decisions_wide (id),
    who           TEXT NOT NULL,
    at            TEXT NOT NULL,
    before        TEXT NOT NULL CHECK (json_valid(before)),
    after         TEXT NOT NULL CHECK (json_valid(after)),
    CHECK ((reading_id IS NOT NULL) + (sample_id IS NOT NULL) + (subject IS NOT NULL) = 1),
    CHECK ((action = 'undo') = (undoes IS NOT NULL))
) STRICT;
INSERT INTO decisions_wide (id, reading_id, sample_id, action, undoes, who, at, before, after)
    SELECT id, reading_id, sample_id, action, undoes, who, at, before, after FROM decisions ORDER BY id;
DROP TABLE decisions;
ALTER TABLE decisions_wide RENAME TO decisions;
CREATE INDEX decisions_by_reading ON decisions (reading_id);
CREATE INDEX decisions_by_sample ON decisions (sample_id);
CREATE UNIQUE INDEX decisions_undone_once ON decisions (undoes) WHERE undoes IS NOT NULL;
CREATE TRIGGER decisions_stay BEFORE UPDATE ON decisions
BEGIN SELECT RAISE (ABORT, 'decisions are only added'); END;
CREATE TRIGGER decisions_are_kept BEFORE DELETE ON decisions
BEGIN SELECT RAISE (ABORT, 'decisions are only added'); END;
