//! Letters of a word processor (WordprocessingML in a ZIP): paragraphs and tables become the cells that a web page of the
//! same would, with what stands in the head of a page first. What was deleted or hidden is no text.
//!
//! Names of elements: ISO/IEC 29500-1, part 17, from memory.

use super::markup::{Markup, Node, Tag};
use super::packed::Packed;
use super::{Document, Format, Limits, Refusal, html, wording};

/// The text of the letter.
pub(super) const BODY: &str = "word/document.xml";

/// Elements whose text is none of the letter's: what was moved away or deleted, and the second telling of a drawing.
const SILENT: &[&str] = &["moveFrom", "del", "Fallback", "instrText", "delText"];

/// Parts with the head of a page that are read.
const HEADS: usize = 8;

/// True for bytes that are packed, as every letter of a word processor is and no page of the web.
pub(super) fn is_packed(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// Lays the document out: one page of cells.
///
/// # Errors
/// A [`Refusal`] where the container or its XML is broken, or a limit is passed.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let mut packed = Packed::open(bytes, Format::Html, limits)?;
    let mut heads: Vec<String> = packed.names().filter(|n| is_head(n)).map(str::to_owned).collect();
    heads.sort_unstable();
    heads.truncate(HEADS);
    let mut page = String::new();
    let mut told: Vec<String> = Vec::new();
    for name in heads.iter().map(String::as_str).chain([BODY]) {
        let Some(part) = packed.part(name)? else { continue };
        let text = super::decode::text(&part).ok_or_else(|| wording::not_text(Format::Html))?;
        let html = as_html(&text)?;
        // The first page and the others often have the same head.
        if !told.contains(&html) {
            page.push_str(&html);
            told.push(html);
        }
    }
    let page = html::page(&page, None, Format::Html, limits)?;
    Ok(Document { format: Format::Html, pages: vec![page], members: Vec::new(), notes: Vec::new() })
}

/// `word/header1.xml`
fn is_head(name: &str) -> bool {
    name.strip_prefix("word/header")
        .and_then(|n| n.strip_suffix(".xml"))
        .is_some_and(|n| n.bytes().all(|b| b.is_ascii_digit()))
}

/// The paragraphs and tables of a part as tags of a web page.
fn as_html(text: &str) -> Result<String, Refusal> {
    let mut markup = Markup::new(text, Format::Html);
    let mut walk = Walk::default();
    while let Some(node) = markup.next()? {
        match node {
            Node::Open(tag) => walk.open(&tag),
            Node::Text(text) => walk.text(&text),
            Node::Close(name) => walk.close(&name),
        }
    }
    Ok(walk.out)
}

#[derive(Default)]
struct Walk {
    out: String,
    /// Inside an element without text of its own, so many deep.
    silent: usize,
    /// Inside the text of a run.
    text: bool,
    hidden: bool,
    raised: bool,
    /// A cell that has opened and not yet said how many columns it covers.
    cell: Option<u32>,
}

impl Walk {
    fn open(&mut self, tag: &Tag<'_>) {
        let name = tag.name();
        if self.silent > 0 || SILENT.contains(&name) {
            self.silent += 1;
            return;
        }
        let off = || tag.attribute("val").is_some_and(|v| matches!(v.trim(), "0" | "false" | "off"));
        match name {
            "p" => {
                self.begin_cell();
                self.out.push_str("<p>");
            }
            "r" => (self.hidden, self.raised) = (false, false),
            "vanish" => self.hidden = !off(),
            "vertAlign" => self.raised = tag.attribute("val").is_some_and(|v| v == "superscript"),
            "t" => self.text = true,
            "br" | "cr" if !self.hidden => self.out.push_str("<br>"),
            "tab" | "ptab" if !self.hidden => self.out.push(' '),
            "noBreakHyphen" if !self.hidden => self.out.push('-'),
            "tbl" => {
                self.begin_cell();
                self.out.push_str("<table>");
            }
            "tr" => self.out.push_str("<tr>"),
            "tc" => self.cell = Some(1),
            "gridSpan" => self.cell = self.cell.map(|_| tag.number("val").unwrap_or(1)),
            _ => {}
        }
    }

    /// A cell opens with its first block: how many columns it covers is said before that.
    fn begin_cell(&mut self) {
        if let Some(columns) = self.cell.take() {
            self.out.push_str(&format!("<td colspan=\"{columns}\">"));
        }
    }

    fn text(&mut self, text: &str) {
        if !self.text || self.hidden || self.silent > 0 {
            return;
        }
        if self.raised {
            self.out.push_str("<sup>");
        }
        for letter in text.chars() {
            match letter {
                '&' => self.out.push_str("&amp;"),
                '<' => self.out.push_str("&lt;"),
                '>' => self.out.push_str("&gt;"),
                letter => self.out.push(letter),
            }
        }
        if self.raised {
            self.out.push_str("</sup>");
        }
    }

