//! Originals: by the number of their record, as a file to keep and never as a page; and their pages drawn.

use super::look::encoded;
use super::{Shared, Trouble};
use crate::history::{DocumentRow, History};
use crate::home::Home;
use crate::inbox::listing;
use crate::reader::look::{Look, Seen};
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
};
use axum::response::{IntoResponse, Response};
use std::path::{Component, PathBuf};
use tokio_util::io::ReaderStream;

/// Whatever it is, it is bytes: a browser runs and shows nothing of it.
const POLICY: &str = "default-src 'none'; sandbox; frame-ancestors 'none'";

/// Where the bytes of a document lie.
#[derive(Debug)]
pub struct Kept {
    /// The document whose bytes they are: the one asked for, or the mail or archive around it.
    pub outer: DocumentRow,
    /// Their place.
    pub path: PathBuf,
}

/// Finds the bytes of a document by its record.
///
/// # Errors
/// No such record, or no bytes were kept.
pub fn kept(history: &History, home: &Home, sha256: &str) -> Result<Kept, Trouble> {
    let mut row = history.document(sha256)?.ok_or_else(|| Trouble::no_such("document"))?;
    // What came inside another has its bytes there, unless it came alone as well.
    for _ in 0..8 {
        let own = row.kept_at.as_deref().and_then(|k| k.rsplit('/').next());
        let own = own.is_some_and(|name| name.starts_with(row.source_sha256.get(..16).unwrap_or("-")));
        match row.inside_of.clone().filter(|outer| !own && *outer != row.source_sha256) {
            Some(outer) => row = history.document(&outer)?.ok_or_else(|| Trouble::no_such("document"))?,
            None => break,
        }
    }
    let relative = PathBuf::from(row.kept_at.as_deref().ok_or_else(|| Trouble::no_such("original"))?);
    if !relative.components().all(|c| matches!(c, Component::Normal(_))) {
        return Err(Trouble::no_such("original"));
    }
    Ok(Kept { path: home.root().join(relative), outer: row })
}

async fn found(web: &Shared, sha256: String) -> Result<Kept, Trouble> {
    let home = web.home.clone();
    web.store.read(move |history| kept(history, &home, &sha256)).await
}

/// `GET /documents/{sha256}/original`
///
/// # Errors
/// No such record, or the file is gone.
pub async fn bytes(State(web): State<Shared>, Path(sha256): Path<String>) -> Result<Response, Trouble> {
    let kept = found(&web, sha256).await?;
    let path = kept.path;
    let opened = tokio::task::spawn_blocking(move || listing::open_regular(&path)).await;
    let (file, stamp) = opened.map_err(|e| Trouble::inside(&e))?.map_err(|cause| {
        tracing::warn!(%cause, "an original cannot be opened");
        Trouble::new(
            axum::http::StatusCode::NOT_FOUND,
            "The original is not where it was kept.",
            "Run `loamline verify` on the machine of the service.",
        )
    })?;
    let headers = [
        (CONTENT_TYPE, "application/octet-stream".to_owned()),
        (CONTENT_LENGTH, stamp.size.to_string()),
        (CONTENT_DISPOSITION, as_file(&kept.outer.source_file)),
        (CONTENT_SECURITY_POLICY, POLICY.to_owned()),
        (CACHE_CONTROL, "private, no-cache".to_owned()),
    ];
    let stream = ReaderStream::new(tokio::fs::File::from_std(file));
    Ok((headers, Body::from_stream(stream)).into_response())
}

/// A file to keep, under its own name (RFC 6266): plain letters for every browser, the whole name for those that can.
fn as_file(name: &str) -> String {
    let name = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || "-_. ()".contains(c) { c } else { '_' })
        .collect();
    format!("attachment; filename=\"{plain}\"; filename*=UTF-8''{}", encoded(name))
}

/// `GET /documents/{sha256}/pages/{file}`: a page drawn, `2.png`.
///
/// # Errors
/// No such record or page, or it is none that is drawn.
pub async fn page(
    State(web): State<Shared>,
    Path((sha256, file)): Path<(String, String)>,
) -> Result<Response, Trouble> {
    let page =
        file.strip_suffix(".png").and_then(|n| n.parse().ok()).ok_or_else(|| Trouble::no_such("page"))?;
    match &*see(&web, sha256, page, None).await? {
        Seen::Picture { png, .. } => {
            // The same bytes for the same hash, always.
            let headers = [
                (CONTENT_TYPE, "image/png"),
                (CACHE_CONTROL, "private, max-age=3600"),
                (CONTENT_SECURITY_POLICY, POLICY),
            ];
            Ok((headers, png.clone()).into_response())
        }
        _ => Err(Trouble::no_such("page")),
    }
}

/// What there is to see of a page.
///
/// # Errors
/// No such record.
pub async fn see(
    web: &Shared,
    sha256: String,
    page: u32,
    cell: Option<(u32, u32)>,
) -> Result<std::sync::Arc<Seen>, Trouble> {
    let kept = found(web, sha256.clone()).await?;
    web.viewer.see(kept.path, Look { sha256, page, cell }).await
}

#[cfg(test)]
mod tests {
    use super::as_file;

    #[test]
    fn a_name_breaks_out_of_no_header() {
        let header = as_file("a\"\r\nSet-Cookie: x=1\u{e9}.html");
        assert!(
            !header.contains('\r') && !header.contains('\n') && header.matches('"').count() == 2,
            "{header}"
        );
        assert!(header.starts_with("attachment; "));
        assert!(as_file("../../x.pdf").contains("filename=\"x.pdf\""));
    }
}
