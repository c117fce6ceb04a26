//! Where originals are kept: names and moves in one place. Written whole, synced, then renamed; never overwritten.

use crate::document::Refusal;
use crate::home::Home;
use crate::inbox::plain::plain;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Letters of a stored name after the hash.
const LONGEST_TAIL: usize = 80;

/// The folder an original goes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shelf {
    /// `filed/YYYY`
    Filed {
        /// The year of the report, or of the filing where it has none.
        year: i16,
    },
    /// `held`
    Held,
    /// `refused`
    Refused,
}

impl Shelf {
    fn folder(self, home: &Home) -> PathBuf {
        match self {
            Self::Filed { year } => home.filed().join(format!("{year:04}")),
            Self::Held => home.held(),
            Self::Refused => home.refused(),
        }
    }
}

/// The name an original is kept under: 16 digits of its hash, then its own name without anything harmful.
pub fn stored_name(sha256: &str, name: &str) -> String {
    let cleaned: String =
        name.chars().map(|c| if c.is_alphanumeric() || "-_. ()".contains(c) { c } else { '_' }).collect();
    let cleaned = cleaned.trim_matches([' ', '.', '-']);
    let (stem, end) = match cleaned.rsplit_once('.') {
        Some((stem, end)) if !stem.is_empty() && end.len() <= 8 => (stem, format!(".{end}")),
        _ => (cleaned, String::new()),
    };
    let mut tail = String::new();
    for c in stem.chars() {
        if tail.len() + c.len_utf8() + end.len() > LONGEST_TAIL {
            break;
        }
        tail.push(c);
    }
    if tail.is_empty() {
        tail.push_str("document");
    }
    format!("{}-{tail}{end}", sha256.get(..16).unwrap_or(sha256))
}

/// An original written whole and synced under a temporary name; gone when it is dropped without being kept.
#[derive(Debug)]
pub struct Staged {
    path: PathBuf,
    size: u64,
}

impl Staged {
    /// Writes the bytes.
    ///
    /// # Errors
    /// What the disk says.
    pub fn new(home: &Home, bytes: &[u8]) -> io::Result<Self> {
        let staged = Self { path: temporary(home), size: bytes.len() as u64 };
        let mut file = File::create_new(&staged.path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        Ok(staged)
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        // Kept already, or swept at the next start.
        let _ = fs::remove_file(&self.path);
    }
}

/// Keeps an original on its shelf and gives its path. Doing it again is harmless.
///
/// # Errors
/// What the disk says; nothing half-written is left under the final name.
pub fn keep(home: &Home, shelf: Shelf, sha256: &str, name: &str, staged: &Staged) -> io::Result<PathBuf> {
    let stored = stored_name(sha256, name);
    if let Some(there) = already(home, shelf, &stored, staged.size) {
        sync_folder_of(&there)?;
        return Ok(there);
    }
    let folder = shelf.folder(home);
    make_folder(&folder)?;
    let path = folder.join(stored);
    fs::rename(&staged.path, &path)?;
    sync_folder_of(&path)?;
    Ok(path)
}

/// Keeps an original too large to be read by moving it; `from` and the home must share a disk, else it is copied.
///
/// # Errors
/// What the disk says.
pub fn keep_by_moving(home: &Home, from: &Path, sha256: &str, name: &str) -> io::Result<PathBuf> {
    let path = home.refused().join(stored_name(sha256, name));
    if fs::rename(from, &path).is_err() {
        let temporary = temporary(home);
        fs::copy(from, &temporary)?;
        File::open(&temporary)?.sync_all()?;
        fs::rename(&temporary, &path)?;
        sync_folder_of(&path)?;
        fs::remove_file(from)?;
    }
    sync_folder_of(&path)?;
    Ok(path)
}

/// Puts the sentences of a refusal beside the place its original will take: what is wrong, what to do.
///
/// # Errors
/// What the disk says.
pub fn keep_why(home: &Home, sha256: &str, name: &str, refusal: &Refusal) -> io::Result<()> {
    let path = home.refused().join(format!("{}.why.txt", stored_name(sha256, name)));
    let text = format!("{}\n{}\n", plain(&refusal.what), plain(&refusal.remedy));
    write_whole(home, &path, text.as_bytes())
}

/// Takes away the refused copy of a document that has been kept elsewhere since, with its sentences.
///
/// # Errors
/// What the disk says.
pub fn leave_refused(home: &Home, sha256: &str, name: &str) -> io::Result<()> {
    let original = home.refused().join(stored_name(sha256, name));
    if !original.exists() {
        return Ok(());
    }
    remove_kept(&original)
}

/// Removes a kept copy, and the sentences beside it, once its bytes are kept and recorded elsewhere.
///
/// # Errors
/// What the disk says.
pub fn remove_kept(original: &Path) -> io::Result<()> {
    fs::remove_file(original)?;
    let mut why = original.as_os_str().to_owned();
    why.push(".why.txt");
    match fs::remove_file(PathBuf::from(why)) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    sync_folder_of(original)
}

/// Removes the inbox file whose bytes are kept, but only if it is still what was read. True when it is gone.
///
/// # Errors
/// What the disk says; a file that is not there any more is no error.
pub fn remove_if_unchanged(path: &Path, stamp: super::listing::Stamp) -> io::Result<bool> {
    match fs::symlink_metadata(path) {
        Ok(m) if super::listing::Stamp::of(&m) == stamp => {
            fs::remove_file(path)?;
            sync_folder_of(path)?;
            Ok(true)
        }
        Ok(_) => Ok(false),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(true),
        Err(e) => Err(e),
    }
}

/// Writes a file so that it is either there whole or not at all: temporary name, sync, rename, sync of the folder.
///
/// # Errors
/// What the disk says. A failed sync starts over with a new temporary file at the next call.
pub fn write_whole(home: &Home, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let temporary = temporary(home);
    let written = (|| {
        let mut file = File::create_new(&temporary)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&temporary, path)?;
        sync_folder_of(path)
    })();
    if written.is_err() {
        // Already renamed, or swept at the next start.
        let _ = fs::remove_file(&temporary);
    }
    written
}

