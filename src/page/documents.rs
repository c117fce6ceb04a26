//! Every document and what became of it, in pages; and one with its reports' numbers, its copies and its original.

use super::look::{Frame, encoded, show};
use super::{Shared, Trouble};
use crate::history::{Copy, DocumentRow, Filter, History, ListedDocument, Listing};
use crate::soil::value::rounded;
use crate::soil::{Outcome, ReadingRow};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

/// Documents on one page.
const A_PAGE: usize = 50;

/// Numbers of one document that are listed.
const NUMBERS: usize = 500;

/// What is asked of the list.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    q: String,
    outcome: String,
    page: Option<usize>,
}

#[derive(Template)]
#[template(path = "documents.html")]
struct Documents {
    frame: Frame,
    shown: Vec<ListedDocument>,
    found: usize,
    all: usize,
    asked: Asked,
    before: Option<String>,
    after: Option<String>,
    outcomes: Vec<(&'static str, bool)>,
    page: usize,
    pages: usize,
}

/// `GET /documents`: the newest first.
///
/// # Errors
/// What the store says.
pub async fn list(
    State(web): State<Shared>,
    frame: Frame,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let listing = Listing { words: asked.q.clone(), outcome: Outcome::from_id(&asked.outcome) };
    let wanted = asked.page;
    let (shown, found, all, page, pages) = web
        .store
        .read(move |history| {
            let all = history.count_documents(&Listing::default())?;
            let found = history.count_documents(&listing)?;
            let pages = found.div_ceil(A_PAGE).max(1);
            let page = wanted.unwrap_or(1).clamp(1, pages);
            let shown = history.newest_documents(&listing, (page - 1) * A_PAGE, A_PAGE)?;
            Ok((shown, found, all, page, pages))
        })
        .await?;
    let outcomes = Outcome::ALL.iter().map(|o| (o.id(), o.id() == asked.outcome)).collect();
    let address = |page: usize| {
        format!("/documents?q={}&outcome={}&page={page}", encoded(&asked.q), encoded(&asked.outcome))
    };
    let before = (page > 1).then(|| address(page - 1));
    let after = (page < pages).then(|| address(page + 1));
    show(&Documents { frame, shown, found, all, asked, before, after, outcomes, page, pages })
}

#[derive(Template)]
#[template(path = "document.html")]
struct Document {
    frame: Frame,
    row: DocumentRow,
    copies: Vec<Copy>,
    around: Option<DocumentRow>,
    members: Vec<DocumentRow>,
    /// Others that hold the same numbers, or stand before or after it: what they are to it, and the document.
    others: Vec<(&'static str, DocumentRow)>,
    readings: Vec<(ReadingRow, String)>,
    more: usize,
}

/// `GET /documents/{sha256}`
///
/// # Errors
/// No such document, or what the store says.
pub async fn one(
    State(web): State<Shared>,
    frame: Frame,
    Path(sha256): Path<String>,
) -> Result<Response, Trouble> {
    let page = web.store.read(move |history| document(history, frame, &sha256)).await?;
    show(&page)
}

fn document(history: &History, frame: Frame, sha256: &str) -> Result<Document, Trouble> {
    let row = history.document(sha256)?.ok_or_else(|| Trouble::no_such("document"))?;
    let around = row.inside_of.as_deref().map(|outer| history.document(outer)).transpose()?.flatten();
    let mut others = Vec::new();
    let links = [
        ("The same numbers stand in", row.duplicate_of.as_deref()),
        ("It replaces", row.supersedes.as_deref()),
        ("It is replaced by", row.superseded_by.as_deref()),
    ];
    for (words, hashes) in links {
        for hash in hashes.unwrap_or_default().split_whitespace().filter(|hash| *hash != sha256) {
            others.extend(history.document(hash)?.map(|other| (words, other)));
        }
    }
    let mut readings = history.readings(&Filter { sha256: Some(sha256.to_owned()), ..Filter::default() })?;
    let more = readings.len().saturating_sub(NUMBERS);
    readings.truncate(NUMBERS);
    let readings = readings
        .into_iter()
        .map(|r| {
            let sign = r.qualifier.map_or("", |q| q.id());
            let said = format!("{sign}{} {}", rounded(r.value), r.analyte.unit().suffix());
            (r, said.trim().to_owned())
        })
        .collect();
    let (copies, members) = (history.copies(sha256)?, history.members(sha256)?);
    Ok(Document { frame, row, copies, around, members, others, readings, more })
}
