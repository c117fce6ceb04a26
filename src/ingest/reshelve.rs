//! Originals whose doubts are settled move from `held/` to `filed/`, and copies an interrupted move left behind go.

use super::{Ingest, kept_for_itself, this_year};
use crate::history;
use crate::inbox::listing;
use crate::inbox::put_away::{self, Shelf, Staged};
use crate::reader::work;
use crate::soil::Outcome;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::Path;

/// Why an original was not moved; it stays where it is, and its record with it.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The store.
    #[error("{0}")]
    History(#[from] history::Error),
    /// The disk.
    #[error("an original cannot be moved from held to filed ({0}); it stays where it is")]
    Disk(#[from] io::Error),
}

impl Ingest {
    /// Moves the originals of settled documents; gives how many.
    ///
    /// # Errors
    /// [`Error`]; what was moved before stays moved.
    pub fn reshelve(&mut self) -> Result<usize, Error> {
        self.settle_containers()?;
        let mut moved = 0;
        for document in self.history.settled()? {
            let Some(kept_at) = document.kept_at.as_deref().filter(|_| kept_for_itself(&document)) else {
                continue;
            };
            let old = self.home.root().join(kept_at);
            let Some((bytes, _)) = listing::read_whole(&old)? else { continue };
            let staged = Staged::new(&self.home, &bytes)?;
            let shelf = Shelf::Filed { year: this_year() };
            let new =
                put_away::keep(&self.home, shelf, &document.source_sha256, &document.source_file, &staged)?;
            let new_at = self.home.relative(&new);
            self.history.set_kept_at(&document.source_sha256, &new_at)?;
            for inside in self.history.documents()? {
                if inside.kept_at.as_deref() == Some(kept_at) {
                    self.history.set_kept_at(&inside.source_sha256, &new_at)?;
                }
            }
            put_away::remove_kept(&old)?;
            moved += 1;
        }
        Ok(moved)
    }

    /// Removes copies in `held/` and `refused/` whose original is recorded, whole, in another place.
    ///
    /// # Errors
    /// As [`Ingest::reshelve`].
    pub fn remove_left_behind(&mut self) -> Result<usize, Error> {
        let mut removed = 0;
        for folder in [self.home.held(), self.home.refused()] {
            let mut trouble = Vec::new();
            for found in listing::list(&folder, &mut trouble) {
                if found.path.to_string_lossy().ends_with(".why.txt") {
                    continue;
                }
                let Some((bytes, _)) = listing::read_whole(&found.path)? else { continue };
                let sha256 = work::sha256_hex(&bytes);
                let Some(document) = self.history.document(&sha256)? else { continue };
                let Some(kept) = document.kept_at.map(|k| self.home.root().join(k)) else { continue };
                if kept != found.path && same_bytes(&kept, &sha256) {
                    put_away::remove_kept(&found.path)?;
                    removed += 1;
                }
            }
        }
        Ok(removed)
    }

    /// A mail or archive that waited for what is inside it waits no more once all of that is settled.
    fn settle_containers(&mut self) -> Result<(), Error> {
        let documents = self.history.documents()?;
        let mut waiting: BTreeSet<&str> = BTreeSet::new();
        let mut inside: BTreeMap<&str, usize> = BTreeMap::new();
        for document in &documents {
            if let Some(outer) = document.inside_of.as_deref() {
                *inside.entry(outer).or_default() += 1;
                if document.outcome == Outcome::Held {
                    waiting.insert(outer);
                }
            }
        }
        for document in &documents {
            let sha256 = document.source_sha256.as_str();
            let container = inside.contains_key(sha256) && !waiting.contains(sha256);
            if container && document.outcome == Outcome::Held && document.held_readings == 0 {
                self.history.settle(sha256)?;
            }
        }
        Ok(())
    }
}

fn same_bytes(path: &Path, sha256: &str) -> bool {
    listing::read_whole(path)
        .is_ok_and(|read| read.is_some_and(|(bytes, _)| work::sha256_hex(&bytes) == sha256))
}
