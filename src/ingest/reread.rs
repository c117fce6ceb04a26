//! Kept originals read once more: for `verify`, which changes nothing, and for `reread`, which changes on purpose.

use super::Ingest;
use super::compare::{self, Difference};
use super::filing;
use crate::history::recommendation::OfSample;
use crate::history::{self, Decision, History};
use crate::home::Home;
use crate::inbox::listing;
use crate::reader::ReadDocument;
use crate::reader::parent::Reader;
use crate::reading::taught;
use crate::soil::{Report, Sample};
use std::io;

/// What a fresh reading of one original said.
#[derive(Debug)]
pub struct Reread {
    /// The document the difference is in: the original, or something inside it.
    pub sha256: String,
    /// Its name.
    pub file: String,
    /// Where it differs.
    pub differences: Vec<Difference>,
    /// What it recommends as read now, where that differs.
    pub nitrogen: Option<Vec<OfSample>>,
    /// Why nothing was read now, though something was before.
    pub unread: Option<String>,
}

/// Reads an original again and holds it, and everything inside it, against the history.
///
/// # Errors
/// What the disk, the reader or the store says.
pub fn reread(
    history: &History,
    home: &Home,
    name: &str,
    kept_at: &str,
    reader: &mut Reader,
) -> anyhow::Result<Vec<Reread>> {
    let (bytes, _) = listing::read_whole(&home.root().join(kept_at))?
        .ok_or_else(|| io::Error::other("it changed while it was read"))?;
    let read = reader.read(name, &bytes)?;
    let mut found = Vec::new();
    hold_against(history, read, &mut found)?;
    Ok(found)
}

fn hold_against(history: &History, read: ReadDocument, found: &mut Vec<Reread>) -> history::Result<()> {
    let stored = history.printed(&read.sha256)?;
    if !stored.is_empty() {
        let (differences, nitrogen, unread) = match read.result {
            Ok(mut reports) => {
                let samples = reports.iter_mut().flat_map(|report| &mut report.samples);
                samples.for_each(|sample: &mut Sample| filing::leave_out_the_boundless(sample));
                let told = with_rules(history, &reports)?;
                let mut differences =
                    but_for(compare::compare(&stored, &reports), &compare::compare(&stored, &told));
                let now = OfSample::all_of(&reports);
                let changed = compare::compare_nitrogen(&history.recommendations_of(&read.sha256)?, &now);
                let nitrogen = (!changed.is_empty()).then_some(now);
                differences.extend(changed);
                (differences, nitrogen, None)
            }
            Err(refusal) => (Vec::new(), None, Some(refusal.what)),
        };
        if !differences.is_empty() || unread.is_some() {
            found.push(Reread { sha256: read.sha256, file: read.name, differences, nitrogen, unread });
        }
    }
    for member in read.members {
        hold_against(history, member, found)?;
    }
    Ok(())
}

/// The reports as what was taught for their forms reads them.
fn with_rules(history: &History, reports: &[Report]) -> history::Result<Vec<Report>> {
    let rules = history.rules()?;
    let mut told = reports.to_vec();
    for report in &mut told {
        let form = Report { samples: Vec::new(), ..report.clone() };
        for sample in &mut report.samples {
            taught::apply(sample, &rules, &form);
        }
    }
    Ok(told)
}

/// The differences of a plain reading, but for those that what was taught explains: a reading is on record as the
/// rules of its day read it, or as it was read before they were taught.
fn but_for(plain: Vec<Difference>, told: &[Difference]) -> Vec<Difference> {
    let id = |d: &Difference| match d {
        Difference::Changed { was, .. } | Difference::Gone(was) => Some(was.id),
        Difference::New { .. } | Difference::Nitrogen { .. } => None,
    };
    plain.into_iter().filter(|d| id(d).is_none() || told.iter().any(|t| id(t) == id(d))).collect()
}

impl Ingest {
    /// Lets what is read now count, as decisions of a person: corrected where it changed, rejected where nothing is read
    /// now, accepted where it is new and without a doubt of its own. Gives the decisions, and how many new readings
    /// have no sample in the history.
    ///
    /// # Errors
    /// What the store says; then nothing is changed.
    pub fn apply(&mut self, reread: &Reread, who: &str, at: &str) -> history::Result<(Vec<i64>, usize)> {
        self.history.together(|history| {
            let (mut decisions, mut homeless) = (Vec::new(), 0);
            for difference in &reread.differences {
                let (id, decision) = match difference {
                    // Put in below, all of the document's together: nobody decided anything on them.
                    Difference::Nitrogen { .. } => continue,
                    Difference::Changed { was, now } => {
                        let (analyte, method, quantity) = (now.analyte, now.method, now.quantity);
                        (was.id, Decision::Correct { analyte, method, quantity })
                    }
                    Difference::Gone(was) => (was.id, Decision::Reject),
                    Difference::New { report, label, now } => {
                        let Some(id) = history.add_found(&reread.sha256, *report, label, now)? else {
                            homeless += 1;
                            continue;
                        };
                        if !now.doubts.is_empty() {
                            continue;
                        }
                        (id, Decision::Accept)
                    }
                };
                match history.decide(id, &decision, who, at) {
                    Ok(id) => decisions.push(id),
                    // A value that cannot be is not let in by a newer reading either.
                    Err(history::Error::Refused(sentence)) => tracing::warn!(%sentence, "left as it was"),
                    Err(error) => return Err(error),
                }
            }
            if let Some(now) = &reread.nitrogen {
                history.set_recommendations(&reread.sha256, now)?;
            }
            Ok((decisions, homeless))
        })
    }
}
