//! `audit`: who said what of every value, when, and from where.

use super::Exit;
use super::context::Context;
use super::export::Kind;
use super::out::Out;
use crate::export::{self, Cell, Column};
use crate::history::audit::AuditRow;
use std::path::PathBuf;

/// Writes the trail of every value: read, accepted, corrected, rejected, superseded, taken back.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline audit --site front-lawn\n  loamline audit --format jsonl -o trail.jsonl\n\nIn the order in which it happened. In CSV a text that a spreadsheet would run as a formula gets a leading '; --exact leaves it."
)]
pub struct Audit {
    /// Of one site alone
    #[arg(long, value_name = "SITE")]
    site: Option<String>,
    /// How it is written
    #[arg(long, default_value = "csv")]
    format: Kind,
    /// Where to; else standard output
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Text in CSV exactly as it is
    #[arg(long)]
    exact: bool,
}

const COLUMNS: [(&str, export::Kind); 13] = [
    ("at", export::Kind::Text),
    ("who", export::Kind::Text),
    ("event", export::Kind::Text),
    ("site", export::Kind::Text),
    ("zone", export::Kind::Text),
    ("sample_label", export::Kind::Text),
    ("analyte", export::Kind::Text),
    ("before", export::Kind::Text),
    ("after", export::Kind::Text),
    ("source_file", export::Kind::Text),
    ("source_sha256", export::Kind::Text),
    ("source_place", export::Kind::Text),
    ("decision", export::Kind::Integer),
];

impl Audit {
    /// Runs it.
    ///
    /// # Errors
    /// What the store or the output says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let columns: Vec<Column> = COLUMNS.iter().map(|(name, kind)| Column { name, kind: *kind }).collect();
        let mut out =
            Out::begin(columns, self.format.into(), self.exact, self.output.as_deref(), &mut context.say)?;
        history.each_event(self.site.as_deref(), |row| {
            out.add(export::Table { columns: Vec::new(), rows: vec![cells(row)] })
        })?;
        out.end()?;
        Ok(Exit::Fine)
    }
}

fn cells(row: AuditRow) -> Vec<Cell> {
    let text = |text: Option<String>| text.map_or(Cell::None, Cell::Text);
    vec![
        Cell::Text(row.at),
        Cell::Text(row.who),
        Cell::Text(row.event),
        text(row.site),
        text(row.zone),
        text(row.sample_label),
        text(row.analyte),
        text(row.before),
        text(row.after),
        text(row.source_file),
        text(row.source_sha256),
        text(row.place),
        row.decision.map_or(Cell::None, Cell::Integer),
    ]
}
