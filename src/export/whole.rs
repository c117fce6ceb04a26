//! A file written whole or not at all.

use super::Error;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A file being written under a temporary name in its folder. Dropped before its end it leaves nothing behind.
#[derive(Debug)]
pub struct Whole {
    path: PathBuf,
    part: NamedTempFile,
}

impl Whole {
    /// Begins a file that will stand at this path.
    ///
    /// # Errors
    /// [`Error::File`].
    pub fn begin(path: &Path) -> Result<Self, Error> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(".loamline-").suffix(".tmp");
        #[cfg(unix)]
        {
            // As any program writes a file: what others may do is for the user's mask to say.
            use std::os::unix::fs::PermissionsExt;
            builder.permissions(std::fs::Permissions::from_mode(0o666));
        }
        let part = builder.tempfile_in(folder(path)).map_err(failed(path))?;
        Ok(Self { path: path.to_owned(), part })
    }

    /// Adds bytes at its end.
    ///
    /// # Errors
    /// [`Error::File`].
    pub fn write(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.part.write_all(bytes).map_err(failed(&self.path))
    }

    /// Ends it: synced, then renamed.
    ///
    /// # Errors
    /// [`Error::File`]; then what stood there before still stands there.
    pub fn end(self) -> Result<(), Error> {
        let failed = failed(&self.path);
        self.part.as_file().sync_all().map_err(failed)?;
        self.part.persist(&self.path).map_err(|error| failed(error.error))?;
        std::fs::File::open(folder(&self.path)).and_then(|folder| folder.sync_all()).map_err(failed)
    }
}

/// Writes a file whole or not at all: under a temporary name in the same folder, synced, then renamed.
///
/// # Errors
/// [`Error::File`]; then what stood there before still stands there.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let mut file = Whole::begin(path)?;
    file.write(bytes)?;
    file.end()
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn failed(path: &Path) -> impl Fn(io::Error) -> Error + Copy + '_ {
    move |source| Error::File { path: path.to_owned(), source }
}
