//! One reading beside its original: what is printed, what was made of it, the very place on the page, and what can be
//! decided about it.

use super::held;
use super::look::{Frame, show};
use super::original::see;
use super::who::Who;
use super::{Shared, Trouble};
use crate::document::Cell;
use crate::history::{DecisionRow, HeldReading, History};
use crate::ingest::site_of;
use crate::place::{Place, Rect};
use crate::reader::look::Seen;
use crate::soil::site::slug;
use crate::soil::{Method, Site, Status};
use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

/// Columns of a sheet that are shown.
const COLUMNS: u32 = 40;

#[derive(Template)]
#[template(path = "reading.html")]
struct Reading {
    frame: Frame,
    held: HeldReading,
    read_as: String,
    spoken: String,
    view: View,
    who: Who,
    more: More,
    methods: Vec<&'static str>,
}

/// What the history says besides.
struct More {
    /// Decisions about it and its sample, the last first: the day, the decision, whether it can be taken back.
    decisions: Vec<(String, DecisionRow, bool)>,
    /// Sites that may be meant, the nearest first.
    near: Vec<Site>,
    /// What waits next, where this one waits or did.
    next: Option<i64>,
    /// How many wait in all.
    waiting: usize,
}

impl Reading {
    fn waits(&self) -> bool {
        self.held.row.status == Status::Held
    }

    fn doubts_the_site(&self) -> bool {
        self.held.row.site.is_empty() || self.held.doubts.iter().any(|d| d.reason.starts_with("site"))
    }

    fn doubts_the_day(&self) -> bool {
        self.held.row.season.is_none()
    }

    fn unit(&self) -> &'static str {
        self.held.row.analyte.unit().suffix()
    }
}

/// The place on the original, ready to be shown; pages that settle readings show it too (`templates/place.html`).
#[derive(Debug)]
pub enum View {
    /// A drawn page with a frame.
    Page {
        /// Address of the picture.
        picture: String,
        /// Size of the page in points.
        size: (f32, f32),
        /// What is framed, in points.
        frame: Rect,
    },
    /// Part of a sheet with a marked cell.
    Sheet {
        /// Columns shown.
        columns: Vec<String>,
        /// Rows with their number.
        rows: Vec<SheetRow>,
    },
    /// Words at their places, with a frame.
    Words {
        /// Words with their boxes.
        words: Vec<(Rect, String)>,
        /// Size of the page in points.
        size: (f32, f32),
        /// What is framed, in points.
        frame: Rect,
    },
    /// Nothing can be shown.
    Nothing,
}

/// A row of a sheet.
#[derive(Debug)]
pub struct SheetRow {
    /// Its number.
    pub number: u32,
    /// Texts, and whether it is the marked one.
    pub cells: Vec<(String, bool)>,
}

/// `GET /readings/{id}`
///
/// # Errors
/// No such reading, or what the store says.
pub async fn page(
    State(web): State<Shared>,
    frame: Frame,
    who: Who,
    Path(id): Path<i64>,
) -> Result<Response, Trouble> {
    let (held, more) = web
        .store
        .read(move |history| {
            let mut held = history.reading(id)?.ok_or_else(|| Trouble::no_such("reading"))?;
            site_of::offer_now(history, std::slice::from_mut(&mut held))?;
            let more = more(history, &held)?;
            Ok((held, more))
        })
        .await?;
    let read_as = held::read_as(&held);
    let spoken = held.row.place.map_or_else(String::new, |p| p.spoken());
    let view = view(&web, &held).await?;
    let methods = Method::ALL.iter().filter(|m| m.measures(held.row.analyte)).map(|m| m.id()).collect();
    show(&Reading { frame, read_as, spoken, view, who, more, methods, held })
}

/// Sites offered at most.
const NEAR: usize = 8;

fn more(history: &History, held: &HeldReading) -> Result<More, Trouble> {
    let all = history.decisions_on(held.row.id)?;
    let undone: Vec<i64> = all.iter().filter_map(|d| d.undoes).collect();
    let decisions = all
        .iter()
        .rev()
        .map(|d| (d.at.chars().take(10).collect(), d.clone(), d.action != "undo" && !undone.contains(&d.id)))
        .collect();
    let (next, waiting) = (history.waiting_after(held)?, history.count_waiting()?);
    Ok(More { decisions, near: near(history.sites()?, held), next, waiting })
}

