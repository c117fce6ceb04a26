-- Sites that reports made under names nearly alike: perhaps one. A pair stays until a report has both side by side; what
-- people say of it (joined, or two) stands where such things stand.
CREATE TABLE sites_alike (
    site          TEXT NOT NULL REFERENCES sites (id),
    other         TEXT NOT NULL REFERENCES sites (id),
    PRIMARY KEY (site, other),
    CHECK (site < other)
) STRICT, WITHOUT ROWID;
CREATE INDEX sites_alike_by_other ON sites_alike (other);
