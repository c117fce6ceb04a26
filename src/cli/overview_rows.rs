//! The overview's row of every site, kept beside the picture so that a night assesses only what changed.
//!
//! The file may be lost or spoilt at any time: then every row is made anew.

use super::context::Context;
use crate::chart::SiteRow;
use crate::inbox::put_away;
use anyhow::Context as _;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Rows by site id, with what they were made by.
#[derive(Serialize, Deserialize)]
struct Kept {
    made_by: String,
    rows: BTreeMap<String, SiteRow>,
}

/// The rows kept by this version under the same settings; none where anything differs.
pub fn kept(context: &Context) -> BTreeMap<String, SiteRow> {
    std::fs::read(place(context))
        .ok()
        .and_then(|bytes| serde_json::from_slice::<Kept>(&bytes).ok())
        .filter(|kept| kept.made_by == made_by(context))
        .map(|kept| kept.rows)
        .unwrap_or_default()
}

/// Keeps the rows for the next time.
///
/// # Errors
/// What the disk says.
pub fn keep(context: &Context, rows: &BTreeMap<String, SiteRow>) -> anyhow::Result<()> {
    let path = place(context);
    let said = || format!("{} cannot be written", path.display());
    let bytes = serde_json::to_vec(&Kept { made_by: made_by(context), rows: rows.clone() })?;
    std::fs::create_dir_all(context.home.charts()).with_context(said)?;
    put_away::write_anew(&context.home, &path, &bytes).with_context(said)?;
    Ok(())
}

fn place(context: &Context) -> PathBuf {
    context.home.charts().join(".all-sites.json")
}

/// Other settings or another program may judge the same numbers otherwise.
fn made_by(context: &Context) -> String {
    let settings = Sha256::digest(format!("{:?}", context.settings).as_bytes());
    let digits: String = settings.iter().map(|byte| format!("{byte:02x}")).collect();
    format!("{} {digits}", env!("CARGO_PKG_VERSION"))
}
