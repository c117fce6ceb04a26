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

/// How the name of the sentences beside a refused original ends.
const WHY: &str = ".why.txt";

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
    format!("{}-{}", sha256.get(..16).unwrap_or(sha256), tail_of(name))
}

/// The name where other bytes with the same 16 digits lie under that one, which somebody may make on purpose.
fn whole_name(sha256: &str, name: &str) -> String {
    format!("{sha256}-{}", tail_of(name))
}

/// True for a name that an original is kept under.
pub fn is_stored_name(stored: &str, sha256: &str, name: &str) -> bool {
    stored == stored_name(sha256, name) || stored == whole_name(sha256, name)
}

fn tail_of(name: &str) -> String {
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
    // Where the cut left a space or a point at the end, some systems would drop it.
    let mut tail = tail.trim_end_matches([' ', '.']).to_owned();
    if tail.is_empty() {
        tail.push_str("document");
    }
    tail.push_str(&end);
    // What lies beside a refused original is told from an original by its end.
    match tail.to_lowercase().ends_with(WHY) {
        true => tail + "_",
        false => tail,
    }
}

/// Where the sentences of a refused original stand.
fn why_of(original: &Path) -> PathBuf {
    let mut why = original.as_os_str().to_owned();
    why.push(WHY);
    PathBuf::from(why)
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
    /// What the disk says. A failed sync is never tried again on the same file: what it holds then is not known.
    pub fn new(home: &Home, bytes: &[u8]) -> io::Result<Self> {
        let staged = Self { path: temporary(home), size: bytes.len() as u64 };
        let mut file = File::create_new(&staged.path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        Ok(staged)
    }
}

impl Staged {
    /// How many bytes.
    pub fn size(&self) -> u64 {
        self.size
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        // Kept already, or swept at the next start.
        let _ = fs::remove_file(&self.path);
    }
}

/// The place an original of this size goes to: where it lies already, or a new name on its shelf. Never one that holds
/// other bytes.
pub fn place(home: &Home, shelf: Shelf, sha256: &str, name: &str, size: u64) -> PathBuf {
    let short = stored_name(sha256, name);
    match already(home, shelf, &short) {
        None => shelf.folder(home).join(short),
        Some(there) if holds(&there, sha256, size) => there,
        Some(_) => {
            let long = whole_name(sha256, name);
            already(home, shelf, &long).unwrap_or_else(|| shelf.folder(home).join(long))
        }
    }
}

fn holds(path: &Path, sha256: &str, size: u64) -> bool {
    let as_long = fs::symlink_metadata(path).is_ok_and(|m| m.is_file() && m.len() == size);
    as_long && sha256_of(path).is_ok_and(|found| found == sha256)
}

/// SHA-256 of a file, in lower-case hexadecimal.
///
/// # Errors
/// What the disk says.
pub fn sha256_of(path: &Path) -> io::Result<String> {
    use sha2::{Digest, Sha256};
    use std::io::Read;
    let (mut file, mut digest, mut block) = (File::open(path)?, Sha256::new(), vec![0_u8; 1 << 16]);
    loop {
        let n = file.read(&mut block)?;
        if n == 0 {
            return Ok(digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect());
        }
        digest.update(block.get(..n).unwrap_or_default());
    }
}

/// Puts a staged original at its place; the name lasts once [`sync_folders`] was called. Doing it again is harmless.
///
/// # Errors
/// What the disk says; nothing half-written is left under the final name.
pub fn put(staged: &Staged, at: &Path) -> io::Result<()> {
    if let Some(folder) = at.parent() {
        make_folder(folder)?;
    }
    fs::rename(&staged.path, at)
}

/// Puts an original too large to be read, or one that lies elsewhere in the home, at its place; across disks it is
/// copied first.
///
/// # Errors
/// What the disk says.
pub fn put_by_moving(home: &Home, from: &Path, at: &Path) -> io::Result<()> {
    if let Some(folder) = at.parent() {
        make_folder(folder)?;
    }
    match fs::rename(from, at) {
        Err(error) if error.kind() == io::ErrorKind::CrossesDevices => {
            let temporary = temporary(home);
            fs::copy(from, &temporary)?;
            File::open(&temporary)?.sync_all()?;
            fs::rename(&temporary, at)?;
            sync_folder_of(at)?;
            fs::remove_file(from)
        }
        other => other,
    }
}

/// Makes the names of these files last, each folder once.
///
/// # Errors
/// What the disk says.
pub fn sync_folders<'a>(paths: impl IntoIterator<Item = &'a Path>) -> io::Result<()> {
    let folders: std::collections::BTreeSet<&Path> = paths.into_iter().filter_map(Path::parent).collect();
    folders.into_iter().try_for_each(|folder| File::open(folder)?.sync_all())
}

/// Puts the sentences of a refusal beside the place its original will take: what is wrong, what to do.
///
/// # Errors
/// What the disk says.
pub fn keep_why(home: &Home, original: &Path, refusal: &Refusal) -> io::Result<()> {
    let path = why_of(original);
    let text = format!("{}\n{}\n", plain(&refusal.what), plain(&refusal.remedy));
    write_whole(home, &path, text.as_bytes())
}

/// Removes a kept copy, and the sentences beside it, once its bytes are kept and recorded elsewhere.
///
/// # Errors
/// What the disk says.
pub fn remove_kept(original: &Path) -> io::Result<()> {
    match fs::remove_file(original) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    match fs::remove_file(why_of(original)) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    sync_folder_of(original)
}

