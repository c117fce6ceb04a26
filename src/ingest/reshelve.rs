//! Originals move between `filed/` and `held/` with what the history says of them: settled ones to the first, those that
//! something speaks against since to the second.

use super::{Ingest, kept_for_itself, this_year};
use crate::history::{self, DocumentRow};
use crate::home;
use crate::inbox::put_away::{self, Shelf};
use crate::soil::Outcome;
use std::io;

/// Why an original was not moved; it stays where it is, and its record with it.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The store.
    #[error("{0}")]
    History(#[from] history::Error),
    /// The disk.
    #[error("an original cannot be moved between held and filed ({0}); it stays where it is")]
    Disk(#[from] io::Error),
}

impl Ingest {
    /// Moves the originals that lie where they no longer belong; gives how many went to `filed/`.
    ///
    /// # Errors
    /// [`Error`]; what was moved before stays moved.
    pub fn reshelve(&mut self) -> Result<usize, Error> {
        let mut filed = 0;
        for document in self.history.misplaced()? {
            if kept_for_itself(&document) && self.move_to_its_shelf(&document)? {
                filed += usize::from(document.outcome != Outcome::Held);
            }
        }
        // A mail or archive that waited for what is inside it waits no more once all of that is settled.
        for document in self.history.in_held()? {
            if document.outcome == Outcome::Held && document.held_readings == 0 && kept_for_itself(&document)
            {
                let members = self.history.members(&document.source_sha256)?;
                if !members.is_empty() && members.iter().all(|m| m.outcome != Outcome::Held) {
                    self.history.settle(&document.source_sha256)?;
                    let settled = DocumentRow { outcome: Outcome::Filed, ..document };
                    filed += usize::from(self.move_to_its_shelf(&settled)?);
                }
            }
        }
        Ok(filed)
    }

    /// One rename, said before and recorded after; true when it was moved.
    fn move_to_its_shelf(&mut self, document: &DocumentRow) -> Result<bool, Error> {
        let Some(old_at) = document.kept_at.as_deref() else { return Ok(false) };
        let shelf = match document.outcome {
            Outcome::Held => Shelf::Held,
            Outcome::Filed | Outcome::Duplicate => Shelf::Filed {
                year: self.history.year_of(&document.source_sha256)?.unwrap_or_else(this_year),
            },
            Outcome::Refused => return Ok(false),
        };
        let (sha256, name) = (&document.source_sha256, &document.source_file);
        let new = put_away::place(&self.home, shelf, sha256, name, document.bytes);
        let (old, new_at) = (self.home.root().join(old_at), self.home.relative(&new));
        if !old.exists() || new_at == old_at {
            return Ok(false);
        }
        let id = self.history.begin_move(sha256, name, Some(old_at), &new_at, &home::process())?;
        put_away::put_by_moving(&self.home, &old, &new)?;
        put_away::sync_folders([old.as_path(), new.as_path()])?;
        self.history.finish_move(id)?;
        Ok(true)
    }
}
