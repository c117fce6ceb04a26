//! What tells one state of a file from another without reading it: of the products.

use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A file as it lies there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp(PathBuf, Option<(u64, SystemTime, u64)>);

impl Stamp {
    /// As it lies there now; a file that is not there is a state too.
    pub fn of(path: &Path) -> Self {
        let found = std::fs::metadata(path).ok();
        let told = found.and_then(|f| Some((f.len(), f.modified().ok()?, f.ino())));
        Self(path.to_owned(), told)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_comes_changes_or_goes_is_another_state() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        let now = || Stamp::of(&path);
        let none = now();
        std::fs::write(&path, "a").unwrap();
        let first = now();
        assert!(none != first && first == now());
        std::fs::write(&path, "ab").unwrap();
        assert!(first != now());
        std::fs::remove_file(&path).unwrap();
        assert!(first != now() && none == now());
    }
}