    fn close(&mut self, name: &str) {
        if self.silent > 0 {
            self.silent -= 1;
            return;
        }
        match name {
            "t" => self.text = false,
            "p" => self.out.push_str("</p>"),
            "tbl" => self.out.push_str("</table>"),
            "tr" => self.out.push_str("</tr>"),
            "tc" => {
                self.begin_cell();
                self.out.push_str("</td>");
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::packed::build;
    use super::super::{Cause, Content};
    use super::*;

    fn p(text: &str) -> String {
        format!("<w:p><w:r><w:t>{text}</w:t></w:r></w:p>")
    }

    fn docx(body: &str) -> Vec<u8> {
        let body = format!("<w:document xmlns:w='w'><w:body>{body}</w:body></w:document>");
        let head = format!("<w:hdr xmlns:w='w'>{}</w:hdr>", p("Foxgrove Soils"));
        build::zip(&[
            ("[Content_Types].xml", b"<Types/>"),
            ("word/header1.xml", head.as_bytes()),
            ("word/header2.xml", head.as_bytes()),
            (BODY, body.as_bytes()),
        ])
    }

    fn rows(body: &str) -> Vec<Vec<String>> {
        let document = super::super::open(&docx(body), &Limits::default()).unwrap();
        assert_eq!(document.format, Format::Html);
        let Content::Cells(cells) = &document.pages[0].content else { panic!() };
        let mut out: Vec<(u32, Vec<String>)> = Vec::new();
        for cell in cells {
            match out.last_mut() {
                Some((row, texts)) if *row == cell.row => texts.push(cell.text.clone()),
                _ => out.push((cell.row, vec![cell.text.clone()])),
            }
        }
        out.into_iter().map(|(_, texts)| texts).collect()
    }

    #[test]
    fn paragraphs_and_tables_become_rows_behind_the_head_of_the_page() {
        let cell = |text: &str| format!("<w:tc><w:tcPr><w:tcW w:w='9'/></w:tcPr>{}</w:tc>", p(text));
        let table = format!(
            "<w:tbl><w:tblPr/><w:tr>{}{}</w:tr><w:tr>{}{}</w:tr></w:tbl>",
            cell("Field"),
            cell("P &lt; 2"),
            cell("North"),
            cell("25")
        );
        let found = rows(&format!("{}{table}", p("Report HT-1</w:t><w:br/><w:t>Client: Moss &amp; Fern")));
        let expected: [&[&str]; 5] = [
            &["Foxgrove Soils"],
            &["Report HT-1"],
            &["Client: Moss & Fern"],
            &["Field", "P < 2"],
            &["North", "25"],
        ];
        assert_eq!(found, expected);
    }

    #[test]
    fn a_cell_over_several_columns_covers_these() {
        let body = format!(
            "<w:tbl><w:tr><w:tc><w:tcPr><w:gridSpan w:val='2'/></w:tcPr>{}</w:tc></w:tr></w:tbl>",
            p("Mehlich 3")
        );
        let document = open(&docx(&body), &Limits::default()).unwrap();
        let Content::Cells(cells) = &document.pages[0].content else { panic!() };
        assert!(cells.iter().any(|c| c.text == "Mehlich 3" && c.columns == 2), "{cells:?}");
    }

    #[test]
    fn what_was_deleted_moved_or_hidden_is_no_text() {
        let run = |inner: &str| format!("<w:r>{inner}</w:r>");
        let body = format!(
            "<w:p>{}<w:del>{}</w:del><w:moveFrom>{}</w:moveFrom>{}{}</w:p>",
            run("<w:t>P 25</w:t>"),
            run("<w:delText> 52</w:delText>"),
            run("<w:t> 53</w:t>"),
            run("<w:rPr><w:vanish/></w:rPr><w:t> 54</w:t>"),
            run("<w:rPr><w:vanish w:val='0'/></w:rPr><w:t> ppm</w:t>")
        );
        assert_eq!(rows(&body).concat(), ["Foxgrove Soils", "P 25 ppm"]);
    }

    #[test]
    fn broken_or_hostile_containers_are_refused() {
        let cause = |bytes: &[u8], limits: &Limits| open(bytes, limits).unwrap_err().cause;
        let whole = docx(&p("x"));
        assert_eq!(cause(&whole[..whole.len() / 2], &Limits::default()), Cause::Damaged);
        assert_eq!(cause(&docx("<w:p>"), &Limits::default()), Cause::Damaged);
        assert_eq!(cause(&docx(&"<w:tbl><w:tr><w:tc>".repeat(90)), &Limits::default()), Cause::TooDeep);
        let small = Limits { cells: 3, ..Limits::default() };
        assert_eq!(cause(&docx(&p("x").repeat(9)), &small), Cause::Limit);
        let small = Limits { unpacked_bytes: 200, ..Limits::default() };
        assert_eq!(cause(&docx(&p("x").repeat(99)), &small), Cause::TooLarge);
    }
}
