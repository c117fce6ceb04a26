//! How the service itself does: the last pass and the checks, what waits and was refused, and its own last words.

use super::look::{Frame, show};
use super::recent;
use super::{Shared, Trouble};
use crate::health::{Health, Said};
use crate::history::Listing;
use crate::soil::Outcome;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use std::path::Path;

#[derive(Template)]
#[template(path = "service.html")]
struct Service {
    frame: Frame,
    said: Vec<Said>,
    readings: usize,
    held: usize,
    refused: usize,
    filed: usize,
    lines: Vec<String>,
}

/// `GET /service`
///
/// # Errors
/// What the store says.
pub async fn page(State(web): State<Shared>, frame: Frame) -> Result<Response, Trouble> {
    let said = Health::of(&web.home).said(jiff::Timestamp::now());
    let (readings, held, refused, filed) = web
        .store
        .read(|history| {
            let count =
                |outcome| history.count_documents(&Listing { outcome: Some(outcome), ..Listing::default() });
            Ok((
                history.count_waiting()?,
                count(Outcome::Held)?,
                count(Outcome::Refused)?,
                count(Outcome::Filed)?,
            ))
        })
        .await?;
    let inbox = super::drop::inbox(&web.home, &web.settings());
    let folders = [(inbox.as_path(), "INBOX"), (web.home.root(), "HOME")];
    let lines = recent::lines().into_iter().map(|line| without_folders(line, &folders)).collect();
    show(&Service { frame, said, readings, held, refused, filed, lines })
}

/// A line of the log as a page may show it: where on the machine these folders lie is nobody's business there.
fn without_folders(line: String, folders: &[(&Path, &str)]) -> String {
    folders.iter().fold(line, |line, (folder, word)| {
        let own = folder.canonicalize().unwrap_or_else(|_| (*folder).to_owned());
        let replace = |line: String, folder: &Path| match folder.to_string_lossy() {
            name if name.len() > 1 => line.replace(name.as_ref(), word),
            _ => line,
        };
        replace(replace(line, &own), folder)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_of_the_home_is_not_shown() {
        let home = tempfile::tempdir().unwrap();
        let line = format!("watching inbox={}/inbox version=\"1\"", home.path().display());
        let folders = [(Path::new("/elsewhere"), "INBOX"), (home.path(), "HOME")];
        assert_eq!(without_folders(line, &folders), "watching inbox=HOME/inbox version=\"1\"");
        assert_eq!(without_folders("inbox=/elsewhere/a".to_owned(), &folders), "inbox=INBOX/a");
    }
}
