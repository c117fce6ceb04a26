//! Bytes -> document -> words -> reports, for a document and for each document inside it.

use super::{ReadDocument, recognise};
use crate::document::{self, Cause, Content, Document, Format, Limits, Refusal, sniff};
use crate::reading;
use sha2::{Digest, Sha256};

/// What the reading of one document tells while it goes on.
pub trait Progress {
    /// A document inside is begun, counted from 1 through the whole tree.
    fn member(&mut self, number: u32);
    /// Text recognition of so many pages is begun.
    fn recognising(&mut self, pages: u32);
}

/// SHA-256 in lower-case hexadecimal.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut s, b| {
        let _ = write!(s, "{b:02x}");
        s
    })
}

/// Reads a document and everything inside it. Members named in `skip` are refused unread.
pub fn read_tree(
    name: &str,
    bytes: &[u8],
    limits: &Limits,
    skip: &[u32],
    progress: &mut dyn Progress,
) -> ReadDocument {
    Walk { limits, skip, progress, begun: 0 }.read(name, bytes, 0)
}

struct Walk<'a> {
    limits: &'a Limits,
    skip: &'a [u32],
    progress: &'a mut dyn Progress,
    begun: u32,
}

impl Walk<'_> {
    fn read(&mut self, name: &str, bytes: &[u8], depth: usize) -> ReadDocument {
        let mut read = ReadDocument {
            name: name.to_owned(),
            sha256: sha256_hex(bytes),
            bytes_len: bytes.len() as u64,
            format: Format::Unknown,
            result: Ok(Vec::new()),
            notes: Vec::new(),
            needs_recognition: false,
            members: Vec::new(),
        };
        if bytes.is_empty() {
            read.result = Err(empty());
            return read;
        }
        let mut document = match document::open(bytes, self.limits) {
            Ok(document) => document,
            Err(refusal) => {
                read.format = refusal.format;
                read.needs_recognition = refusal.cause == Cause::NeedsRecognition;
                read.result = Err(refusal);
                return read;
            }
        };
        read.format = document.format;
        let members = std::mem::take(&mut document.members);
        for member in members {
            // `Soil tests.mbox/Results 4471`: a mail is no file that anybody could look for by its subject.
            let called = if member.is_file { member.name } else { format!("{name}/{}", member.name) };
            let inside = self.member(&called, &member.bytes, depth + 1);
            read.members.push(inside);
        }
        read.result = self.report(&mut document);
        read.needs_recognition = matches!(&read.result, Err(r) if r.cause == Cause::NeedsRecognition);
        read.notes = document.notes;
        read
    }

    fn member(&mut self, name: &str, bytes: &[u8], depth: usize) -> ReadDocument {
        self.begun += 1;
        self.progress.member(self.begun);
        let refused = if self.skip.contains(&self.begun) {
            Some(stopped(bytes, Ended::Stopped))
        } else if depth > self.limits.nesting {
            Some(Refusal::new(
                Cause::TooDeep,
                Format::Unknown,
                format!("Mails and archives lie inside each other more than {} deep.", self.limits.nesting),
                "Send the report alone.",
            ))
        } else {
            None
        };
        match refused {
            None => self.read(name, bytes, depth),
            Some(refusal) => ReadDocument {
                name: name.to_owned(),
                sha256: sha256_hex(bytes),
                bytes_len: bytes.len() as u64,
                format: refusal.format,
                result: Err(refusal),
                notes: Vec::new(),
                needs_recognition: false,
                members: Vec::new(),
            },
        }
    }

    fn report(&mut self, document: &mut Document) -> Result<Vec<crate::soil::Report>, Refusal> {
        let scanned = pictures(document);
        let mut straightened = recognise::Straightened::default();
        if scanned > 0 {
            self.progress.recognising(u32::try_from(scanned).unwrap_or(u32::MAX));
            straightened = recognise::recognise(document, self.limits)?;
        }
        let mut reports = reading::read(document)
            .map_err(|refusal| if pictures(document) > 0 { unrecognised(document) } else { refusal })?;
        straightened.put_back(&mut reports);
        Ok(reports)
    }
}

/// Pages that are pictures still.
fn pictures(document: &Document) -> usize {
    document.pages.iter().filter(|p| matches!(p.content, Content::Picture(_))).count()
}

