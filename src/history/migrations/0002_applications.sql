-- What went down on a site: the inputs as given, and the nutrients they came to. An undo is marked, never a deletion.
CREATE TABLE applications (
    id            INTEGER PRIMARY KEY,
    site          TEXT NOT NULL REFERENCES sites (id),
    applied_on    TEXT NOT NULL CHECK (applied_on IS date(applied_on)),
    inputs        TEXT NOT NULL CHECK (json_valid(inputs)),
    supplied      TEXT NOT NULL CHECK (json_valid(supplied)),
    product_lb_per_1000_ft2 REAL NOT NULL CHECK (product_lb_per_1000_ft2 > 0),
    recorded_by   TEXT NOT NULL,
    recorded_at   TEXT NOT NULL,
    undone_by     TEXT,
    undone_at     TEXT,
    CHECK ((undone_by IS NULL) = (undone_at IS NULL))
) STRICT;
CREATE INDEX applications_by_site ON applications (site, applied_on);
