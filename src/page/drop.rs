//! Takes files from a page into the inbox: streamed to the disk under a name on its way, renamed once it is whole.

use super::guard::csrf::{self, TokenToCome};
use super::guard::limits;
use super::guard::session::Visitor;
use super::{Shared, Trouble};
use crate::home::Home;
use axum::body::{Body, Bytes};
use axum::extract::{Extension, Request, State};
use axum::http::header::{ACCEPT, CONTENT_TYPE};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use futures_util::{Stream, StreamExt, TryStreamExt};
use multer::Multipart;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use tokio::io::AsyncWriteExt;

/// Files in one go.
const FILES: usize = 200;

/// Letters of a name.
const LONGEST_NAME: usize = 120;

/// Bytes of a form beside its files, one after the other: held in memory, as its names and its token are.
const BESIDE_FILES: usize = 256 << 10;

/// What files on their way are called: the inbox passes names with a point before them over.
const ON_ITS_WAY: &str = ".loamline-drop-";

/// `POST /drop`: the field `token` first (or the header), then any number of files. Answers with the names as they lie in
/// the inbox for a script, else goes back to the front page, which says how many.
///
/// # Errors
/// Nothing was sent, or it did not come whole; then nothing of that file is left.
pub async fn take(
    State(web): State<Shared>,
    Extension(visitor): Extension<Visitor>,
    request: Request,
) -> Result<Response, Trouble> {
    let header =
        |name, h: &HeaderMap| h.get(name).and_then(|v: &HeaderValue| v.to_str().ok()).map(str::to_owned);
    let script = header(ACCEPT, request.headers()).is_some_and(|a| a.contains("application/json"));
    let boundary = header(CONTENT_TYPE, request.headers()).and_then(|t| multer::parse_boundary(t).ok());
    let boundary = boundary
        .ok_or_else(|| Trouble::wrong("No file was sent.", "Choose a report, then press the button."))?;
    let mut to_come = request.extensions().get::<TokenToCome>().is_some();
    let inbox = inbox(&web.home, &web.settings());
    tokio::fs::create_dir_all(&inbox).await.map_err(no_room)?;
    let beside = Arc::new(AtomicUsize::new(0));
    let mut parts = Multipart::new(watched(request.into_body(), &beside), boundary);
    let mut names = Vec::new();
    let most = web.settings().limits().file_bytes;
    while let Some(field) = parts.next_field().await.map_err(|e| limits::broken(&e))? {
        beside.store(0, Ordering::Relaxed);
        if field.name() == Some(csrf::FIELD) {
            let word = field.text().await.map_err(|e| limits::broken(&e))?;
            if !csrf::fits(&web, &visitor, &word) {
                return Err(csrf::old());
            }
            to_come = false;
            continue;
        }
        if to_come {
            return Err(csrf::old());
        }
        if names.len() >= FILES {
            return Err(Trouble::wrong("These were too many files.", "Send 200 at a time."));
        }
        // A form without a chosen file sends one without name and bytes.
        if let Some(name) = field.file_name().filter(|n| !n.is_empty()).map(str::to_owned) {
            let pieces =
                field.inspect_ok(|_| beside.store(0, Ordering::Relaxed)).map_err(|e| limits::broken(&e));
            names.push(keep(&inbox, &name, pieces, most, web.settings().watch.keep_free_mib).await?);
        }
    }
    if names.is_empty() {
        return Err(Trouble::wrong("No file was sent.", "Choose a report, then press the button."));
    }
    Ok(if script {
        axum::Json(serde_json::json!({ "taken": names })).into_response()
    } else {
        Redirect::to(&format!("/?dropped={}", names.len())).into_response()
    })
}

/// The bytes of a form, which end once too many came of which no file got any: whatever takes the form apart would hold
/// them all. `beside` is set back to 0 with every piece of a file.
fn watched(body: Body, beside: &Arc<AtomicUsize>) -> impl Stream<Item = Result<Bytes, axum::Error>> + use<> {
    let beside = Arc::clone(beside);
    body.into_data_stream().map(move |piece| {
        let piece = piece?;
        if beside.fetch_add(piece.len(), Ordering::Relaxed) > BESIDE_FILES {
            return Err(axum::Error::new(limits::TooLarge));
        }
        Ok(piece)
    })
}

/// The drop folder.
pub(super) fn inbox(home: &Home, settings: &crate::config::Settings) -> PathBuf {
    settings.watch.inbox.as_ref().map_or_else(|| home.inbox(), |p| home.root().join(p))
}

/// Takes the whole body as one file into the inbox, and gives the name it lies under.
///
/// # Errors
/// It did not come whole; then nothing of it is left.
pub async fn keep_body(web: &Shared, name: &str, body: Body) -> Result<String, Trouble> {
    let inbox = inbox(&web.home, &web.settings());
    tokio::fs::create_dir_all(&inbox).await.map_err(no_room)?;
    let pieces = body.into_data_stream().map_err(|e| limits::broken(&e));
    let settings = web.settings();
    keep(&inbox, name, pieces, settings.limits().file_bytes, settings.watch.keep_free_mib).await
}