/// Removes the inbox file whose bytes are kept, but only if it is still what was read. True when it is gone; that lasts
/// once [`sync_folders`] was called.
///
/// # Errors
/// What the disk says; a file that is not there any more is no error.
pub fn remove_if_unchanged(path: &Path, stamp: super::listing::Stamp) -> io::Result<bool> {
    match fs::symlink_metadata(path) {
        Ok(m) if super::listing::Stamp::of(&m) == stamp => {
            fs::remove_file(path)?;
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

/// Writes what can be made anew so that it is whole under its name; bytes that stand there already are left alone. It
/// lasts once [`sync_disk_of`] was called: many small files are worth one sync.
///
/// # Errors
/// What the disk says.
pub fn write_anew(home: &Home, path: &Path, bytes: &[u8]) -> io::Result<()> {
    if fs::metadata(path).is_ok_and(|m| m.len() == bytes.len() as u64)
        && fs::read(path).is_ok_and(|there| there == bytes)
    {
        return Ok(());
    }
    let temporary = temporary(home);
    let written = fs::write(&temporary, bytes).and_then(|()| fs::rename(&temporary, path));
    if written.is_err() {
        // Swept at the next start.
        let _ = fs::remove_file(&temporary);
    }
    written
}

/// Makes everything last that was written to the disk of this folder.
///
/// # Errors
/// What the disk says.
pub fn sync_disk_of(folder: &Path) -> io::Result<()> {
    Ok(rustix::fs::syncfs(File::open(folder)?)?)
}

/// A name in the home's folder for temporary files that nobody else uses.
pub fn temporary(home: &Home) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let n = COUNT.fetch_add(1, Ordering::Relaxed);
    home.temp().join(format!("{}-{n}", std::process::id()))
}

fn already(home: &Home, shelf: Shelf, stored: &str) -> Option<PathBuf> {
    // A filed original may stand under the year of an earlier, interrupted attempt.
    let folders = match shelf {
        Shelf::Filed { .. } => {
            fs::read_dir(home.filed()).ok()?.flatten().map(|e| e.path()).collect::<Vec<_>>()
        }
        _ => vec![shelf.folder(home)],
    };
    folders.into_iter().map(|f| f.join(stored)).find(|p| fs::symlink_metadata(p).is_ok())
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

    /// Of the bytes `abc`: the first example of FIPS 180-4.
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

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
            ("x.pdf.Why.txt", "0123456789abcdef-x.pdf.Why.txt_"),
            ("Boden prüfung.xlsx", "0123456789abcdef-Boden prüfung.xlsx"),
        ] {
            assert_eq!(stored_name(SHA, name), want);
        }
        assert!(stored_name(SHA, &"ä".repeat(300)).len() <= 16 + 1 + LONGEST_TAIL);
        let cut = format!("{} {}", "a".repeat(LONGEST_TAIL - 1), "b".repeat(20));
        assert!(stored_name(SHA, &cut).ends_with('a'), "no space is left at the cut");
    }

    #[test]
    fn keeping_twice_is_harmless_even_over_the_turn_of_the_year() {
        let (_dir, home) = home();
        let keep = |year| {
            let staged = Staged::new(&home, b"abc").unwrap();
            let at = place(&home, Shelf::Filed { year }, ABC, "x.csv", staged.size());
            put(&staged, &at).unwrap();
            at
        };
        let (a, b) = (keep(2025), keep(2026));
        assert_eq!(a, b);
        assert_eq!(fs::read(&a).unwrap(), b"abc");
        assert_eq!(fs::read_dir(home.temp()).unwrap().count(), 0);
    }

    #[test]
    fn other_bytes_with_the_same_name_and_first_digits_are_never_written_over() {
        let (_dir, home) = home();
        fs::write(home.held().join(stored_name(SHA, "x.csv")), "made to meet").unwrap();
        let staged = Staged::new(&home, b"abc").unwrap();
        let at = place(&home, Shelf::Held, SHA, "x.csv", staged.size());
        put(&staged, &at).unwrap();
        assert_eq!(fs::read_dir(home.held()).unwrap().count(), 2);
        assert!(is_stored_name(at.file_name().unwrap().to_str().unwrap(), SHA, "x.csv"));
    }

    #[test]
    fn a_why_is_two_plain_lines() {
        let (_dir, home) = home();
        let refusal = Refusal::new(Cause::Damaged, Format::Pdf, "Bad \u{1b}[2Jname.", "Send it again.");
        let original = place(&home, Shelf::Refused, SHA, "x.pdf", 3);
        keep_why(&home, &original, &refusal).unwrap();
        let text = fs::read_to_string(home.refused().join("0123456789abcdef-x.pdf.why.txt")).unwrap();
        assert_eq!(text, "Bad  [2Jname.\nSend it again.\n");
    }

    #[test]
    fn what_is_the_same_is_not_written_again_and_what_differs_is_replaced_whole() {
        use std::os::unix::fs::MetadataExt;
        let (_dir, home) = home();
        let path = home.charts().join("a.svg");
        fs::create_dir_all(home.charts()).unwrap();
        let inode = || fs::metadata(&path).unwrap().ino();
        write_anew(&home, &path, b"one").unwrap();
        let first = inode();
        write_anew(&home, &path, b"one").unwrap();
        assert_eq!(inode(), first);
        write_anew(&home, &path, b"two").unwrap();
        assert_ne!(inode(), first);
        assert_eq!(fs::read(&path).unwrap(), b"two");
        sync_disk_of(&home.charts()).unwrap();
        assert_eq!(fs::read_dir(home.temp()).unwrap().count(), 0);
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
