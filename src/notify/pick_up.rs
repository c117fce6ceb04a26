//! Pick-up: asks the addresses in the settings for reports and lays what is new into the inbox, whole or not at all.

use super::connect::{client, refused, said};
use super::{Failed, wait_for};
use crate::history::{self, History, PickedUp};
use crate::reach::TrustSettings;
use crate::reach::settings::{PickUpSettings, seconds};
use reqwest::header::{ETAG, IF_MODIFIED_SINCE, IF_NONE_MATCH, LAST_MODIFIED};
use reqwest::{Response, StatusCode};
use sha2::{Digest, Sha256};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Names that a pick-up under way has in the inbox; whoever lists it leaves them alone.
const UNDER_WAY: &str = ".pick-up-";

/// What a round of pick-ups brought.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Picked {
    /// Files laid into the inbox.
    pub landed: Vec<PathBuf>,
    /// Addresses that had nothing new.
    pub same: usize,
    /// What failed and why, a sentence each.
    pub failed: Vec<String>,
}

/// Asks these addresses, one after the other. `most_bytes`: what is larger is cut off and left.
///
/// The caller holds the lock of the service: what an interrupted pick-up left is removed first.
///
/// # Errors
/// What the store says; an address that fails is no error.
pub fn pick_up(
    history: &mut History,
    (wanted, trust): (&[PickUpSettings], &TrustSettings),
    home: &Path,
    inbox: &Path,
    most_bytes: u64,
) -> history::Result<Picked> {
    let mut picked = Picked::default();
    remove_left_behind(inbox);
    for settings in wanted {
        let address = hash(settings.url.as_bytes());
        let before = history.picked_up(&address)?;
        let fetched = wait_for(fetch((settings, trust), home, inbox, before.as_ref(), most_bytes))
            .unwrap_or_else(|cause| Err(Failed::passing(cause.to_string())));
        match fetched {
            Ok(Fetched::Same(answer)) => {
                if let Some(answer) = answer {
                    history.remember_picked_up(&address, &answer)?;
                }
                picked.same += 1;
            }
            Ok(Fetched::New(path, answer)) => {
                // It lies in the inbox; forgotten here, it comes once more and is known by its bytes.
                history.remember_picked_up(&address, &answer)?;
                tracing::info!(pick_up = %settings.name, file = %path.display(), "picked up");
                picked.landed.push(path);
            }
            Err(failed) => {
                tracing::warn!(pick_up = %settings.name, %failed, "not picked up");
                picked.failed.push(format!("{}: {failed}", settings.name));
            }
        }
    }
    Ok(picked)
}

enum Fetched {
    /// Nothing new; the answer where it is worth remembering.
    Same(Option<PickedUp>),
    /// A file in the inbox.
    New(PathBuf, PickedUp),
}

async fn fetch(
    (settings, trust): (&PickUpSettings, &TrustSettings),
    home: &Path,
    inbox: &Path,
    before: Option<&PickedUp>,
    most_bytes: u64,
) -> Result<Fetched, Failed> {
    let (client, url) = client(&settings.url, &settings.allowed, trust, seconds(settings.seconds)).await?;
    let host = url.host_str().unwrap_or_default().to_owned();
    let ending = ending(url.path());
    let mut request = client.get(url);
    if let Some(from) = &settings.bearer {
        let secret = from.read(home).map_err(|error| Failed::lasting(error.to_string()))?;
        request = request.bearer_auth(secret.reveal());
    }
    if let Some(etag) = before.and_then(|b| b.etag.as_ref()) {
        request = request.header(IF_NONE_MATCH, etag);
    }
    if let Some(day) = before.and_then(|b| b.last_modified.as_ref()) {
        request = request.header(IF_MODIFIED_SINCE, day);
    }
    let response = request.send().await.map_err(|error| Failed::passing(said(&host, error)))?;
    if response.status() == StatusCode::NOT_MODIFIED {
        return Ok(Fetched::Same(None));
    }
    if response.status() != StatusCode::OK {
        return Err(refused(&host, &response));
    }
    let header = |name| response.headers().get(name).and_then(|v| v.to_str().ok()).map(str::to_owned);
    let mut answer = PickedUp {
        etag: header(ETAG),
        last_modified: header(LAST_MODIFIED),
        body_sha256: None,
        fetched_at: jiff::Timestamp::now().to_string(),
    };
    let under_way = UnderWay(inbox.join(format!("{UNDER_WAY}{}.part", std::process::id())));
    let sha256 = write(response, &host, &under_way.0, most_bytes).await?;
    answer.body_sha256 = Some(sha256.clone());
    if before.is_some_and(|b| b.body_sha256.as_ref() == Some(&sha256)) {
        return Ok(Fetched::Same(Some(answer)));
    }
    // The name holds the bytes' hash: whatever it would replace is the same file.
    let named: String =
        settings.name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).take(60).collect();
    let path = inbox.join(format!("{named}-{}{ending}", sha256.get(..12).unwrap_or(&sha256)));
    let landed = fs::rename(&under_way.0, &path).and_then(|()| File::open(inbox)?.sync_all());
    landed.map_err(|cause| disk(&cause))?;
    Ok(Fetched::New(path, answer))
}

/// Writes the body, on the disk when this returns; gives its SHA-256.
async fn write(mut response: Response, host: &str, path: &Path, most_bytes: u64) -> Result<String, Failed> {
    let too_large = || {
        Failed::lasting(format!(
            "{host} gives more than {} MiB, which is the limit of a file (`file_mib` under [limits])",
            most_bytes >> 20
        ))
    };
    if response.content_length().is_some_and(|length| length > most_bytes) {
        return Err(too_large());
    }
    let mut file = File::create_new(path).map_err(|cause| disk(&cause))?;
    let mut hash = Sha256::new();
    let mut size: u64 = 0;
    while let Some(chunk) = response.chunk().await.map_err(|error| Failed::passing(said(host, error)))? {
        size = size.saturating_add(chunk.len() as u64);
        if size > most_bytes {
            return Err(too_large());
        }
        hash.update(&chunk);
        file.write_all(&chunk).map_err(|cause| disk(&cause))?;
    }
    if size == 0 {
        return Err(Failed::lasting(format!("{host} gives an empty file")));
    }
    file.sync_all().map_err(|cause| disk(&cause))?;
    Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}

fn disk(cause: &io::Error) -> Failed {
    Failed::passing(format!("the inbox cannot be written ({cause})"))
}

/// A file on its way: gone with this value unless it was renamed.
struct UnderWay(PathBuf);

impl Drop for UnderWay {
    fn drop(&mut self) {
        // Renamed, never made, or removed before the next round.
        let _ = fs::remove_file(&self.0);
    }
}

fn remove_left_behind(inbox: &Path) {
    for entry in fs::read_dir(inbox).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(UNDER_WAY) {
            // One that stays is tried again at the next round.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// The ending of a path's last name, with its full stop; nothing where it is none.
fn ending(path: &str) -> String {
    let last = path.rsplit('/').next().unwrap_or_default();
    match last.rsplit_once('.') {
        Some((_, end)) if (1..=5).contains(&end.len()) && end.chars().all(|c| c.is_ascii_alphanumeric()) => {
            format!(".{end}")
        }
        _ => String::new(),
    }
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::ending;

    #[test]
    fn a_name_keeps_its_ending_where_it_has_one() {
        assert_eq!(ending("/reports/latest.pdf"), ".pdf");
        assert_eq!(ending("/reports.d/latest"), "");
        assert_eq!(ending("/x.a b"), "");
    }
}
