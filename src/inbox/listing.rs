//! What lies in a folder: regular files with their stamps, in a stable order; links, pipes and devices are never opened.

use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

/// Folders inside each other that are looked into.
const DEEPEST: usize = 32;

/// Side files that storage boxes, systems and editors put beside documents: passed over, never refused.
const SIDE_NAMES: [&str; 8] = [
    "@eadir",
    "thumbs.db",
    "ehthumbs.db",
    "desktop.ini",
    ".ds_store",
    "icon\r",
    "#recycle",
    "system volume information",
];

/// Endings of files still on their way, and of side files.
const PASSED_OVER: [&str; 7] =
    [".part", ".tmp", ".crdownload", ".partial", "~", "@synoeastream", "@synoresource"];

/// What tells one state of a file from another. Compared for equality alone: clocks and shares lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Device.
    pub device: u64,
    /// Inode.
    pub inode: u64,
    /// Bytes.
    pub size: u64,
    /// Modification time, seconds and nanoseconds.
    pub modified: (i64, i64),
}

impl Stamp {
    /// The stamp of a file.
    pub fn of(m: &Metadata) -> Self {
        Self { device: m.dev(), inode: m.ino(), size: m.size(), modified: (m.mtime(), m.mtime_nsec()) }
    }
}

/// A file that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Where.
    pub path: PathBuf,
    /// In what state.
    pub stamp: Stamp,
}

/// True for names that are left alone until renamed, and for side files of systems.
pub fn passed_over(name: &std::ffi::OsStr) -> bool {
    let bytes = name.as_bytes();
    let lower = String::from_utf8_lossy(bytes).to_lowercase();
    bytes.starts_with(b".")
        || bytes.starts_with(b"~$")
        || SIDE_NAMES.contains(&lower.as_str())
        || PASSED_OVER.iter().any(|end| lower.ends_with(end))
}

/// Lists the regular files of a folder and its sub-folders by name; what cannot be listed goes to `trouble`.
pub fn list(folder: &Path, trouble: &mut Vec<(PathBuf, io::Error)>) -> Vec<Found> {
    let mut found = Vec::new();
    walk(folder, 0, &mut found, trouble);
    found
}

fn walk(folder: &Path, depth: usize, found: &mut Vec<Found>, trouble: &mut Vec<(PathBuf, io::Error)>) {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) => return trouble.push((folder.to_owned(), e)),
    };
    let mut paths: Vec<PathBuf> =
        entries.flatten().filter(|e| !passed_over(&e.file_name())).map(|e| e.path()).collect();
    paths.sort();
    for path in paths {
        match fs::symlink_metadata(&path) {
            Ok(m) if m.is_dir() && depth < DEEPEST => walk(&path, depth + 1, found, trouble),
            Ok(m) if m.is_file() => found.push(Found { path, stamp: Stamp::of(&m) }),
            Ok(_) => {}
            // Gone since the listing: somebody renamed it, the next listing sees it.
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            Err(e) => trouble.push((path, e)),
        }
    }
}

/// Opens a regular file for reading without following a link and without waiting on a pipe.
///
/// # Errors
/// What the system says, or that it is no regular file.
pub fn open_regular(path: &Path) -> io::Result<(File, Stamp)> {
    use rustix::fs::{Mode, OFlags};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let file = File::from(rustix::fs::open(path, flags, Mode::empty())?);
    let meta = file.metadata()?;
    if !meta.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is no plain file"));
    }
    Ok((file, Stamp::of(&meta)))
}

/// Reads a whole file, or none where it changed while it was read.
///
/// # Errors
/// What the system says.
pub fn read_whole(path: &Path) -> io::Result<Option<(Vec<u8>, Stamp)>> {
    let (mut file, before) = open_regular(path)?;
    let mut bytes = Vec::with_capacity(usize::try_from(before.size).unwrap_or(0).min(1 << 27));
    file.read_to_end(&mut bytes)?;
    let after = Stamp::of(&file.metadata()?);
    Ok((before == after && bytes.len() as u64 == after.size).then_some((bytes, after)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::ffi::OsStr;

    #[test]
    fn names_on_their_way_and_side_files_are_passed_over() {
        for name in
            [".x.pdf", "a.part", "a.TMP", "b.crdownload", "~$sheet.xlsx", "Thumbs.db", ".DS_Store", "@eaDir"]
        {
            assert!(passed_over(OsStr::new(name)), "{name}");
        }
        for name in ["a.pdf", "party.csv", "tmp", "report~1.pdf"] {
            assert!(!passed_over(OsStr::new(name)), "{name}");
        }
    }

    #[test]
    fn sub_folders_are_listed_and_links_and_pipes_are_not() {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir(dir.path().join("b")).unwrap();
        fs::write(dir.path().join("b/x.csv"), "1").unwrap();
        fs::write(dir.path().join("a.csv"), "22").unwrap();
        std::os::unix::fs::symlink(dir.path().join("a.csv"), dir.path().join("link.csv")).unwrap();
        rustix::fs::mkfifoat(rustix::fs::CWD, dir.path().join("pipe"), rustix::fs::Mode::RWXU).unwrap();
        let mut trouble = Vec::new();
        let names: Vec<_> = list(dir.path(), &mut trouble).into_iter().map(|f| f.path).collect();
        assert_eq!(names, [dir.path().join("a.csv"), dir.path().join("b/x.csv")]);
        assert!(trouble.is_empty());
        assert!(open_regular(&dir.path().join("link.csv")).is_err());
        assert!(open_regular(&dir.path().join("pipe")).is_err());
    }

    #[test]
    fn a_folder_that_cannot_be_listed_is_told() {
        let mut trouble = Vec::new();
        assert!(list(Path::new("/nowhere/inbox"), &mut trouble).is_empty());
        assert_eq!(trouble.len(), 1);
    }
}
