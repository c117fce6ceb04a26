//! Who has a dropped file open for writing, as far as the system tells: the open files of this user's processes.
//!
//! A read lease would also see other users' writers, but no safe interface offers one; on shares nothing can tell.

use std::collections::HashSet;
use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::Path;

/// Device and inode of every file below `folder` that a process of this user has open for writing.
pub fn open_below(folder: &Path) -> HashSet<(u64, u64)> {
    let mut open = HashSet::new();
    let Ok(processes) = fs::read_dir("/proc") else { return open };
    for process in processes.flatten() {
        let name = process.file_name();
        if !name.to_str().is_some_and(|n| n.bytes().all(|b| b.is_ascii_digit())) {
            continue;
        }
        let Ok(files) = fs::read_dir(process.path().join("fd")) else { continue };
        for file in files.flatten() {
            let below = fs::read_link(file.path()).is_ok_and(|target| target.starts_with(folder));
            if below
                && writes(&process.path().join("fdinfo").join(file.file_name()))
                && let Ok(m) = fs::metadata(file.path())
            {
                open.insert((m.dev(), m.ino()));
            }
        }
    }
    open
}

/// The low two bits of the open flags, printed in octal: 1 write, 2 read and write.
fn writes(info: &Path) -> bool {
    let text = fs::read_to_string(info).unwrap_or_default();
    let flags = text.lines().find_map(|l| l.strip_prefix("flags:"));
    flags.and_then(|f| u32::from_str_radix(f.trim(), 8).ok()).is_some_and(|f| f & 3 != 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_writer_is_seen_and_a_reader_is_not() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().canonicalize().unwrap();
        let path = folder.join("a.csv");
        let writer = fs::File::create(&path).unwrap();
        let m = fs::metadata(&path).unwrap();
        assert!(open_below(&folder).contains(&(m.dev(), m.ino())));
        drop(writer);
        let _reader = fs::File::open(&path).unwrap();
        assert!(open_below(&folder).is_empty());
    }
}
