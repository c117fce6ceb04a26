//! ZIP containers opened with every unpacked byte counted; what a header claims is never trusted.

use super::wording;
use super::{Cause, Format, Limits, Refusal};
use std::io::{Cursor, Read};

/// Beyond this many bytes a part may unpack to at most [`RATIO`] times its packed size.
const RATIO_FREE: u64 = 32 << 20;
const RATIO: u64 = 100;

/// An open container and what may still be unpacked from it.
pub(super) struct Packed<'a> {
    zip: zip::ZipArchive<Cursor<&'a [u8]>>,
    format: Format,
    stream_bytes: u64,
    unpacked_bytes: u64,
    left: u64,
}

impl<'a> Packed<'a> {
    /// Opens the list of parts; nothing is unpacked yet.
    pub(super) fn open(bytes: &'a [u8], format: Format, limits: &Limits) -> Result<Self, Refusal> {
        let zip = zip::ZipArchive::new(Cursor::new(bytes))
            .map_err(|_| wording::damaged(format, "The packed file is damaged or was cut off."))?;
        Ok(Self {
            zip,
            format,
            stream_bytes: limits.stream_bytes,
            unpacked_bytes: limits.unpacked_bytes,
            left: limits.unpacked_bytes,
        })
    }

    /// Number of parts, folders included.
    pub(super) fn len(&self) -> usize {
        self.zip.len()
    }

    /// True where a part of that name is listed.
    pub(super) fn holds(&self, name: &str) -> bool {
        self.zip.index_for_name(name).is_some()
    }

    /// The listed names.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.zip.file_names()
    }

    /// What is listed of the part at an index: its name, and whether it is a plain file.
    pub(super) fn entry(&mut self, index: usize) -> Result<Entry, Refusal> {
        let part = self
            .zip
            .by_index_raw(index)
            .map_err(|_| wording::damaged(self.format, "The packed file is damaged."))?;
        Ok(Entry {
            name: part.name().to_owned(),
            folder: part.is_dir(),
            link: part.is_symlink(),
            locked: part.encrypted(),
        })
    }

    /// The unpacked bytes of the part at an index.
    pub(super) fn at(&mut self, index: usize) -> Result<Vec<u8>, Refusal> {
        let format = self.format;
        let part = match self.zip.by_index(index) {
            Ok(part) => part,
            Err(zip::result::ZipError::UnsupportedArchive(text))
                if text == zip::result::ZipError::PASSWORD_REQUIRED =>
            {
                return Err(locked(format));
            }
            Err(zip::result::ZipError::CompressionMethodNotSupported(_)) => {
                return Err(Refusal::new(
                    Cause::UnknownFormat,
                    format,
                    "A file inside is packed in a way that is not read.",
                    "Pack it anew as a plain ZIP, or drop the report itself.",
                ));
            }
            Err(_) => return Err(wording::damaged(format, "A part of the packed file is damaged.")),
        };
        let ratio = part.compressed_size().saturating_mul(RATIO).max(RATIO_FREE);
        let most = self.stream_bytes.min(self.left).min(ratio);
        let mut bytes = Vec::new();
        part.take(most.saturating_add(1))
            .read_to_end(&mut bytes)
            .map_err(|_| wording::damaged(format, "A part of the packed file is damaged or was cut off."))?;
        let size = bytes.len() as u64;
        if size > most {
            return Err(match most {
                _ if most == self.left => wording::unpacks_too_far(format, self.unpacked_bytes),
                _ if most == self.stream_bytes => wording::unpacks_too_far(format, self.stream_bytes),
                _ => wording::swells(format, RATIO),
            });
        }
        self.left -= size;
        Ok(bytes)
    }

    /// The unpacked bytes of a named part, none where there is no such part.
    pub(super) fn part(&mut self, name: &str) -> Result<Option<Vec<u8>>, Refusal> {
        match self.zip.index_for_name(name) {
            Some(index) => self.at(index).map(Some),
            None => Ok(None),
        }
    }
}

/// What a container lists of a part.
pub(super) struct Entry {
    /// The name as listed; never used as a path.
    pub(super) name: String,
    /// A folder.
    pub(super) folder: bool,
    /// A symbolic link.
    pub(super) link: bool,
    /// Needs a password.
    pub(super) locked: bool,
}

/// The refusal of a container that needs a password.
pub(super) fn locked(format: Format) -> Refusal {
    let what = match format {
        Format::Xlsx => "The spreadsheet is locked with a password.",
        _ => "The archive is locked with a password.",
    };
    Refusal::new(Cause::Locked, format, what, "Save a copy without one and drop that.")
}

/// Containers for the tests of several decoders.
#[cfg(test)]
pub(super) mod build {
    use std::io::{Cursor, Write};

    pub(crate) fn zip(parts: &[(&str, &[u8])]) -> Vec<u8> {
        let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in parts {
            out.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            out.write_all(bytes).unwrap();
        }
        out.finish().unwrap().into_inner()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unpacked_bytes_are_counted_over_all_parts() {
        let bytes = build::zip(&[("a", &[7; 600]), ("b", &[7; 600])]);
        let limits = Limits { unpacked_bytes: 1_000, ..Limits::default() };
        let mut packed = Packed::open(&bytes, Format::Archive, &limits).unwrap();
        assert_eq!(packed.at(0).unwrap().len(), 600);
        assert_eq!(packed.at(1).unwrap_err().cause, Cause::TooLarge);
    }

    #[test]
    fn a_part_that_swells_a_thousandfold_is_refused_beyond_32_megabytes() {
        let bytes = build::zip(&[("a", &vec![0; 33 << 20])]);
        let mut packed = Packed::open(&bytes, Format::Archive, &Limits::default()).unwrap();
        assert_eq!(packed.at(0).unwrap_err().cause, Cause::TooLarge);
    }

    #[test]
    fn a_cut_container_is_damaged() {
        let bytes = build::zip(&[("a", b"text")]);
        let cut = bytes.get(..bytes.len() / 2).unwrap();
        assert_eq!(
            Packed::open(cut, Format::Archive, &Limits::default()).err().unwrap().cause,
            Cause::Damaged
        );
    }
}
