//! Readings as a partitioned data set: `year=2024/client=NAME/part-0.parquet` below one folder.
//!
//! The layout is the one that SQL engines know from Hive: a folder's name carries the value of a column, which the
//! files below it do not repeat; nothing is `__HIVE_DEFAULT_PARTITION__` (from memory). The whole set is written under
//! a temporary name beside its folder and then changes places with it, so a reader sees the old set or the new one.

use super::parquet::Lots;
use super::{Error, LOT, Table, readings};
use crate::soil::ReadingRow;
use rustix::fs::{CWD, RenameFlags, renameat_with};
use rustix::io::Errno;
use std::fs::{self, File};
use std::io;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

/// The value of a partition that has none.
const NOTHING: &str = "__HIVE_DEFAULT_PARTITION__";

/// Bytes of one name in a folder, on every usual file system of Linux.
const LONGEST_NAME: usize = 255;

/// What was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Written {
    /// Rows.
    pub rows: usize,
    /// Files, one for each year and client.
    pub files: usize,
}

/// A data set being written. Dropped before its end it leaves nothing behind.
pub struct Partitioned {
    target: PathBuf,
    part: tempfile::TempDir,
    /// The folder of the rows at hand, below the data set.
    folder: Option<PathBuf>,
    lot: Vec<ReadingRow>,
    lots: Option<(Lots<File>, PathBuf)>,
    written: Written,
}

impl Partitioned {
    /// Begins a data set that will stand in this folder. What stands there may only be another data set.
    ///
    /// # Errors
    /// [`Error::Taken`] where the folder holds something else, [`Error::File`] where nothing can be written beside it.
    pub fn begin(target: &Path) -> Result<Self, Error> {
        let failed = at(target);
        if target.symlink_metadata().is_ok() {
            only_a_data_set(target)?;
        }
        let mut builder = tempfile::Builder::new();
        builder.prefix(".loamline-").suffix(".tmp").permissions(fs::Permissions::from_mode(0o777));
        let part = builder.tempdir_in(parent(target)).map_err(failed)?;
        Ok(Self {
            target: target.to_owned(),
            part,
            folder: None,
            lot: Vec::new(),
            lots: None,
            written: Written::default(),
        })
    }

    /// Adds a reading. Those of one year and client must come together.
    ///
    /// # Errors
    /// [`Error`].
    pub fn push(&mut self, row: ReadingRow) -> Result<(), Error> {
        let folder = folder_of(row.season, row.client.as_deref())?;
        if self.folder.as_ref() != Some(&folder) {
            self.end_file()?;
            self.folder = Some(folder);
        }
        self.lot.push(row);
        self.written.rows += 1;
        if self.lot.len() >= LOT { self.write_lot() } else { Ok(()) }
    }

    /// Ends the data set and puts it in its place.
    ///
    /// # Errors
    /// [`Error`]; then what stood there before still stands there.
    pub fn end(mut self) -> Result<Written, Error> {
        if self.folder.is_none() {
            // A set without a file would not even tell its columns.
            self.folder = Some(folder_of(None, None)?);
            self.write_lot()?;
        }
        self.end_file()?;
        let failed = at(&self.target);
        sync_folders(self.part.path()).map_err(failed)?;
        put(self.part.path(), &self.target).map_err(failed)?;
        sync(parent(&self.target)).map_err(failed)?;
        // What is left under the temporary name is the old set, or nothing.
        let _ = self.part.close();
        Ok(self.written)
    }

    fn write_lot(&mut self) -> Result<(), Error> {
        let table = without(readings(&self.lot), "client");
        self.lot.clear();
        if let Some((lots, _)) = &mut self.lots {
            return lots.add(&table);
        }
        let Some(folder) = &self.folder else { return Ok(()) };
        let folder = self.part.path().join(folder);
        fs::create_dir_all(&folder).map_err(at(&folder))?;
        let path = folder.join("part-0.parquet");
        let file = File::create_new(&path).map_err(at(&path))?;
        let mut lots = Lots::begin(file, &table)?;
        lots.add(&table)?;
        self.lots = Some((lots, path));
        self.written.files += 1;
        Ok(())
    }

