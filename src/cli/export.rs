//! `export TABLE`: a whole table for other programs, in stable order.

use super::Exit;
use super::context::Context;
use super::why;
use crate::assess::trend_rows;
use crate::export::{self, Format};
use crate::history::Filter;
use clap::ValueEnum;
use std::path::PathBuf;

/// Writes a whole table for other programs.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline export readings --format csv -o readings.csv\n  loamline export trends --format json\n\nIn CSV a text that a spreadsheet would run as a formula gets a leading '; --exact leaves it."
)]
pub struct Export {
    /// Which table
    table: Table,
    /// How it is written
    #[arg(long, default_value = "csv")]
    format: Kind,
    /// Where to; else standard output
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Text in CSV exactly as it is
    #[arg(long)]
    exact: bool,
    /// Of trends and flags: a last column `why` with the readings, tables and rules behind each row
    #[arg(long)]
    why: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Table {
    Readings,
    Trends,
    Flags,
    Sites,
    Documents,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Kind {
    Csv,
    Json,
    Jsonl,
    Parquet,
}

impl Export {
    /// Runs it.
    ///
    /// # Errors
    /// What the store or the output says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        if self.why && !matches!(self.table, Table::Trends | Table::Flags) {
            anyhow::bail!("--why explains trends and flags alone: leave it out, or export one of these");
        }
        let history = context.history()?;
        let table = match self.table {
            Table::Readings => export::readings(&history.readings(&Filter::default())?),
            Table::Documents => export::documents(&history.documents()?),
            Table::Sites => export::sites(&history.sites()?),
            Table::Trends => {
                let (mut rows, mut reasons) = (Vec::new(), Vec::new());
                context.each_assessment(&history, history.sites()?, |assessment| {
                    rows.extend(trend_rows(&assessment));
                    if self.why {
                        reasons.extend(why::of_site(&history, &assessment)?.iter().map(why::cell));
                    }
                    Ok(())
                })?;
                with_why(export::trends(&rows), self.why.then_some(reasons))
            }
            Table::Flags => {
                let (mut flags, mut reasons) = (Vec::new(), Vec::new());
                context.each_assessment(&history, history.sites()?, |assessment| {
                    if self.why {
                        let series = why::of_site(&history, &assessment)?;
                        reasons.extend(why::of_flags(&assessment, &series)?.iter().map(why::flag_cell));
                    }
                    flags.extend(assessment.flags);
                    Ok(())
                })?;
                with_why(export::flags(&flags), self.why.then_some(reasons))
            }
        };
        let format = self.format.into();
        let bytes = table.write(format, self.exact)?;
        match self.output {
            Some(path) => export::write_whole(&path, &bytes)?,
            None => context.say.raw(&bytes)?,
        }
        Ok(Exit::Fine)
    }
}

/// The table with its reasons as a last column.
fn with_why(mut table: export::Table, reasons: Option<Vec<String>>) -> export::Table {
    if let Some(reasons) = reasons {
        table.columns.push(export::Column { name: "why", kind: export::Kind::Text });
        for (row, reason) in table.rows.iter_mut().zip(reasons) {
            row.push(export::Cell::Text(reason));
        }
    }
    table
}

impl From<Kind> for Format {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Csv => Self::Csv,
            Kind::Json => Self::Json,
            Kind::Jsonl => Self::Jsonl,
            Kind::Parquet => Self::Parquet,
        }
    }
}
