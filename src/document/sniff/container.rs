//! What a ZIP or OLE container holds: a spreadsheet, a letter, something that is not read, or files.

use crate::document::odt;
use crate::document::packed::{self, Packed};
use crate::document::wording;
use crate::document::{Format, Limits, Refusal};

const AS_PDF: &str = "Print it to a PDF and drop that.";
const AS_XLSX: &str = "Save it as XLSX or CSV and drop that.";

/// The format of a ZIP container.
pub(super) fn zip(bytes: &[u8], limits: &Limits) -> Result<Format, Refusal> {
    let mut packed = Packed::open(bytes, Format::Archive, limits)?;
    let has = |path: &str| packed.names().any(|n| n.trim_start_matches('/') == path);
    if has("xl/workbook.bin") {
        return Err(wording::not_read("This is a binary spreadsheet (XLSB).", AS_XLSX));
    }
    if has("[Content_Types].xml") {
        if has("word/document.xml") {
            return Ok(Format::Html);
        }
        if has("ppt/presentation.xml") {
            return Err(wording::not_read("This is a presentation (PPTX).", AS_PDF));
        }
        if packed.names().any(|n| n.rsplit('/').next() == Some("workbook.xml")) {
            return Ok(Format::Xlsx);
        }
    }
    if packed.names().any(|n| n.ends_with(".iwa")) {
        return Err(wording::not_read("This is a document of an Apple office program.", AS_XLSX));
    }
    if packed.holds("mimetype") {
        let kind = packed.part("mimetype")?.unwrap_or_default();
        let kind = String::from_utf8_lossy(&kind);
        if kind.trim().starts_with("application/vnd.oasis.opendocument.spreadsheet") {
            return Ok(Format::Xlsx);
        }
        if matches!(kind.trim().strip_prefix(odt::KIND), Some("" | "-template")) {
            return Ok(Format::Html);
        }
        if kind.trim().starts_with("application/vnd.oasis.opendocument") {
            return Err(wording::not_read("This is an OpenDocument drawing or presentation.", AS_PDF));
        }
    }
    Ok(Format::Archive)
}

/// The format of an OLE compound file, by the names in its directory.
pub(super) fn ole(bytes: &[u8]) -> Result<Format, Refusal> {
    let has = |name: &str| directory_holds(bytes, name);
    if has("EncryptedPackage") {
        return Err(packed::locked(Format::Xlsx));
    }
    if has("Workbook") || has("Book") {
        return Ok(Format::Xlsx);
    }
    Err(if has("WordDocument") {
        wording::not_read("This is a Word document (DOC).", AS_PDF)
    } else if has("PowerPoint Document") {
        wording::not_read("This is a presentation (PPT).", AS_PDF)
    } else if has("__properties_version1.0") {
        wording::not_read(
            "This is a mail saved by Outlook (MSG).",
            "Save the attachment, or the mail as .eml.",
        )
    } else {
        wording::not_read("This is an old office document without a spreadsheet in it.", AS_PDF)
    })
}

/// Directory entries have 128 bytes: the name in UTF-16, its length with the closing zero at 64, the kind at 66
/// ([MS-CFB] 2.6.1, from memory).
fn directory_holds(bytes: &[u8], name: &str) -> bool {
    let wide: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let length = u16::try_from(wide.len() + 2).unwrap_or(u16::MAX).to_le_bytes();
    bytes.chunks_exact(128).skip(4).any(|entry| {
        entry.starts_with(&wide)
            && entry.get(64..66) == Some(&length)
            && matches!(entry.get(66), Some(1 | 2 | 5))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Cause;
    use crate::document::packed::build;

    #[test]
    fn a_container_is_judged_by_the_parts_it_lists() {
        let limits = Limits::default();
        let of = |parts: &[(&str, &[u8])]| zip(&build::zip(parts), &limits);
        let types = ("[Content_Types].xml", &b"<Types/>"[..]);
        assert_eq!(of(&[types, ("xl/workbook.xml", b"<workbook/>")]), Ok(Format::Xlsx));
        let ods = b"application/vnd.oasis.opendocument.spreadsheet";
        assert_eq!(of(&[("mimetype", ods), ("content.xml", b"")]), Ok(Format::Xlsx));
        assert_eq!(of(&[("mimetype", odt::KIND.as_bytes()), ("content.xml", b"")]), Ok(Format::Html));
        let drawn = b"application/vnd.oasis.opendocument.graphics";
        assert!(of(&[("mimetype", drawn), ("content.xml", b"")]).is_err());
        assert_eq!(of(&[("report.pdf", b"%PDF-")]), Ok(Format::Archive));
        assert_eq!(of(&[types, ("word/document.xml", b"")]), Ok(Format::Html));
        let slides = of(&[types, ("ppt/presentation.xml", b"")]).unwrap_err();
        assert!(slides.what.contains("PPTX"));
        assert!(of(&[("xl/workbook.bin", b"")]).unwrap_err().what.contains("XLSB"));
    }

    fn ole_with(name: &str) -> Vec<u8> {
        let mut bytes = vec![0; 512 + 128];
        bytes[..8].copy_from_slice(&[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1]);
        let wide: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
        bytes[512..512 + wide.len()].copy_from_slice(&wide);
        bytes[512 + 64] = (wide.len() + 2) as u8;
        bytes[512 + 66] = 2;
        bytes
    }

    #[test]
    fn a_compound_file_is_judged_by_its_directory() {
        assert_eq!(ole(&ole_with("Workbook")), Ok(Format::Xlsx));
        assert_eq!(ole(&ole_with("EncryptedPackage")).unwrap_err().cause, Cause::Locked);
        assert!(ole(&ole_with("WordDocument")).unwrap_err().what.contains("DOC"));
        assert!(ole(&ole_with("Other")).unwrap_err().what.contains("without a spreadsheet"));
    }
}