/// Sites that the doubts name, then those of the same client.
fn near(sites: Vec<Site>, held: &HeldReading) -> Vec<Site> {
    let offered: Vec<&String> =
        held.doubts.iter().filter(|d| d.reason.starts_with("site")).flat_map(|d| &d.alternatives).collect();
    let named = |site: &Site| {
        let word = format!("site {}", site.id);
        let stands = |text: &str| {
            text.strip_prefix(word.as_str())
                .is_some_and(|rest| !rest.starts_with(|c: char| c == '-' || c.is_alphanumeric()))
        };
        offered.iter().any(|text| stands(text))
    };
    let client = held.row.client.as_deref().map(slug).filter(|c| !c.is_empty());
    let theirs = |site: &Site| client.is_some() && site.client.as_deref().map(slug) == client;
    let (first, rest): (Vec<Site>, Vec<Site>) = sites.into_iter().partition(named);
    first.into_iter().chain(rest.into_iter().filter(theirs)).take(NEAR).collect()
}

/// The place of a reading on its original.
///
/// # Errors
/// No such record.
pub async fn view(web: &Shared, held: &HeldReading) -> Result<View, Trouble> {
    let Some(place) = held.row.place else { return Ok(View::Nothing) };
    let sha256 = held.row.source_sha256.clone();
    let cell = match place {
        Place::Page { .. } => None,
        Place::Cell { row, column, .. } => Some((row, column)),
    };
    // An original that is gone is no reason to hide the reading.
    let Ok(seen) = see(web, sha256.clone(), place.page(), cell).await else { return Ok(View::Nothing) };
    Ok(match (&*seen, place) {
        (Seen::Picture { width, height, .. }, Place::Page { page, area }) => View::Page {
            picture: format!("/documents/{sha256}/pages/{page}.png"),
            size: (*width, *height),
            frame: around(area),
        },
        (Seen::Words { words, width, height }, Place::Page { area, .. }) => View::Words {
            words: words.iter().map(|w| (w.area, w.text.clone())).collect(),
            size: (*width, *height),
            frame: around(area),
        },
        (Seen::Cells { cells, .. }, Place::Cell { row, column, .. }) => sheet(cells, row, column),
        _ => View::Nothing,
    })
}

/// The frame stands a little off the letters.
fn around(area: Rect) -> Rect {
    Rect::new(area.x0 - 2.0, area.y0 - 2.0, area.x1 + 2.0, area.y1 + 2.0)
}

fn sheet(cells: &[Cell], row: u32, column: u32) -> View {
    let first = column.saturating_sub(COLUMNS / 2).max(1);
    let last = cells.iter().map(|c| c.column).max().unwrap_or(1).min(first + COLUMNS - 1);
    let mut numbers: Vec<u32> = cells.iter().map(|c| c.row).collect();
    numbers.dedup();
    let rows = numbers.into_iter().map(|number| SheetRow {
        number,
        cells: (first..=last)
            .map(|at| {
                let text = cells.iter().find(|c| c.row == number && c.column == at);
                (text.map_or_else(String::new, |c| c.text.clone()), number == row && at == column)
            })
            .collect(),
    });
    let name = |column| {
        let address = Place::Cell { sheet: 1, row: 1, column }.cell_address().unwrap_or_default();
        address.trim_end_matches('1').to_owned()
    };
    View::Sheet { columns: (first..=last).map(name).collect(), rows: rows.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_cell_of_the_sheet_is_marked() {
        let cell = |row, column, text: &str| Cell {
            row,
            column,
            columns: 1,
            rows: 1,
            text: text.into(),
            numeric: false,
        };
        let cells = [cell(1, 1, "Sample"), cell(1, 2, "pH"), cell(7, 2, "6.4")];
        let View::Sheet { columns, rows } = sheet(&cells, 7, 2) else { panic!("no sheet") };
        assert_eq!(columns, ["A", "B"]);
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[1].cells, [(String::new(), false), ("6.4".to_owned(), true)]);
    }
}