/// A name in the home's folder for temporary files that nobody else uses.
pub fn temporary(home: &Home) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let n = COUNT.fetch_add(1, Ordering::Relaxed);
    home.temp().join(format!("{}-{n}", std::process::id()))
}

fn already(home: &Home, shelf: Shelf, stored: &str, size: u64) -> Option<PathBuf> {
    // A filed original may stand under the year of an earlier, interrupted attempt.
    let folders = match shelf {
        Shelf::Filed { .. } => {
            fs::read_dir(home.filed()).ok()?.flatten().map(|e| e.path()).collect::<Vec<_>>()
        }
        _ => vec![shelf.folder(home)],
    };
    let there = |p: &PathBuf| fs::symlink_metadata(p).is_ok_and(|m| m.is_file() && m.len() == size);
    folders.into_iter().map(|f| f.join(stored)).find(there)
}

fn make_folder(folder: &Path) -> io::Result<()> {
    if !folder.is_dir() {
        fs::create_dir_all(folder)?;
        sync_folder_of(folder)?;
    }
    Ok(())
}

/// Makes the name of a file last.
fn sync_folder_of(path: &Path) -> io::Result<()> {
    match path.parent() {
        Some(folder) => File::open(folder)?.sync_all(),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Cause, Format};
    use crate::inbox::listing::Stamp;

    const SHA: &str = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";

    fn home() -> (tempfile::TempDir, Home) {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        (dir, home)
    }

    #[test]
    fn stored_names_are_never_a_path_an_option_or_hidden() {
        for (name, want) in [
            ("a b.pdf", "0123456789abcdef-a b.pdf"),
            ("../../etc/passwd", "0123456789abcdef-_.._etc_passwd"),
            ("-rf\n\u{1b}[31m.csv", "0123456789abcdef-rf___31m.csv"),
            ("...", "0123456789abcdef-document"),
            ("Boden prüfung.xlsx", "0123456789abcdef-Boden prüfung.xlsx"),
        ] {
            assert_eq!(stored_name(SHA, name), want);
        }
        assert!(stored_name(SHA, &"ä".repeat(300)).len() <= 16 + 1 + LONGEST_TAIL);
    }

    #[test]
    fn keeping_twice_is_harmless_even_over_the_turn_of_the_year() {
        let (_dir, home) = home();
        let staged = || Staged::new(&home, b"abc").unwrap();
        let a = keep(&home, Shelf::Filed { year: 2025 }, SHA, "x.csv", &staged()).unwrap();
        let b = keep(&home, Shelf::Filed { year: 2026 }, SHA, "x.csv", &staged()).unwrap();
        assert_eq!(a, b);
        assert_eq!(fs::read(&a).unwrap(), b"abc");
        assert_eq!(fs::read_dir(home.temp()).unwrap().count(), 0);
    }

    #[test]
    fn a_why_is_two_plain_lines() {
        let (_dir, home) = home();
        let refusal = Refusal::new(Cause::Damaged, Format::Pdf, "Bad \u{1b}[2Jname.", "Send it again.");
        keep_why(&home, SHA, "x.pdf", &refusal).unwrap();
        let text = fs::read_to_string(home.refused().join("0123456789abcdef-x.pdf.why.txt")).unwrap();
        assert_eq!(text, "Bad  [2Jname.\nSend it again.\n");
    }

    #[test]
    fn a_file_that_grew_after_it_was_read_stays() {
        let (_dir, home) = home();
        let path = home.inbox().join("a.csv");
        fs::write(&path, "1").unwrap();
        let stamp = Stamp::of(&fs::metadata(&path).unwrap());
        fs::write(&path, "12").unwrap();
        assert!(!remove_if_unchanged(&path, stamp).unwrap());
        let stamp = Stamp::of(&fs::metadata(&path).unwrap());
        assert!(remove_if_unchanged(&path, stamp).unwrap());
        assert!(!path.exists());
    }
}
