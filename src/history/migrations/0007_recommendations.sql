-- Nitrogen that laboratories recommend, as printed: never a reading. With a doubt it is kept and not reckoned with.

CREATE TABLE recommendations (
    id            INTEGER PRIMARY KEY,
    sample_id     INTEGER NOT NULL REFERENCES samples (id),
    ordinal       INTEGER NOT NULL CHECK (ordinal >= 0),
    nutrient      TEXT NOT NULL CHECK (nutrient = 'n'),
    crop          TEXT NOT NULL,
    raw_value     TEXT NOT NULL CHECK (raw_value <> ''),
    raw_unit      TEXT NOT NULL,
    amount        REAL CHECK (amount IS NULL OR amount BETWEEN 0 AND 1e6),
    unit          TEXT CHECK (unit IS NULL OR unit IN ('lb/acre', 'lb/1000 ft2', 'lb/100 ft2', 'kg/ha', 'g/m2')),
    place         TEXT NOT NULL CHECK (json_valid(place)),
    doubts        TEXT NOT NULL CHECK (json_valid(doubts)),
    CHECK (doubts <> '[]' OR (amount IS NOT NULL AND unit IS NOT NULL)),
    UNIQUE (sample_id, ordinal)
) STRICT;
CREATE TRIGGER recommendations_stay BEFORE UPDATE ON recommendations
BEGIN SELECT RAISE (ABORT, 'what was printed stays'); END;
