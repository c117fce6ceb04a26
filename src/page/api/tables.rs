//! The contract's tables in pages of whole sites, or as one stream of lines: never more than a page in memory.

use super::super::{Shared, Trouble, Web};
use crate::assess::{Assessment, trend_rows};
use crate::assessed::each_assessment;
use crate::export::{self, Format, Table};
use crate::history::{Filter, History};
use crate::soil::Site;
use axum::body::{Body, Bytes};
use axum::extract::{Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use serde::Deserialize;

/// Rows of a page when nobody says.
const ROWS: usize = 1_000;

/// The most rows a page is asked for.
const MOST_ROWS: usize = 10_000;

/// Sites assessed at a time: enough for it to pay, few enough for a page not to grow far beyond what was asked for.
const SITES: usize = 10;

/// The most sites looked at for one page: where few of them have a row, the page ends before it is full.
const MOST_SITES: usize = 200;

/// How a table is asked for.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    after: Option<String>,
    limit: Option<usize>,
    format: Option<String>,
    site: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    Readings,
    Trends,
    Flags,
    Sites,
    Documents,
}

/// `GET /readings`
///
/// # Errors
/// What the store says.
pub async fn readings(State(web): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, Trouble> {
    answer(web, Which::Readings, asked).await
}

/// `GET /trends`
///
/// # Errors
/// What the store says.
pub async fn trends(State(web): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, Trouble> {
    answer(web, Which::Trends, asked).await
}

/// `GET /flags`
///
/// # Errors
/// What the store says.
pub async fn flags(State(web): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, Trouble> {
    answer(web, Which::Flags, asked).await
}

/// `GET /sites`
///
/// # Errors
/// What the store says.
pub async fn sites(State(web): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, Trouble> {
    answer(web, Which::Sites, asked).await
}

/// `GET /documents`
///
/// # Errors
/// What the store says.
pub async fn documents(State(web): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, Trouble> {
    answer(web, Which::Documents, asked).await
}

async fn answer(web: Shared, which: Which, asked: Asked) -> Result<Response, Trouble> {
    let limit = asked.limit.unwrap_or(ROWS).clamp(1, MOST_ROWS);
    match asked.format.as_deref().unwrap_or("json") {
        "json" => {
            let page = page(&web, which, asked.site, asked.after, limit).await?;
            let rows = written(&page.table, Format::Json)?;
            let next = serde_json::to_string(&page.next).map_err(|e| Trouble::inside(&e))?;
            let body =
                [b"{\"rows\":".as_slice(), rows.trim_ascii_end(), b",\"next\":", next.as_bytes(), b"}\n"]
                    .concat();
            Ok(([(CONTENT_TYPE, "application/json")], body).into_response())
        }
        "jsonl" => {
            // The first page is made before the answer begins, so that what goes wrong at once can still be said.
            let first = page(&web, which, asked.site.clone(), asked.after, limit).await?;
            let lines = stream::unfold(Some((web, asked.site, Ok(first))), move |state| async move {
                let (web, site, made) = state?;
                let made: Page = match made {
                    Ok(made) => made,
                    // The stream breaks off: the one who reads sees that it is not whole.
                    Err(cause) => return Some((Err(std::io::Error::other(cause)), None)),
                };
                let lines = written(&made.table, Format::Jsonl).map(Bytes::from);
                let lines = lines.map_err(|t| std::io::Error::other(t.what));
                let rest = match made.next {
                    None => None,
                    Some(next) => {
                        let made =
                            page(&web, which, site.clone(), Some(next), ROWS).await.map_err(|t| t.what);
                        Some((web, site, made))
                    }
                };
                Some((lines, rest))
            });
            Ok(([(CONTENT_TYPE, "application/x-ndjson")], Body::from_stream(lines)).into_response())
        }
        _ => Err(Trouble::wrong("There is no such format.", "Ask for `json` or `jsonl`.")),
    }
}

fn written(table: &Table, format: Format) -> Result<Vec<u8>, Trouble> {
    table.write(format, true).map_err(|e| Trouble::inside(&e))
}

/// Rows, and where to go on; none at the end.
struct Page {
    table: Table,
    next: Option<String>,
}

async fn page(
    web: &Web,
    which: Which,
    site: Option<String>,
    after: Option<String>,
    limit: usize,
) -> Result<Page, Trouble> {
    let (settings, today) = (web.settings(), web.today());
    web.store
        .read(move |history| {
            let assessed = |sites: Vec<Site>, take: &mut dyn FnMut(Assessment)| {
                each_assessment(history, &settings, sites, today, |one| {
                    take(one);
                    Ok::<_, crate::assessed::Error>(())
                })
                .map_err(Trouble::from)
            };
            match which {
                Which::Documents => documents_page(history, after, limit),
                Which::Sites => {
                    let sites = history.sites_after(after.as_deref().unwrap_or(""), limit)?;
                    let next = (sites.len() == limit).then(|| sites.last().map(|s| s.id.clone())).flatten();
                    Ok(Page { table: export::sites(&sites), next })
                }
                Which::Readings => {
                    let mut rows = Vec::new();
                    if after.is_none() && site.is_none() {
                        // Readings without a site stand first, as in the export.
                        rows.extend(
                            history.readings(&Filter { site: Some(String::new()), ..Filter::default() })?,
                        );
                    }
                    let next = by_site(history, (site, after), 1, |sites| {
                        for site in sites {
                            rows.extend(
                                history.readings(&Filter { site: Some(site.id), ..Filter::default() })?,
                            );
                        }
                        Ok(rows.len() >= limit)
                    })?;
                    Ok(Page { table: export::readings(&rows), next })
                }
                Which::Trends => {
                    let mut rows = Vec::new();
                    let next = by_site(history, (site, after), SITES, |sites| {
                        assessed(sites, &mut |one| rows.extend(trend_rows(&one)))?;
                        Ok(rows.len() >= limit)
                    })?;
                    Ok(Page { table: export::trends(&rows), next })
                }
                Which::Flags => {
                    let mut rows = Vec::new();
                    let next = by_site(history, (site, after), SITES, |sites| {
                        assessed(sites, &mut |one| rows.extend(one.flags))?;
                        Ok(rows.len() >= limit)
                    })?;
                    Ok(Page { table: export::flags(&rows), next })
                }
            }
        })
        .await
}

/// Hands on sites by id, so many at a time, until `take` has enough; gives where to go on.
fn by_site(
    history: &History,
    (only, after): (Option<String>, Option<String>),
    lot: usize,
    mut take: impl FnMut(Vec<Site>) -> Result<bool, Trouble>,
) -> Result<Option<String>, Trouble> {
    if let Some(id) = only {
        let site = history.site(&id)?.ok_or_else(|| Trouble::no_such("site"))?;
        take(vec![site])?;
        return Ok(None);
    }
    let mut after = after.unwrap_or_default();
    let mut looked_at = 0;
    loop {
        let sites = history.sites_after(&after, lot)?;
        let Some(last) = sites.last().map(|s| s.id.clone()) else { return Ok(None) };
        let more = sites.len() == lot;
        let enough = take(sites)?;
        if !more {
            return Ok(None);
        }
        looked_at += lot;
        if enough || looked_at >= MOST_SITES {
            return Ok(Some(last));
        }
        after = last;
    }
}

/// Documents by name, hash and what is around them.
fn documents_page(history: &History, after: Option<String>, limit: usize) -> Result<Page, Trouble> {
    let wrong = |_| Trouble::wrong("`after` means nothing.", "Take the `next` of the page before.");
    let after: Option<(String, String, String)> =
        after.map(|text| serde_json::from_str(&text).map_err(wrong)).transpose()?;
    let rows = history.documents_after(after.as_ref(), limit)?;
    let next = match rows.last() {
        Some(row) if rows.len() == limit => {
            let key = (&row.source_file, &row.source_sha256, row.inside_of.as_deref().unwrap_or(""));
            Some(serde_json::to_string(&key).map_err(|e| Trouble::inside(&e))?)
        }
        _ => None,
    };
    Ok(Page { table: export::documents(&rows), next })
}
