//! Who said what of every value, when, and from where: how it was read, what was decided, what replaced it.

use super::{Error, History};
use rusqlite::Row;

/// One event in the life of a value or a sample.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuditRow {
    /// Site id; none while in doubt, or where the event is about no sample.
    pub site: Option<String>,
    /// Zone of the site.
    pub zone: Option<String>,
    /// Sample name as printed.
    pub sample_label: Option<String>,
    /// Analyte as read; none for an event of the whole sample or of sites.
    pub analyte: Option<String>,
    /// `read`, `accept`, `correct`, `reject`, `assign`, `undo`, `superseded` and the other actions of the book.
    pub event: String,
    /// Who: a person, or `loamline` with its version.
    pub who: String,
    /// When, RFC 3339.
    pub at: String,
    /// The original behind it.
    pub source_file: Option<String>,
    /// SHA-256 of that.
    pub source_sha256: Option<String>,
    /// The place in it, JSON.
    pub place: Option<String>,
    /// How it stood before; JSON for a decision, none for what was read.
    pub before: Option<String>,
    /// How it stood then: status, value and unit, or JSON.
    pub after: Option<String>,
    /// Number of the decision, for `loamline undo`.
    pub decision: Option<i64>,
}

/// What the program itself is called in the trail.
const SELF: &str = concat!("loamline ", env!("CARGO_PKG_VERSION"));

/// Values as they were read, superseded samples, and the book of decisions, each as the columns of [`AuditRow`].
const EVENTS: &str = "
    SELECT s.site AS site, s.zone AS zone, s.label AS label, r.analyte AS analyte, 'read' AS event, ?2 AS who, d.recorded_at AS at,
        d.source_file AS file, d.sha256 AS sha256, r.place AS place, NULL AS before,
        r.status || ' ' || coalesce(r.qualifier, '') || r.value || ' ' || r.unit || ' (printed `' || trim(r.raw_value || ' ' || r.raw_unit) || '`)' AS after,
        NULL AS decision, 0 AS kind, r.id AS key
    FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id
    UNION ALL
    SELECT s.site, s.zone, s.label, NULL, 'superseded', ?2, e.recorded_at, d.source_file, d.sha256, NULL, d.source_file, e.source_file,
        NULL, 1, s.id
    FROM samples s JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id
    JOIN samples n ON n.id = s.superseded_by JOIN reports q ON q.id = n.report_id JOIN documents e ON e.id = q.document_id
    UNION ALL
    SELECT s.site, s.zone, s.label, r.analyte, b.action, b.who, b.at, d.source_file, d.sha256, r.place, b.before, b.after, b.id, 2, b.id
    FROM decisions b LEFT JOIN readings r ON r.id = b.reading_id LEFT JOIN samples s ON s.id = coalesce(b.sample_id, r.sample_id)
    LEFT JOIN reports p ON p.id = s.report_id LEFT JOIN documents d ON d.id = p.document_id";

impl History {
    /// Hands over the trail of one site or of everything, event by event in the order in which it happened.
    ///
    /// # Errors
    /// What the store says, or `take`.
    pub fn each_event<E: From<Error>>(
        &self,
        site: Option<&str>,
        mut take: impl FnMut(AuditRow) -> std::result::Result<(), E>,
    ) -> std::result::Result<(), E> {
        let told = |e: rusqlite::Error| E::from(Error::from(e));
        let mut statement = self
            .connection
            .prepare_cached(&format!(
                "SELECT * FROM ({EVENTS}) WHERE ?1 IS NULL OR site = ?1 ORDER BY at, kind, key"
            ))
            .map_err(told)?;
        let mut rows = statement.query((site, SELF)).map_err(told)?;
        while let Some(row) = rows.next().map_err(told)? {
            take(read(row).map_err(told)?)?;
        }
        Ok(())
    }
}

fn read(row: &Row<'_>) -> rusqlite::Result<AuditRow> {
    Ok(AuditRow {
        site: row.get(0)?,
        zone: row.get(1)?,
        sample_label: row.get(2)?,
        analyte: row.get(3)?,
        event: row.get(4)?,
        who: row.get(5)?,
        at: row.get(6)?,
        source_file: row.get(7)?,
        source_sha256: row.get(8)?,
        place: row.get(9)?,
        before: row.get(10)?,
        after: row.get(11)?,
        decision: row.get(12)?,
    })
}
