//! The first steps for one file, which many files can take side by side: hash, known?, stage a copy, read in the child.

use super::guise;
use crate::document::{Cause, Format, Limits, Refusal};
use crate::home::Home;
use crate::inbox::listing::{self, Stamp};
use crate::inbox::plain::plain;
use crate::inbox::put_away::Staged;
use crate::reader::parent::{Reader, refused};
use crate::reader::{ReadDocument, work};
use sha2::{Digest, Sha256};
use std::io::{self, Read};
use std::path::Path;
use std::time::{Duration, Instant};

/// A file as it was taken.
#[derive(Debug)]
pub struct Fetched {
    /// Its own name, cleaned of nothing.
    pub name: String,
    /// The state in which it was read.
    pub stamp: Stamp,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// What is to be done with it.
    pub matter: Matter,
}

impl Fetched {
    /// True where these bytes are its own or lie inside it.
    pub fn holds(&self, sha256: &str) -> bool {
        match &self.matter {
            Matter::Known => self.sha256 == sha256,
            Matter::Read(read, _) | Matter::TooLarge(read) => read.holds(sha256),
        }
    }
}

/// What a file is to the history.
#[derive(Debug)]
pub enum Matter {
    /// The same bytes are recorded already.
    Known,
    /// Read, with a copy staged.
    Read(Box<ReadDocument>, Staged),
    /// Beyond the size that is read; no copy is made.
    TooLarge(Box<ReadDocument>),
}

/// Why a file waits. None of these says anything about the document.
#[derive(Debug, thiserror::Error)]
pub enum Waits {
    /// It changed while it was read.
    #[error("it changed while it was read")]
    Changed,
    /// It cannot be opened or read.
    #[error("it cannot be read ({0})")]
    Unreadable(io::Error),
    /// The home's disk.
    #[error("no copy can be kept ({0})")]
    Disk(io::Error),
    /// The reading process cannot be started.
    #[error("no reader can be started ({0})")]
    NoReader(io::Error),
    /// The program is being stopped.
    #[error("the program was stopped before it was read")]
    Stopped,
    /// The store.
    #[error("{0}")]
    History(#[from] crate::history::Error),
    /// The store, in a step that several files shared.
    #[error("{0}")]
    Shared(String),
    /// Less free space than the settings keep.
    #[error("the disk of the home has less than {0} MiB free")]
    Full(u64),
}

impl Waits {
    /// True where the cause is the home's own (its disk, its store, its reader), so that others wait for it as well.
    pub fn is_of_the_home(&self) -> bool {
        match self {
            Self::Disk(_) | Self::NoReader(_) | Self::History(_) | Self::Shared(_) | Self::Full(_) => true,
            Self::Changed | Self::Unreadable(_) | Self::Stopped => false,
        }
    }
}

/// What a worker needs to fetch.
#[derive(Debug, Clone, Copy)]
pub struct Fetching<'a> {
    /// Where copies are staged.
    pub home: &'a Home,
    /// Bounds.
    pub limits: &'a Limits,
    /// Free space to keep, MiB.
    pub keep_free_mib: u64,
}

