//! Names that say another kind of file than the content is: the content decides, and the log says so.

use crate::document::Format;
use crate::inbox::plain::plain;
use crate::reader::ReadDocument;

/// Endings of names, and the formats that they stand for (common practice, no source).
const ENDINGS: &[(&[&str], &[Format])] = &[
    (&["pdf"], &[Format::Pdf, Format::Scan]),
    (&["csv", "tsv", "tab", "txt", "text", "asc", "prn"], &[Format::Csv, Format::Text]),
    (&["xlsx", "xlsm", "xls", "ods"], &[Format::Xlsx]),
    (&["eml", "mbox", "mht", "mhtml"], &[Format::Mail]),
    (&["zip"], &[Format::Archive]),
    (&["htm", "html", "xhtml", "docx", "docm", "odt", "ott"], &[Format::Html]),
    (&["xml"], &[Format::ExchangeXml]),
    (&["png", "jpg", "jpeg", "tif", "tiff"], &[Format::Image, Format::Scan]),
];

/// The ending of a name that stands for another format than this one. A name without a known ending says nothing, and
/// bytes of no known format contradict nothing.
fn contradicted(name: &str, format: Format) -> Option<String> {
    let (_, ending) = name.rsplit_once('.')?;
    let ending = ending.to_ascii_lowercase();
    let (_, formats) = ENDINGS.iter().find(|(endings, _)| endings.contains(&ending.as_str()))?;
    (format != Format::Unknown && !formats.contains(&format)).then_some(ending)
}

/// Says it in the log, of a document and of what is inside it.
pub fn say(read: &ReadDocument) {
    if let Some(ending) = contradicted(&read.name, read.format) {
        let (file, content) = (plain(&read.name), read.format.id());
        tracing::info!(file, name_says = ending, content, "its name says another kind; the content decides");
    }
    read.members.iter().for_each(say);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_speaks_by_its_ending_alone() {
        let says = |name, format| contradicted(name, format);
        assert_eq!(says("a.pdf.CSV", Format::Pdf).as_deref(), Some("csv"));
        assert_eq!(says("results.xls", Format::Html).as_deref(), Some("xls"));
        for (name, format) in [
            ("a.PDF", Format::Scan),
            ("a.txt", Format::Csv),
            ("a.csv", Format::Text),
            ("a.pdf", Format::Unknown),
            ("report 2024.05", Format::Pdf),
            ("report", Format::Pdf),
            ("", Format::Pdf),
        ] {
            assert_eq!(says(name, format), None, "{name}");
        }
    }
}
