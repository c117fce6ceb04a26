//! ZIP archives: the files inside as documents of their own. Names are only names, never paths.

use super::packed::{self, Packed};
use super::{Cause, Document, Format, Limits, Member, Refusal, decode, wording};

/// Files that systems and programs put beside the real ones.
const SIDE_FILES: &[&str] = &["thumbs.db", ".ds_store", "desktop.ini"];

/// Longest name kept, in letters.
const NAME: usize = 200;

/// Lays the document out: no page, a member for each file. Folders, links and side files are passed over; an archive
/// inside is a member like any other.
///
/// # Errors
/// A [`Refusal`] where the archive is damaged, locked, empty, or passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let mut packed = Packed::open(bytes, Format::Archive, limits)?;
    if packed.len() > limits.members {
        let what = format!("The archive holds more than {} files.", wording::grouped(limits.members as u64));
        return Err(Refusal::new(Cause::Limit, Format::Archive, what, "Send the report alone."));
    }
    let (mut members, mut links) = (Vec::new(), 0usize);
    for index in 0..packed.len() {
        let entry = packed.entry(index)?;
        let name = file_name(&entry.name);
        if entry.folder || is_side_file(&entry.name, &name) {
            continue;
        }
        if entry.link {
            links += 1;
            continue;
        }
        if entry.locked {
            return Err(packed::locked(Format::Archive));
        }
        members.push(Member { name, is_file: true, bytes: packed.at(index)? });
    }
    if members.is_empty() {
        return Err(Refusal::new(
            Cause::Empty,
            Format::Archive,
            "The archive holds no file.",
            "Send the report itself.",
        ));
    }
    let plural = if links == 1 { " was" } else { "s were" };
    let notes = (links > 0).then(|| format!("{links} link{plural} passed over in the archive."));
    Ok(Document { format: Format::Archive, pages: Vec::new(), members, notes: notes.into_iter().collect() })
}

/// The last part of a path, whichever way its slashes lean, without control characters.
pub(super) fn file_name(path: &str) -> String {
    let last = path.trim_end_matches(['/', '\\']).rsplit(['/', '\\']).next().unwrap_or_default();
    let name: String = decode::squeezed(last).chars().take(NAME).collect();
    match name.as_str() {
        "" | "." | ".." => "unnamed".to_owned(),
        _ => name,
    }
}

fn is_side_file(path: &str, name: &str) -> bool {
    let lower = name.to_lowercase();
    path.split(['/', '\\']).any(|part| part == "__MACOSX" || part == "@eaDir")
        || lower.starts_with("._")
        || lower.starts_with("~$")
        || SIDE_FILES.contains(&lower.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::packed::build;

    #[test]
    fn files_come_out_under_their_bare_names_and_side_files_stay_inside() {
        let bytes = build::zip(&[
            ("folder/", b""),
            ("folder/a.csv", b"a"),
            ("../../etc/b\u{1b}.pdf", b"b"),
            ("C:\\x\\c.txt", b"c"),
            ("__MACOSX/folder/._a.csv", b"x"),
            ("folder/.DS_Store", b"x"),
            ("Thumbs.db", b"x"),
        ]);
        let document = open(&bytes, &Limits::default()).unwrap();
        let names: Vec<&str> = document.members.iter().map(|m| m.name.as_str()).collect();
        assert_eq!(names, ["a.csv", "b .pdf", "c.txt"]);
        assert_eq!(document.members[1].bytes, b"b");
        assert!(document.pages.is_empty());
    }

    #[test]
    fn an_archive_inside_is_a_member_and_is_not_opened_here() {
        let inner = build::zip(&[("a.csv", b"a")]);
        let document = open(&build::zip(&[("inner.zip", &inner)]), &Limits::default()).unwrap();
        assert_eq!(document.members[0].bytes, inner);
    }

    #[test]
    fn count_and_unpacked_size_are_bounded() {
        let many: Vec<(String, &[u8])> = (0..4).map(|n| (format!("{n}.txt"), &b"xx"[..])).collect();
        let parts: Vec<(&str, &[u8])> = many.iter().map(|(n, b)| (n.as_str(), *b)).collect();
        let bytes = build::zip(&parts);
        let few = Limits { members: 3, ..Limits::default() };
        assert_eq!(open(&bytes, &few).unwrap_err().what, "The archive holds more than 3 files.");
        let small = Limits { unpacked_bytes: 5, ..Limits::default() };
        assert_eq!(open(&bytes, &small).unwrap_err().cause, Cause::TooLarge);
    }

    #[test]
    fn a_locked_file_inside_is_named_as_such() {
        let mut bytes = build::zip(&[("a.csv", b"a")]);
        // The flag of encryption in the local and the central header.
        for mark in [&b"PK\x03\x04"[..], b"PK\x01\x02"] {
            let at = bytes.windows(4).position(|w| w == mark).unwrap();
            bytes[at + if mark[2] == 3 { 6 } else { 8 }] |= 1;
        }
        assert_eq!(open(&bytes, &Limits::default()).unwrap_err().cause, Cause::Locked);
    }

    #[test]
    fn an_archive_without_files_is_empty() {
        assert_eq!(open(&build::zip(&[("a/", b"")]), &Limits::default()).unwrap_err().cause, Cause::Empty);
    }
}
