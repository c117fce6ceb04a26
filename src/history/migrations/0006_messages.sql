-- What was told in a digest, so that nothing is told twice; messages on their way; files fetched from addresses.

CREATE TABLE told_sites (
    site          TEXT NOT NULL REFERENCES sites (id),
    subject       TEXT NOT NULL CHECK (subject <> ''),
    said          TEXT NOT NULL,
    PRIMARY KEY (site, subject)
) STRICT, WITHOUT ROWID;
CREATE TABLE told_documents (
    document_id   INTEGER PRIMARY KEY REFERENCES documents (id),
    outcome       TEXT NOT NULL CHECK (outcome IN ('filed', 'held', 'refused', 'duplicate'))
) STRICT;
CREATE INDEX told_and_open ON told_documents (document_id) WHERE outcome IN ('held', 'refused');

-- The next day that changes what is said of a site although nothing else does.
CREATE TABLE due_sites (
    site          TEXT PRIMARY KEY REFERENCES sites (id),
    due_on        TEXT NOT NULL CHECK (due_on IS date(due_on))
) STRICT, WITHOUT ROWID;
CREATE INDEX due_sites_by_day ON due_sites (due_on);

-- By which program, settings and year the last digest judged: where these differ, every site is looked at again.
CREATE TABLE digests (
    id            INTEGER PRIMARY KEY,
    made_by       TEXT NOT NULL,
    made_at       TEXT NOT NULL
) STRICT;

-- A try is written down before it begins; what was sent or given up keeps its text alone.
CREATE TABLE outbox (
    id            INTEGER PRIMARY KEY,
    key           TEXT NOT NULL UNIQUE CHECK (key <> ''),
    channel       TEXT NOT NULL CHECK (channel IN ('webhook', 'smtp')),
    target        TEXT NOT NULL,
    subject       TEXT NOT NULL,
    text          TEXT NOT NULL,
    html          TEXT NOT NULL,
    body          TEXT NOT NULL,
    made_at       TEXT NOT NULL,
    state         TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'given-up')),
    tries         INTEGER NOT NULL DEFAULT 0 CHECK (tries >= 0),
    passes        INTEGER NOT NULL DEFAULT 0 CHECK (passes >= 0),
    next_try_s    INTEGER NOT NULL DEFAULT 0,
    cause         TEXT,
    done_at       TEXT,
    CHECK ((state = 'waiting') = (done_at IS NULL))
) STRICT;
CREATE INDEX outbox_waiting ON outbox (id) WHERE state = 'waiting';

-- What an address gave the last time. The address itself may hold a secret: only its hash is kept.
CREATE TABLE pick_ups (
    address_sha256 TEXT PRIMARY KEY CHECK (length(address_sha256) = 64),
    etag          TEXT,
    last_modified TEXT,
    body_sha256   TEXT CHECK (body_sha256 IS NULL OR length(body_sha256) = 64),
    fetched_at    TEXT NOT NULL
) STRICT, WITHOUT ROWID;
