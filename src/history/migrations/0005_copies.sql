-- Originals that the nightly copy does not hold yet, by what happens to their records.
CREATE TABLE to_copy (
    sha256        TEXT PRIMARY KEY
) STRICT, WITHOUT ROWID;
CREATE TRIGGER to_copy_new AFTER INSERT ON documents WHEN NEW.kept_at IS NOT NULL
BEGIN INSERT OR IGNORE INTO to_copy (sha256) VALUES (NEW.sha256); END;
CREATE TRIGGER to_copy_moved AFTER UPDATE OF kept_at ON documents WHEN NEW.kept_at IS NOT NULL AND NEW.kept_at IS NOT OLD.kept_at
BEGIN INSERT OR IGNORE INTO to_copy (sha256) VALUES (NEW.sha256); END;
INSERT INTO to_copy (sha256) SELECT sha256 FROM documents WHERE kept_at IS NOT NULL;