/// A scan that stayed a picture: nobody knows yet whether it is a report, so it waits.
fn unrecognised(document: &Document) -> Refusal {
    let why = document.notes.last().map_or("Drop the PDF that the laboratory made.", String::as_str);
    let what = "This is a scan whose text could not be recognised.";
    Refusal::new(Cause::NeedsRecognition, document.format, what, why)
}

/// The refusal of an empty file.
pub fn empty() -> Refusal {
    Refusal::new(
        Cause::Empty,
        Format::Unknown,
        "The file is empty.",
        "Send or save the report again and drop that.",
    )
}

/// How a document ended its reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// It stopped, nobody knows why.
    Stopped,
    /// It wanted more memory than a reader has, MiB.
    Memory(u64),
}

/// The refusal of a document that ends its reader, with the advice that suits its kind.
pub fn stopped(bytes: &[u8], how: Ended) -> Refusal {
    let (cause, what) = match how {
        Ended::Stopped => (Cause::Stopped, "This file makes the reader stop (tried twice).".to_owned()),
        Ended::Memory(mib) => (
            Cause::Limit,
            format!("The file needs more than {mib} MB of memory to open, which no report does."),
        ),
    };
    let advice = match sniff::at_a_glance(bytes) {
        Format::Pdf | Format::Scan => "print it to a new PDF and drop that",
        Format::Image => "save it anew as PNG or JPEG, at 300 dpi, and drop that",
        Format::Xlsx => "save the sheet with the results alone as CSV and drop that",
        Format::Archive => "unpack it and drop the report inside alone",
        Format::Csv | Format::Text | Format::Mail | Format::Html | Format::ExchangeXml | Format::Unknown => {
            "drop the part with the results alone"
        }
    };
    Refusal::new(cause, Format::Unknown, what, format!("It is kept here unchanged; {advice}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Silent;

    impl Progress for Silent {
        fn member(&mut self, _: u32) {}
        fn recognising(&mut self, _: u32) {}
    }

    #[test]
    fn a_mail_of_a_mailbox_is_called_by_what_holds_it_and_an_attachment_by_its_own_name() {
        let head = |subject: &str| {
            format!(
                "From: a@b.example\nTo: c@d.example\nDate: Mon, 05 Jan 2026 10:00:00 +0000\nSubject: {subject}\n"
            )
        };
        let letter = "Content-Type: multipart/mixed; boundary=xx\n\n--xx\nContent-Type: text/csv\nContent-Disposition: attachment; filename=r.csv\n\na,b\n\n--xx--\n";
        let from = "From a@b.example Mon Jan  5 10:00:00 2026\n";
        let mailbox = format!("{from}{}\nx\n\n{from}{}{letter}", head("one"), head("two"));
        let read = read_tree("Soil.mbox", mailbox.as_bytes(), &Limits::default(), &[], &mut Silent);
        let names: Vec<&str> = read.members.iter().map(|m| m.name.as_str()).collect();
        assert_eq!(names, ["Soil.mbox/one", "Soil.mbox/two"]);
        assert_eq!(read.members[1].members[0].name, "r.csv");
    }

    #[test]
    fn what_to_do_with_a_file_that_ends_its_reader_suits_its_kind() {
        let workbook = b"PK\x03\x04\x14\0\x06\0\x08\0\0\0!\0................\x13\0....[Content_Types].xml";
        for (bytes, advice) in [
            (&b"%PDF-1.7\n"[..], "new PDF"),
            (b"\x89PNG\r\n\x1a\n", "PNG"),
            (workbook, "CSV"),
            (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "CSV"),
            (b"PK\x03\x04............................a.pdf", "unpack"),
            (b"Sample,pH\nA,6.4\n", "the part with the results"),
        ] {
            let refusal = stopped(bytes, Ended::Stopped);
            assert!(refusal.remedy.contains(advice), "{refusal}");
            assert_eq!(refusal.cause, Cause::Stopped);
        }
        let refusal = stopped(b"Sample,pH\n", Ended::Memory(512));
        assert!(refusal.cause == Cause::Limit && refusal.what.contains("512 MB"), "{refusal}");
    }
}
