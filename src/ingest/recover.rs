//! What an interrupted run left is finished first: temporary files, originals on their way, inbox names.

use super::fetch::Waits;
use super::{Given, Ingest, Source, shown};
use crate::history::{self, Move};
use crate::home;
use crate::inbox::listing;
use crate::inbox::put_away;
use crate::reader::work;
use std::path::Path;

impl Ingest {
    /// Finishes what an interrupted run left; gives how many things there were.
    ///
    /// # Errors
    /// What the store says; a file that cannot be moved or removed now is tried again at the next start.
    pub fn recover(&mut self) -> history::Result<usize> {
        self.home.sweep();
        let mut finished = 0;
        for (note, _) in self.history.notes_to_finish()? {
            match self.finish(&note) {
                Ok(()) => finished += 1,
                Err(Waits::History(e)) => return Err(e),
                Err(e) => {
                    tracing::warn!(file = %shown(&note.path), cause = %e, "an inbox file waits to be removed")
                }
            }
        }
        let mut orphans = Vec::new();
        for one in self.history.moves_to_finish()? {
            if !home::lives(&one.owner) {
                finished += 1;
                orphans.extend(self.arrive(one)?);
            }
        }
        self.adopt(&orphans)?;
        Ok(finished)
    }

    /// Ends one move; gives it back where the original lies at its new place without a record.
    fn arrive(&mut self, one: Move) -> history::Result<Option<Move>> {
        let new = self.home.root().join(&one.new_at);
        let old = one.old_at.as_deref().map(|old| (old, self.home.root().join(old)));
        if self.history.is_kept_at(&one.new_at)? {
            match old {
                Some((old, _)) => self.leave(old, one.id),
                None => self.history.end_move(one.id)?,
            }
            return Ok(None);
        }
        if let Some((old_at, old)) = old
            && self.history.is_kept_at(old_at)?
        {
            // Moved by one rename, or not yet.
            if !old.exists() && new.exists() {
                self.history.finish_move(one.id)?;
                return Ok(None);
            }
            if !new.exists() {
                self.history.end_move(one.id)?;
                return Ok(None);
            }
        }
        if new.exists() {
            return Ok(Some(one));
        }
        self.history.end_move(one.id)?;
        Ok(None)
    }

    /// Reads originals that were kept but not recorded; their bytes may be the only ones left.
    fn adopt(&mut self, orphans: &[Move]) -> history::Result<()> {
        let given: Vec<Given> = orphans
            .iter()
            .map(|one| Given {
                path: self.home.root().join(&one.new_at),
                name: Some(one.source_file.clone()),
            })
            .collect();
        let mut waiting = Vec::new();
        self.take_named(&given, Source::Home, |path, told| {
            if let Err(cause) = told {
                tracing::warn!(file = %shown(path), %cause, "an original without a record waits");
                waiting.push(path.to_owned());
            }
        });
        for (one, given) in orphans.iter().zip(&given) {
            if waiting.contains(&given.path) {
                continue;
            }
            // Recorded where it lies, or in a better place: then this copy goes.
            let elsewhere =
                self.history.document(&one.sha256)?.and_then(|d| d.kept_at).filter(|at| *at != one.new_at);
            let there = elsewhere.map(|at| self.home.root().join(at));
            if !self.history.is_kept_at(&one.new_at)?
                && there.is_some_and(|there| same_bytes(&there, &one.sha256))
                && let Err(error) = put_away::remove_kept(&given.path)
            {
                tracing::warn!(%error, "a second copy of an original waits to be removed");
                continue;
            }
            self.history.end_move(one.id)?;
        }
        Ok(())
    }
}

fn same_bytes(path: &Path, sha256: &str) -> bool {
    listing::read_whole(path)
        .is_ok_and(|read| read.is_some_and(|(bytes, _)| work::sha256_hex(&bytes) == sha256))
}
