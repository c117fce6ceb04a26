//! Inbox names still to remove: written with the record, cleared once the name is gone.

use super::{History, Result};
use rusqlite::{Connection, params};
use std::path::PathBuf;

/// A file as it stood in the inbox when it was hashed. Only this very file may be unlinked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InboxNote {
    /// Its full name.
    pub path: PathBuf,
    /// Number of the device.
    pub device: u64,
    /// Number of the inode.
    pub inode: u64,
    /// Size in bytes.
    pub size: u64,
    /// Seconds of its time of change; compared for equality alone.
    pub mtime_s: i64,
    /// Nanoseconds of the same.
    pub mtime_ns: i64,
}

impl History {
    /// The notes still open, oldest first, each with the SHA-256 of the recorded bytes.
    ///
    /// # Errors
    /// What the store says.
    pub fn notes_to_finish(&self) -> Result<Vec<(InboxNote, String)>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT path, device, inode, size, mtime_s, mtime_ns, sha256 FROM inbox_notes ORDER BY id",
        )?;
        let notes = statement.query_map([], |row| {
            let note = InboxNote {
                path: path_from(row.get(0)?),
                device: row.get::<_, i64>(1)?.cast_unsigned(),
                inode: row.get::<_, i64>(2)?.cast_unsigned(),
                size: row.get::<_, i64>(3)?.cast_unsigned(),
                mtime_s: row.get(4)?,
                mtime_ns: row.get(5)?,
            };
            Ok((note, row.get(6)?))
        })?;
        Ok(notes.collect::<rusqlite::Result<_>>()?)
    }

    /// Clears a note: the name is gone, or now belongs to another file. Clearing twice is harmless.
    ///
    /// # Errors
    /// What the store says.
    pub fn clear_note(&mut self, note: &InboxNote) -> Result<()> {
        self.write(|connection| {
            connection.prepare_cached(
                "DELETE FROM inbox_notes WHERE path = ?1 AND device = ?2 AND inode = ?3 AND size = ?4 AND mtime_s = ?5 AND mtime_ns = ?6",
            )?
            .execute(params![
                path_bytes(note),
                note.device.cast_signed(),
                note.inode.cast_signed(),
                note.size.cast_signed(),
                note.mtime_s,
                note.mtime_ns
            ])?;
            Ok(())
        })
    }
}

pub(super) fn add(connection: &Connection, note: &InboxNote, sha256: &str) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO inbox_notes (path, sha256, device, inode, size, mtime_s, mtime_ns) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
             ON CONFLICT DO NOTHING",
        )?
        .execute(params![
            path_bytes(note),
            sha256,
            note.device.cast_signed(),
            note.inode.cast_signed(),
            note.size.cast_signed(),
            note.mtime_s,
            note.mtime_ns
        ])?;
    Ok(())
}

// A file name is bytes on Unix: one that is no UTF-8 must come back as it was, or its file would stay for ever.
#[cfg(unix)]
fn path_bytes(note: &InboxNote) -> Vec<u8> {
    use std::os::unix::ffi::OsStrExt;
    note.path.as_os_str().as_bytes().to_vec()
}

#[cfg(unix)]
fn path_from(bytes: Vec<u8>) -> PathBuf {
    use std::os::unix::ffi::OsStringExt;
    std::ffi::OsString::from_vec(bytes).into()
}

#[cfg(not(unix))]
fn path_bytes(note: &InboxNote) -> Vec<u8> {
    note.path.to_string_lossy().into_owned().into_bytes()
}

#[cfg(not(unix))]
fn path_from(bytes: Vec<u8>) -> PathBuf {
    String::from_utf8_lossy(&bytes).into_owned().into()
}
