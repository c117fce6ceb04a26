//! The sites, the most urgent first, with search, filters and a small line of the years.

use super::look::{Frame, show};
use super::overview::{AllSites, SiteLine};
use super::{Shared, Trouble};
use crate::chart::input::State as Standing;
use crate::flag::FlagKind;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde::Deserialize;
use std::sync::Arc;

/// Sites on one page of the list.
const A_PAGE: usize = 50;

/// Seasons in the small line.
const SEASONS: usize = 12;

/// What is asked of the list; whatever makes no sense is passed over.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    q: String,
    client: String,
    flag: String,
    page: Option<usize>,
    /// Files that were put into the inbox just now.
    dropped: Option<usize>,
}

#[derive(Template)]
#[template(path = "sites.html")]
struct Sites<'a> {
    frame: Frame,
    all: &'a AllSites,
    shown: Vec<Row>,
    found: usize,
    asked: &'a Asked,
    kinds: Vec<(&'static str, bool)>,
    page: usize,
    pages: usize,
    before: Option<String>,
    after: Option<String>,
}

struct Row {
    line: Arc<SiteLine>,
    years: Vec<Year>,
    width: usize,
}

/// One season of the small line: place and look of its mark.
struct Year {
    x: usize,
    class: &'static str,
    words: String,
}

/// `GET /`
///
/// # Errors
/// What the store says.
pub async fn page(
    State(web): State<Shared>,
    frame: Frame,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let all = web.overview.now(&web.store).await?;
    let (word, kind) = (asked.q.trim().to_lowercase(), FlagKind::from_id(&asked.flag));
    let found: Vec<&Arc<SiteLine>> =
        all.lines.iter().filter(|line| wanted(line, &asked, &word, kind)).collect();
    let pages = found.len().div_ceil(A_PAGE).max(1);
    let page = asked.page.unwrap_or(1).clamp(1, pages);
    let shown = found.iter().skip((page - 1) * A_PAGE).take(A_PAGE).map(|line| row(line)).collect();
    show(&Sites {
        frame,
        all: &all,
        shown,
        found: found.len(),
        kinds: FlagKind::ALL.iter().map(|k| (k.id(), k.id() == asked.flag)).collect(),
        page,
        pages,
        before: (page > 1).then(|| address(&asked, page - 1)),
        after: (page < pages).then(|| address(&asked, page + 1)),
        asked: &asked,
    })
}

/// `word`: what is searched for, in small letters; `kind`: the flag.
fn wanted(line: &SiteLine, asked: &Asked, word: &str, kind: Option<FlagKind>) -> bool {
    let client = line.client.as_deref().unwrap_or_default();
    (word.is_empty() || line.found_by.contains(word))
        && (asked.client.is_empty() || asked.client == client)
        && kind.is_none_or(|kind| line.kinds.contains(&kind))
}

/// The same list, another page.
fn address(asked: &Asked, page: usize) -> String {
    let mut address = form(&[("q", &asked.q), ("client", &asked.client), ("flag", &asked.flag)]);
    address.push_str(&format!("page={page}"));
    format!("/?{address}")
}

/// The filled fields of a form as an address has them, each followed by `&`.
fn form(fields: &[(&str, &str)]) -> String {
    let mut text = String::new();
    for (name, value) in fields.iter().filter(|(_, v)| !v.is_empty()) {
        text.push_str(&format!("{name}={}&", super::look::encoded(value)));
    }
    text
}

fn row(line: &Arc<SiteLine>) -> Row {
    let skip = line.seasons.len().saturating_sub(SEASONS);
    let years: Vec<Year> = line
        .seasons
        .iter()
        .skip(skip)
        .enumerate()
        .map(|(at, season)| Year {
            x: at * 12,
            class: class(season.state),
            words: format!("{}: {} {}", season.season, said(season.state), season.analytes).trim().to_owned(),
        })
        .collect();
    Row { line: Arc::clone(line), width: years.len() * 12, years }
}

fn class(state: Standing) -> &'static str {
    match state {
        Standing::Act => "act",
        Standing::Watch => "watch",
        Standing::Good => "good",
        Standing::Unclassed => "open",
    }
}

fn said(state: Standing) -> &'static str {
    match state {
        Standing::Act => "act on",
        Standing::Watch => "watch",
        Standing::Good => "in order",
        Standing::Unclassed => "no table speaks",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_search_looks_at_name_id_and_client_and_filters_narrow_it() {
        let line = SiteLine {
            id: "north-3".into(),
            name: "North lawn".into(),
            client: Some("R. Quill".into()),
            found_by: "north lawn\nnorth-3\nr. quill".into(),
            act: 1,
            watch: 0,
            kinds: [FlagKind::Hazard].into(),
            first: None,
            seasons: Vec::new(),
        };
        let asked = |q: &str, client: &str, flag: &str| Asked {
            q: q.into(),
            client: client.into(),
            flag: flag.into(),
            page: None,
            dropped: None,
        };
        let wanted = |asked: Asked| {
            let kind = FlagKind::from_id(&asked.flag);
            wanted(&line, &asked, &asked.q.trim().to_lowercase(), kind)
        };
        assert!(wanted(asked(" LAWN ", "", "")) && wanted(asked("quill", "R. Quill", "hazard")));
        assert!(!wanted(asked("south", "", "")) && !wanted(asked("", "Other", "")));
        assert!(!wanted(asked("", "", "excessive")));
    }

    #[test]
    fn the_next_page_keeps_what_was_asked() {
        let asked = Asked { q: "a&b=c".into(), ..Asked::default() };
        assert_eq!(address(&asked, 2), "/?q=a%26b%3Dc&page=2");
    }
}
