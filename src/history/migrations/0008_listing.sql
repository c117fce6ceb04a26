-- The list of documents, and of what waits, is sorted, narrowed and counted by indexes. What a document is now, why, its
-- numbers and the words it is found by stand beside it for that; an outcome of NULL says that something they follow from changed, and whoever commits makes them anew
-- (history/listing.rs), so that none is ever seen old.
ALTER TABLE documents ADD COLUMN outcome_now TEXT
    CHECK (outcome_now IS NULL OR outcome_now IN ('filed', 'held', 'refused', 'duplicate'));
ALTER TABLE documents ADD COLUMN why_now TEXT;
ALTER TABLE documents ADD COLUMN samples_now INTEGER NOT NULL DEFAULT 0 CHECK (samples_now >= 0);
ALTER TABLE documents ADD COLUMN readings_now INTEGER NOT NULL DEFAULT 0 CHECK (readings_now >= 0);
ALTER TABLE documents ADD COLUMN held_now INTEGER NOT NULL DEFAULT 0 CHECK (held_now >= 0);
ALTER TABLE documents ADD COLUMN found_by TEXT;
ALTER TABLE copies ADD COLUMN found_by TEXT;
CREATE INDEX copies_to_renew ON copies (id) WHERE found_by IS NULL;
CREATE INDEX documents_newest ON documents (recorded_at DESC, source_file, sha256);
CREATE INDEX documents_newest_by_outcome ON documents (outcome_now, recorded_at DESC, source_file, sha256);
CREATE INDEX documents_waiting ON documents (outcome_now, source_file, sha256, held_now) WHERE outcome_now = 'held';
CREATE INDEX copies_newest ON copies (recorded_at DESC, source_file);

CREATE TRIGGER outcome_of_document AFTER UPDATE OF source_file, outcome, lab, client, report, inside_of, settled ON documents
BEGIN
    UPDATE documents SET outcome_now = NULL WHERE id = NEW.id OR sha256 = OLD.inside_of;
    -- Those that repeat it name it.
    UPDATE documents SET outcome_now = NULL WHERE NEW.source_file <> OLD.source_file AND id IN (
        SELECT q.document_id FROM reports p JOIN samples s ON s.report_id = p.id JOIN samples o ON o.duplicate_of = s.id
        JOIN reports q ON q.id = o.report_id WHERE p.document_id = NEW.id);
    UPDATE copies SET found_by = NULL WHERE document_id = NEW.id;
END;
CREATE TRIGGER outcome_by_sample AFTER INSERT ON samples
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT document_id FROM reports WHERE id = NEW.report_id); END;
CREATE TRIGGER outcome_by_belonging AFTER UPDATE OF site, duplicate_of, superseded_by ON samples
WHEN NEW.site IS NOT OLD.site OR NEW.duplicate_of IS NOT OLD.duplicate_of OR NEW.superseded_by IS NOT OLD.superseded_by
BEGIN
    UPDATE documents SET outcome_now = NULL WHERE id = (SELECT document_id FROM reports WHERE id = NEW.report_id);
    -- What it contradicts waits as long as it counts.
    UPDATE documents SET outcome_now = NULL WHERE id IN (
        SELECT p.document_id FROM contradictions c JOIN readings r ON r.id = c.reading_id JOIN samples s ON s.id = r.sample_id
        JOIN reports p ON p.id = s.report_id WHERE c.sample_id = NEW.id);
END;
CREATE TRIGGER outcome_by_standing AFTER INSERT ON standing
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = NEW.reading_id); END;
CREATE TRIGGER outcome_by_standing_anew AFTER UPDATE ON standing
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = NEW.reading_id); END;
CREATE TRIGGER outcome_by_standing_gone AFTER DELETE ON standing
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = OLD.reading_id); END;
CREATE TRIGGER outcome_by_contradiction AFTER INSERT ON contradictions
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = NEW.reading_id); END;
CREATE TRIGGER outcome_by_contradiction_gone AFTER DELETE ON contradictions
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = OLD.reading_id); END;
CREATE TRIGGER outcome_by_past AFTER INSERT ON past WHEN NEW.doubt IS NOT NULL
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = NEW.reading_id); END;
CREATE TRIGGER outcome_by_past_anew AFTER UPDATE ON past WHEN NEW.doubt IS NOT OLD.doubt
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = NEW.reading_id); END;
CREATE TRIGGER outcome_by_past_gone AFTER DELETE ON past WHEN OLD.doubt IS NOT NULL
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = OLD.reading_id); END;
CREATE TRIGGER outcome_by_decision AFTER INSERT ON decisions WHEN NEW.sample_id IS NOT NULL
BEGIN UPDATE documents SET outcome_now = NULL WHERE id = (SELECT p.document_id FROM samples s JOIN reports p ON p.id = s.report_id WHERE s.id = NEW.sample_id); END;

-- No number is given twice, also where the site that bore the last one was removed: whoever is up to date with a number has
-- seen what it stands for. (The pass over the past is made before every commit.)
CREATE VIEW next_change AS SELECT 1 + max(
    coalesce((SELECT max(change) FROM site_changes), 0),
    coalesce((SELECT change FROM passes WHERE purpose = 'past'), 0)) AS change;

-- A plan follows from what went down and from the areas of zones too: they change the site as its numbers do.
CREATE TRIGGER changed_by_application AFTER INSERT ON applications
BEGIN INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = NEW.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change; END;
CREATE TRIGGER changed_by_application_anew AFTER UPDATE OF site, undone_at ON applications
BEGIN
    INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = OLD.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change;
    INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = NEW.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change;
END;
CREATE TRIGGER changed_by_zone AFTER INSERT ON zones
BEGIN INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = NEW.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change; END;
CREATE TRIGGER changed_by_zone_anew AFTER UPDATE ON zones
BEGIN INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = NEW.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change; END;
CREATE TRIGGER changed_by_zone_gone AFTER DELETE ON zones
BEGIN INSERT INTO site_changes (site, change) SELECT id, (SELECT change FROM next_change) FROM sites WHERE id = OLD.site
    ON CONFLICT (site) DO UPDATE SET change = excluded.change; END;
