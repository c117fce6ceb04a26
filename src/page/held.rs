//! What waits for a person: numbers under their original and their doubt, originals that wait as a whole, and sites that
//! are perhaps one.

use super::look::{Frame, show};
use super::who::Who;
use super::{Shared, Trouble};
use crate::history::{DocumentRow, HeldReading};
use crate::soil::Site;
use crate::soil::value::rounded;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde::Deserialize;

/// Numbers on one page.
const A_PAGE: usize = 60;

/// Which page is asked for.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    page: Option<usize>,
}

/// Numbers of one original.
struct Original {
    sha256: String,
    file: String,
    about: String,
    doubts: Vec<DoubtGroup>,
}

/// Numbers with the same doubt.
struct DoubtGroup {
    sentence: String,
    rows: Vec<Row>,
}

struct Row {
    id: i64,
    name: String,
    printed: String,
    read_as: String,
    place: String,
}

#[derive(Template)]
#[template(path = "held.html")]
struct Held {
    frame: Frame,
    originals: Vec<Original>,
    whole: Vec<DocumentRow>,
    pairs: Vec<(Site, Site)>,
    more_pairs: usize,
    who: Who,
    waiting: usize,
    page: usize,
    pages: usize,
}

/// `GET /held`
///
/// # Errors
/// What the store says.
pub async fn page(
    State(web): State<Shared>,
    frame: Frame,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let (held, whole, mut pairs, waiting, page, pages) = web
        .store
        .read(move |history| {
            let waiting = history.count_waiting()?;
            let pages = waiting.div_ceil(A_PAGE).max(1);
            let page = asked.page.unwrap_or(1).clamp(1, pages);
            let held = history.waiting((page - 1) * A_PAGE, A_PAGE)?;
            // Documents that wait as a whole: no reading of theirs does.
            let whole = if page == 1 { history.held_whole()? } else { Vec::new() };
            let pairs = if page == 1 { history.perhaps_one()? } else { Vec::new() };
            Ok((held, whole, pairs, waiting, page, pages))
        })
        .await?;
    let more_pairs = pairs.len().saturating_sub(A_PAGE);
    pairs.truncate(A_PAGE);
    show(&Held {
        frame,
        originals: grouped(held.iter()),
        whole,
        pairs,
        more_pairs,
        who,
        waiting,
        page,
        pages,
    })
}

fn grouped<'a>(held: impl Iterator<Item = &'a HeldReading>) -> Vec<Original> {
    let mut all: Vec<Original> = Vec::new();
    for one in held {
        let row = &one.row;
        if all.last().is_none_or(|o| o.sha256 != row.source_sha256) {
            let parts = [row.client.clone(), row.lab.clone(), row.report.clone()];
            all.push(Original {
                sha256: row.source_sha256.clone(),
                file: row.source_file.clone(),
                about: parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
                doubts: Vec::new(),
            });
        }
        let Some(original) = all.last_mut() else { continue };
        let sentence = row.doubt.clone().unwrap_or_else(|| "In doubt.".to_owned());
        if original.doubts.last().is_none_or(|d| d.sentence != sentence) {
            original.doubts.push(DoubtGroup { sentence, rows: Vec::new() });
        }
        if let Some(group) = original.doubts.last_mut() {
            group.rows.push(of(one));
        }
    }
    all
}

fn of(held: &HeldReading) -> Row {
    let row = &held.row;
    let sample = if row.sample_label.is_empty() { "sample without a name" } else { &row.sample_label };
    Row {
        id: row.id,
        name: format!("{sample}, {}", row.analyte.name()),
        printed: format!("{} {}", row.raw_value, row.raw_unit).trim().to_owned(),
        read_as: read_as(held),
        place: row.place.map_or_else(String::new, |p| p.spoken()),
    }
}

/// What was made of the printed number, with its unit.
pub fn read_as(held: &HeldReading) -> String {
    let row = &held.row;
    let sign = row.qualifier.map_or("", |q| q.id());
    format!("{sign}{} {}", rounded(row.value), row.analyte.unit().suffix()).trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::history::History;

    #[test]
    fn an_empty_history_waits_for_nobody() {
        let home = tempfile::tempdir().unwrap();
        let history = History::open(&home.path().join("loamline.db")).unwrap();
        assert!(history.waiting(0, 9).unwrap().is_empty() && history.held_whole().unwrap().is_empty());
        assert!(grouped(std::iter::empty()).is_empty());
    }
}
