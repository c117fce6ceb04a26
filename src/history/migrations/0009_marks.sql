-- A document that is marked already is not marked again: the samples of a new one come one after the other, and each mark
-- wrote its row and its places in the indexes anew.
DROP TRIGGER outcome_by_sample;
CREATE TRIGGER outcome_by_sample AFTER INSERT ON samples
BEGIN
    UPDATE documents SET outcome_now = NULL
    WHERE id = (SELECT document_id FROM reports WHERE id = NEW.report_id) AND outcome_now IS NOT NULL;
END;