    fn end_file(&mut self) -> Result<(), Error> {
        if !self.lot.is_empty() {
            self.write_lot()?;
        }
        let Some((lots, path)) = self.lots.take() else { return Ok(()) };
        lots.end()?;
        sync(&path).map_err(at(&path))
    }
}

/// The folder of a year and a client below the data set.
fn folder_of(year: Option<i16>, client: Option<&str>) -> Result<PathBuf, Error> {
    let year = year.map_or(NOTHING.to_owned(), |year| year.to_string());
    let client = client.filter(|client| !client.is_empty());
    let name = format!("client={}", client.map_or(NOTHING.to_owned(), encoded));
    if name.len() > LONGEST_NAME {
        return Err(Error::LongName(client.unwrap_or_default().chars().take(40).collect()));
    }
    Ok(Path::new(&format!("year={year}")).join(name))
}

/// Percent-encoded except for letters, digits and `-._~`: the unreserved characters of RFC 3986, section 2.3.
fn encoded(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            safe.push(char::from(byte));
        } else {
            safe.push_str(&format!("%{byte:02X}"));
        }
    }
    safe
}

/// The table without the column that its folder's name carries.
fn without(mut table: Table, name: &str) -> Table {
    if let Some(at) = table.columns.iter().position(|column| column.name == name) {
        table.columns.remove(at);
        for row in &mut table.rows {
            row.remove(at);
        }
    }
    table
}

/// Refuses a folder with anything in it that this writer does not make: it would be gone with the old set.
fn only_a_data_set(target: &Path) -> Result<(), Error> {
    let taken = |found: String| Error::Taken { path: target.to_owned(), found };
    if !target.symlink_metadata().map_err(at(target))?.is_dir() {
        return Err(taken("a file".to_owned()));
    }
    let wanted: [fn(&str) -> bool; 3] = [
        |name| name.starts_with("year="),
        |name| name.starts_with("client="),
        |name| name == "part-0.parquet",
    ];
    let mut level = vec![target.to_owned()];
    for (depth, right) in wanted.iter().enumerate() {
        let mut below = Vec::new();
        for folder in &level {
            for entry in fs::read_dir(folder).map_err(at(folder))? {
                let entry = entry.map_err(at(folder))?;
                let kind = entry.file_type().map_err(at(folder))?;
                let name = entry.file_name();
                let last = depth + 1 == wanted.len();
                if !name.to_str().is_some_and(right) || (if last { !kind.is_file() } else { !kind.is_dir() })
                {
                    return Err(taken(format!("`{}`", name.to_string_lossy())));
                }
                below.push(entry.path());
            }
        }
        level = below;
    }
    Ok(())
}

/// Lets the new set and what stands at the target change places in one step.
fn put(part: &Path, target: &Path) -> io::Result<()> {
    match renameat_with(CWD, part, CWD, target, RenameFlags::EXCHANGE) {
        Ok(()) => Ok(()),
        Err(Errno::NOENT) => fs::rename(part, target),
        // A file system that cannot exchange: for a moment there is nothing, never half.
        Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => {
            let old = part.with_extension("old");
            fs::rename(target, &old)?;
            fs::rename(part, target).or_else(|error| fs::rename(&old, target).and(Err(error)))?;
            fs::remove_dir_all(&old)
        }
        Err(error) => Err(error.into()),
    }
}

fn sync_folders(root: &Path) -> io::Result<()> {
    for entry in fs::read_dir(root)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            sync_folders(&entry.path())?;
        }
    }
    sync(root)
}