impl Fetching<'_> {
    /// Takes one file; `name` is the one it goes by where that is not its own.
    ///
    /// # Errors
    /// [`Waits`]: only causes outside the document.
    pub fn fetch(
        &self,
        path: &Path,
        name: Option<&str>,
        known: impl Fn(&str) -> bool,
        reader: &mut Reader,
    ) -> Result<Fetched, Waits> {
        if crate::home::bytes_free(self.home.root()).is_some_and(|free| free >> 20 < self.keep_free_mib) {
            return Err(Waits::Full(self.keep_free_mib));
        }
        let own = || path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let name = name.map_or_else(own, str::to_owned);
        let (_, stamp) = listing::open_regular(path).map_err(Waits::Unreadable)?;
        if stamp.size > self.limits.file_bytes {
            return self.too_large(path, name);
        }
        let (bytes, stamp) = listing::read_whole(path).map_err(Waits::Unreadable)?.ok_or(Waits::Changed)?;
        let sha256 = work::sha256_hex(&bytes);
        if known(&sha256) {
            return Ok(Fetched { name, stamp, sha256, matter: Matter::Known });
        }
        let read = if bytes.is_empty() {
            refused(&name, &bytes, work::empty())
        } else {
            let begun = Instant::now();
            let read = reader.read(&name, &bytes).map_err(|e| match e.kind() {
                io::ErrorKind::Interrupted => Waits::Stopped,
                _ => Waits::NoReader(e),
            })?;
            say_cost(&read, begun.elapsed(), reader);
            read
        };
        guise::say(&read);
        let staged = Staged::new(self.home, &bytes).map_err(Waits::Disk)?;
        Ok(Fetched { name, stamp, sha256, matter: Matter::Read(Box::new(read), staged) })
    }

    fn too_large(&self, path: &Path, name: String) -> Result<Fetched, Waits> {
        let (mut file, stamp) = listing::open_regular(path).map_err(Waits::Unreadable)?;
        let (sha256, length) = hash(&mut file).map_err(Waits::Unreadable)?;
        if length != stamp.size {
            return Err(Waits::Changed);
        }
        let refusal = Refusal::new(
            Cause::TooLarge,
            Format::Unknown,
            format!(
                "The file has {} MB; reports up to {} MB are read.",
                length.div_ceil(1 << 20),
                self.limits.file_bytes >> 20
            ),
            "Split it, or raise the limit in the settings.",
        );
        let mut read = refused(&name, &[], refusal);
        read.sha256.clone_from(&sha256);
        read.bytes_len = length;
        Ok(Fetched { name, stamp, sha256, matter: Matter::TooLarge(Box::new(read)) })
    }
}

/// What reading a document took, for the log.
fn say_cost(read: &ReadDocument, took: Duration, reader: &Reader) {
    // Asking the system for it costs as much as a small document does.
    if tracing::enabled!(tracing::Level::INFO) {
        let cost = reader.cost();
        tracing::info!(
            file = %plain(&read.name), sha256 = %read.sha256, bytes = read.bytes_len, kind = read.format.id(),
            seconds = (took.as_secs_f64() * 1e3).round() / 1e3, peak_mib = cost.peak_mib, tries = cost.tries,
            "read"
        );
    }
}

fn hash(file: &mut impl Read) -> io::Result<(String, u64)> {
    use std::fmt::Write;
    let (mut digest, mut length, mut block) = (Sha256::new(), 0_u64, vec![0_u8; 1 << 20]);
    loop {
        let n = file.read(&mut block)?;
        if n == 0 {
            break;
        }
        digest.update(block.get(..n).unwrap_or_default());
        length += n as u64;
    }
    let mut hex = String::with_capacity(64);
    for b in digest.finalize() {
        let _ = write!(hex, "{b:02x}");
    }
    Ok((hex, length))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_over_the_limit_is_hashed_but_not_copied() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(&dir.path().join("home")).unwrap();
        let path = dir.path().join("big.pdf");
        std::fs::write(&path, vec![b'x'; 3 << 20]).unwrap();
        let limits = Limits { file_bytes: 1 << 20, ..Limits::default() };
        let fetching = Fetching { home: &home, limits: &limits, keep_free_mib: 0 };
        let mut reader = Reader::new("/nowhere".into(), limits.clone(), Default::default());
        let fetched = fetching.fetch(&path, None, |_| false, &mut reader).unwrap();
        assert_eq!(fetched.sha256, work::sha256_hex(&vec![b'x'; 3 << 20]));
        let Matter::TooLarge(read) = fetched.matter else { panic!("{:?}", fetched.matter) };
        assert_eq!(read.result.unwrap_err().what, "The file has 3 MB; reports up to 1 MB are read.");
        assert_eq!(std::fs::read_dir(home.temp()).unwrap().count(), 0);
    }

    #[test]
    fn too_little_space_and_no_reader_are_causes_outside_the_document() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(&dir.path().join("home")).unwrap();
        let path = dir.path().join("a.csv");
        std::fs::write(&path, "a,b").unwrap();
        let limits = Limits::default();
        let mut reader = Reader::new("/nowhere".into(), limits.clone(), Default::default());
        let full = Fetching { home: &home, limits: &limits, keep_free_mib: u64::MAX >> 21 };
        assert!(matches!(full.fetch(&path, None, |_| false, &mut reader), Err(Waits::Full(_))));
        let fetching = Fetching { keep_free_mib: 0, ..full };
        assert!(matches!(fetching.fetch(&path, None, |_| false, &mut reader), Err(Waits::NoReader(_))));
    }
}