/// Removes what an earlier run left half-taken.
pub fn sweep(home: &Home, settings: &crate::config::Settings) {
    for entry in std::fs::read_dir(inbox(home, settings)).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(ON_ITS_WAY) {
            // One that cannot be removed now is tried again at the next start.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Writes one file whole into the inbox, and gives the name it lies under.
async fn keep(
    inbox: &Path,
    name: &str,
    pieces: impl Stream<Item = Result<Bytes, Trouble>>,
    most: u64,
    keep_free_mib: u64,
) -> Result<String, Trouble> {
    let mut pieces = std::pin::pin!(pieces);
    if crate::home::bytes_free(inbox).is_some_and(|free| free >> 20 < keep_free_mib) {
        return Err(no_room(std::io::ErrorKind::StorageFull.into()));
    }
    let name = harmless(name);
    let part = OnItsWay::new(inbox);
    let mut file = tokio::fs::File::create_new(&part.path).await.map_err(no_room)?;
    let mut size: u64 = 0;
    while let Some(piece) = pieces.next().await {
        let piece = piece?;
        size += piece.len() as u64;
        if size > most {
            return Err(limits::too_large());
        }
        file.write_all(&piece).await.map_err(no_room)?;
    }
    file.sync_all().await.map_err(no_room)?;
    drop(file);
    let inbox = inbox.to_owned();
    tokio::task::spawn_blocking(move || {
        for number in 0..1000 {
            let there = inbox.join(numbered(&name, number));
            // A link never replaces: a name that is taken gives an error, and the next number is tried.
            match std::fs::hard_link(&part.path, &there) {
                Ok(()) => {
                    // The one who sent it may forget it now: the name must outlive a power cut as well.
                    std::fs::File::open(&inbox).and_then(|folder| folder.sync_all()).map_err(no_room)?;
                    return Ok(numbered(&name, number));
                }
                Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {}
                // A share without links: nobody else gives these names while we look.
                Err(_) if !there.exists() => {
                    return std::fs::rename(&part.path, &there)
                        .map(|()| numbered(&name, number))
                        .map_err(no_room);
                }
                Err(e) => return Err(no_room(e)),
            }
        }
        Err(Trouble::new(
            StatusCode::CONFLICT,
            "The inbox is full of files of this name.",
            "Wait until they are read, or give the file another name.",
        ))
    })
    .await
    .map_err(|e| Trouble::inside(&e))?
}

/// A file that is gone when it was not kept under its own name; after a link the name on its way goes as well.
struct OnItsWay {
    path: PathBuf,
}

impl OnItsWay {
    fn new(inbox: &Path) -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        Self { path: inbox.join(format!("{ON_ITS_WAY}{}-{number}.part", std::process::id())) }
    }
}

impl Drop for OnItsWay {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.path);
    }
}

fn no_room(cause: std::io::Error) -> Trouble {
    tracing::warn!(%cause, "a dropped file was not taken");
    Trouble::new(
        StatusCode::INSUFFICIENT_STORAGE,
        "The file could not be kept.",
        "Check that the disk of the inbox has room and may be written, then try again.",
    )
}

/// A file's own name without anything that is a path, hidden, or passed over by the inbox.
fn harmless(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let cleaned: String =
        last.chars().map(|c| if c.is_alphanumeric() || "-_. ()".contains(c) { c } else { '_' }).collect();
    let cleaned = cleaned.trim_matches([' ', '.', '-', '~']);
    let cut: String =
        cleaned.chars().rev().take(LONGEST_NAME).collect::<Vec<_>>().into_iter().rev().collect();
    let name = cut.trim_matches([' ', '.', '-', '~']).to_owned();
    if name.is_empty() || crate::inbox::listing::passed_over(name.as_ref()) {
        return format!("dropped_{name}_file");
    }
    name
}

/// `a.pdf`, `a (2).pdf` ...
fn numbered(name: &str, number: usize) -> String {
    match (number, name.rsplit_once('.')) {
        (0, _) => name.to_owned(),
        (n, Some((stem, end))) if !stem.is_empty() => format!("{stem} ({}).{end}", n + 1),
        (n, _) => format!("{name} ({})", n + 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_never_a_path_and_the_inbox_never_passes_it_over() {
        for (name, expected) in [
            ("report 2024.pdf", "report 2024.pdf"),
            ("../../etc/passwd", "passwd"),
            ("C:\\reports\\a.csv", "a.csv"),
            ("a\r\nb<script>.csv", "a__b_script_.csv"),
            (".hidden", "hidden"),
        ] {
            assert_eq!(harmless(name), expected);
        }
        for odd in ["", "..", "x.part", "thumbs.db", "~$a.xlsx", &"n".repeat(5000)] {
            let name = harmless(odd);
            assert!(!name.is_empty() && name.len() < 200, "{odd}");
            assert!(!crate::inbox::listing::passed_over(name.as_ref()), "{odd} gives {name}");
        }
    }

    #[test]
    fn a_taken_name_gets_a_number() {
        assert_eq!((numbered("a.pdf", 0), numbered("a.pdf", 1)), ("a.pdf".into(), "a (2).pdf".into()));
        assert_eq!(numbered("a", 2), "a (3)");
    }
}