fn sync(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

fn parent(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn at(path: &Path) -> impl Fn(io::Error) -> Error + Copy + '_ {
    move |source| Error::File { path: path.to_owned(), source }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::tests::{PAGE, row};
    use polars_io::SerReader;

    fn reading(year: Option<i16>, client: Option<&str>, value: f64) -> ReadingRow {
        ReadingRow { season: year, client: client.map(str::to_owned), ..row(value, "a", PAGE) }
    }

    fn write(target: &Path, rows: impl IntoIterator<Item = ReadingRow>) -> Result<Written, Error> {
        let mut set = Partitioned::begin(target)?;
        rows.into_iter().try_for_each(|row| set.push(row))?;
        set.end()
    }

    fn values(path: &Path) -> Vec<f64> {
        let frame = polars_io::prelude::ParquetReader::new(File::open(path).unwrap()).finish().unwrap();
        assert!(frame.column("client").is_err(), "the folder's name carries it");
        frame.column("value").unwrap().f64().unwrap().into_no_null_iter().collect()
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_year_and_a_client_are_folders_and_nothing_is_named() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        let rows = [
            reading(None, None, 1.0),
            reading(Some(2023), None, 2.0),
            reading(Some(2023), Some(""), 3.0),
            reading(Some(2023), Some("../Été & Co=1%"), 4.0),
            reading(Some(2024), Some("Vale"), 5.0),
        ];
        assert_eq!(write(&target, rows).unwrap(), Written { rows: 5, files: 4 });
        assert_eq!(names(&target), ["year=2023", "year=2024", "year=__HIVE_DEFAULT_PARTITION__"]);
        assert_eq!(
            names(&target.join("year=2023")),
            ["client=..%2F%C3%89t%C3%A9%20%26%20Co%3D1%25", "client=__HIVE_DEFAULT_PARTITION__"]
        );
        let nobody = target.join("year=2023/client=__HIVE_DEFAULT_PARTITION__/part-0.parquet");
        assert_eq!(values(&nobody), [2.0, 3.0]);
        assert_eq!(values(&target.join("year=2024/client=Vale/part-0.parquet")), [5.0]);
    }

    #[test]
    fn many_rows_are_written_lot_by_lot_and_all_come_back() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        let count = 2 * LOT + 3;
        write(&target, (0..count).map(|n| reading(Some(2024), Some("Vale"), n as f64))).unwrap();
        let back = values(&target.join("year=2024/client=Vale/part-0.parquet"));
        assert!(back.iter().zip(0..).all(|(value, n)| *value == f64::from(n)) && back.len() == count);
    }

    #[test]
    fn a_new_set_replaces_the_old_whole_and_a_broken_one_changes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        write(&target, [reading(Some(2023), Some("Vale"), 1.0)]).unwrap();
        let mut broken = Partitioned::begin(&target).unwrap();
        broken.push(reading(Some(2024), Some("Vale"), 2.0)).unwrap();
        assert!(matches!(broken.push(reading(None, Some(&"é".repeat(60)), 2.0)), Err(Error::LongName(_))));
        drop(broken);
        assert_eq!(names(&target), ["year=2023"]);
        write(&target, [reading(Some(2024), Some("Vale"), 2.0)]).unwrap();
        assert_eq!(names(&target), ["year=2024"]);
        assert_eq!(names(dir.path()), ["set"], "nothing temporary is left");
    }

    #[test]
    fn a_folder_with_anything_else_in_it_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("set");
        write(&target, [reading(Some(2023), Some("Vale"), 1.0)]).unwrap();
        fs::write(target.join("year=2023/client=Vale/notes.txt"), "mine").unwrap();
        let error = write(&target, [reading(Some(2024), None, 2.0)]).unwrap_err().to_string();
        assert!(
            error.contains("notes.txt") && target.join("year=2023/client=Vale/notes.txt").exists(),
            "{error}"
        );
        fs::write(dir.path().join("file"), "mine").unwrap();
        assert!(matches!(write(&dir.path().join("file"), []), Err(Error::Taken { .. })));
        fs::create_dir(dir.path().join("empty")).unwrap();
        assert!(write(&dir.path().join("empty"), []).is_ok(), "an empty folder is free to take");
        assert_eq!(
            values(&dir.path().join("empty").join(folder_of(None, None).unwrap()).join("part-0.parquet"))
                .len(),
            0
        );
    }
}
