//! `export TABLE`: a whole table for other programs, in stable order.

use super::Exit;
use super::context::Context;
use super::out::Out;
use super::say::count;
use super::why;
use crate::assess::{Assessment, trend_rows};
use crate::assessed;
use crate::export::{self, Format};
use clap::ValueEnum;
use std::path::PathBuf;

/// Writes a whole table for other programs.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline export readings --format csv -o readings.csv\n  loamline export trends --format json\n  loamline export readings --format parquet --partition readings\n\nIn CSV a text that a spreadsheet would run as a formula gets a leading '; --exact leaves it. A partitioned data set is a folder `year=YYYY/client=NAME/part-0.parquet` that SQL engines read as one table; year is the season, and a set that stands there already is replaced whole. It holds readings of every status: those that count are `accepted` and `corrected`."
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
    /// Readings as a partitioned Parquet data set in this folder
    #[arg(long, value_name = "DIR", conflicts_with_all = ["output", "exact", "why"])]
    partition: Option<PathBuf>,
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
        if let Some(folder) = &self.partition {
            if self.table != Table::Readings || self.format != Kind::Parquet {
                anyhow::bail!(
                    "--partition writes readings as Parquet: say `export readings --format parquet --partition DIR`"
                );
            }
            let mut set = export::Partitioned::begin(folder)?;
            history.each_by_year_and_client(|row| set.push(row).map_err(anyhow::Error::from))?;
            let written = set.end()?;
            context.say.line(format!(
                "{} in {} below {}.",
                count(written.rows, "reading"),
                count(written.files, "file"),
                folder.display()
            ))?;
            return Ok(Exit::Fine);
        }
        let Context { say, settings, today, .. } = context;
        let each_assessment = |take: &mut dyn FnMut(Assessment) -> anyhow::Result<()>| {
            assessed::each_assessment(&history, settings, history.sites()?, *today, take)
        };
        let mut columns = match self.table {
            Table::Readings => export::readings(&[]),
            Table::Documents => export::documents(&[]),
            Table::Sites => export::sites(&[]),
            Table::Trends => export::trends(&[]),
            Table::Flags => export::flags(&[]),
        }
        .columns;
        if self.why {
            columns.push(export::Column { name: "why", kind: export::Kind::Text });
        }
        let mut out = Out::begin(columns, self.format.into(), self.exact, self.output.as_deref(), say)?;
        match self.table {
            Table::Readings => {
                history.each_reading(|row| out.add(export::readings(std::slice::from_ref(&row))))?;
            }
            Table::Documents => {
                history.each_document(|row| out.add(export::documents(std::slice::from_ref(&row))))?;
            }
            Table::Sites => {
                let all = history.sites()?;
                all.chunks(export::LOT).try_for_each(|some| out.add(export::sites(some)))?;
            }
            Table::Trends => each_assessment(&mut |assessment| {
                let mut table = export::trends(&trend_rows(&assessment));
                if self.why {
                    with_why(&mut table, why::of_site(&history, &assessment)?.iter().map(why::cell));
                }
                out.add(table)
            })?,
            Table::Flags => each_assessment(&mut |assessment| {
                let mut table = export::flags(&assessment.flags);
                if self.why {
                    let series = why::of_site(&history, &assessment)?;
                    with_why(&mut table, why::of_flags(&assessment, &series)?.iter().map(why::flag_cell));
                }
                out.add(table)
            })?,
        }
        out.end()?;
        Ok(Exit::Fine)
    }
}

/// Ends each row with its reason.
fn with_why(table: &mut export::Table, reasons: impl Iterator<Item = String>) {
    for (row, reason) in table.rows.iter_mut().zip(reasons) {
        row.push(export::Cell::Text(reason));
    }
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
