//! Letters of a word processor as OpenDocument text: paragraphs and tables become the cells that a web page of the same
//! would, with what stands in the head of a page first and its footnotes last.
//!
//! Names of elements: OpenDocument 1.2, part 1 (ISO/IEC 26300), from memory.

use super::markup::{Markup, Node, Tag};
use super::packed::{self, Packed};
use super::{Document, Format, Limits, Refusal, docx, html, wording};
use std::collections::BTreeSet;

/// What the container calls itself.
pub(super) const KIND: &str = "application/vnd.oasis.opendocument.text";

const CONTENT: &str = "content.xml";
const STYLES: &str = "styles.xml";
const MANIFEST: &str = "META-INF/manifest.xml";

/// Elements whose text is none of the letter's: what was deleted, remarks at its edge, buttons, and what pictures are
/// said to show.
const SILENT: &[&str] = &["tracked-changes", "annotation", "forms", "title", "desc", "ruby-text", "script"];

/// Elements that hold what stands at the head of a page.
const HEADS: &[&str] = &["header", "header-left", "header-first"];

/// Spaces that one element may stand for.
const MOST_SPACES: usize = 80;

/// True for a container that holds such a letter, and none of another word processor.
pub(super) fn is_letter(bytes: &[u8], limits: &Limits) -> bool {
    docx::is_packed(bytes)
        && Packed::open(bytes, Format::Html, limits).is_ok_and(|p| p.holds(CONTENT) && !p.holds(docx::BODY))
}

/// Lays the document out: one page of cells.
///
/// # Errors
/// A [`Refusal`] where the container or its XML is broken or locked, or a limit is passed.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let mut packed = Packed::open(bytes, Format::Html, limits)?;
    if text(&mut packed, MANIFEST)?.is_some_and(|xml| xml.contains("encryption-data")) {
        return Err(packed::locked(Format::Html));
    }
    let mut walk = Walk::default();
    for (part, heads_alone) in [(STYLES, true), (CONTENT, false)] {
        let Some(xml) = text(&mut packed, part)? else { continue };
        walk.heads_alone = heads_alone;
        let mut markup = Markup::new(&xml, Format::Html);
        while let Some(node) = markup.next()? {
            match node {
                Node::Open(tag) => walk.open(&tag),
                Node::Text(text) => walk.text(&text),
                Node::Close(name) => walk.close(&name),
            }
        }
    }
    let page = html::page(&walk.whole(), None, Format::Html, limits)?;
    Ok(Document { format: Format::Html, pages: vec![page], members: Vec::new(), notes: Vec::new() })
}

fn text(packed: &mut Packed<'_>, name: &str) -> Result<Option<String>, Refusal> {
    let Some(part) = packed.part(name)? else { return Ok(None) };
    super::decode::text(&part).map(Some).ok_or_else(|| wording::not_text(Format::Html))
}

#[derive(Default)]
struct Walk {
    out: String,
    /// Heads of pages, each once: the first page and the others often have the same.
    heads: Vec<String>,
    /// Footnotes, which stand inside the words they belong to.
    notes: String,
    /// Only what stands in the head of a page is text.
    heads_alone: bool,
    /// Inside the head of a page, so many deep.
    head: usize,
    /// Inside an element without text of its own, so many deep.
    silent: usize,
    /// Inside a paragraph: other text is white space between tags.
    paragraph: usize,
    note: bool,
    /// The mark of the footnote that follows.
    cited: Option<String>,
    /// The style that is being described.
    style: String,
    hidden: BTreeSet<String>,
    raised: BTreeSet<String>,
    /// Whether each open span is raised.
    spans: Vec<bool>,
}

impl Walk {
    fn open(&mut self, tag: &Tag<'_>) {
        let name = tag.name();
        let style = tag.attribute("style-name").unwrap_or_default();
        let unseen = || match name {
            "section" => tag.attribute("display").as_deref() == Some("none"),
            "hidden-text" | "hidden-paragraph" => tag.flag("is-hidden"),
            _ => self.hidden.contains(&style),
        };
        if self.silent > 0 || SILENT.contains(&name) || unseen() {
            self.silent += 1;
            return;
        }
        match name {
            "style" => self.style = tag.attribute("name").unwrap_or_default(),
            "text-properties" | "table-properties" => self.properties(tag),
            _ if HEADS.contains(&name) && self.heads_alone => {
                self.head += 1;
                self.heads.push(String::new());
            }
            _ if self.heads_alone && self.head == 0 => {}
            "p" | "h" => {
                self.paragraph += 1;
                self.push(if self.note { " " } else { "<p>" });
            }
            "span" => {
                let raised = self.raised.contains(&style);
                self.spans.push(raised);
                self.push(if raised { "<sup>" } else { "" });
            }
            "line-break" => self.push("<br>"),
            "tab" => self.push(" "),
            "s" => {
                let count: usize = tag.number("c").unwrap_or(1);
                self.push(&" ".repeat(count.min(MOST_SPACES)));
            }
            "table" => self.push("<table>"),
            "table-row" => self.push("<tr>"),
            "table-cell" => {
                let span = |name: &str| tag.number::<u32>(name).unwrap_or(1).max(1);
                let (columns, rows) = (span("number-columns-spanned"), span("number-rows-spanned"));
                self.push(&format!("<td colspan=\"{columns}\" rowspan=\"{rows}\">"));
            }
            "note-citation" => {
                self.cited = Some(String::new());
                self.push("<sup>");
            }
            "note-body" => {
                self.note = true;
                let mark = self.cited.take().unwrap_or_default();
                self.push(&format!("<p><sup>{mark}</sup> "));
            }
            _ => {}
        }
    }

    /// What a style says of the words that bear it.
    fn properties(&mut self, tag: &Tag<'_>) {
        // What stands outside a style, as in a level of a list, is said of nothing that is asked for here.
        if self.style.is_empty() {
            return;
        }
        if tag.attribute("display").is_some_and(|d| matches!(d.as_str(), "none" | "false")) {
            self.hidden.insert(self.style.clone());
        }
        if tag.attribute("text-position").is_some_and(|p| p.starts_with("super")) {
            self.raised.insert(self.style.clone());
        }
    }

    fn push(&mut self, html: &str) {
        match (self.heads_alone, self.note) {
            (true, _) => {
                if let Some(head) = self.heads.last_mut() {
                    head.push_str(html);
                }
            }
            (false, true) => self.notes.push_str(html),
            (false, false) => self.out.push_str(html),
        }
    }

    fn text(&mut self, text: &str) {
        if self.silent > 0 || self.paragraph == 0 {
            return;
        }
        let plain = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        if let Some(mark) = self.cited.as_mut().filter(|_| !self.note) {
            mark.push_str(&plain);
        }
        self.push(&plain);
    }

    fn close(&mut self, name: &str) {
        if self.silent > 0 {
            self.silent -= 1;
            return;
        }
        match name {
            "style" => self.style.clear(),
            _ if HEADS.contains(&name) && self.heads_alone => self.head = self.head.saturating_sub(1),
            _ if self.heads_alone && self.head == 0 => {}
            "p" | "h" => {
                self.paragraph = self.paragraph.saturating_sub(1);
                self.push(if self.note { " " } else { "</p>" });
            }
            "span" if self.spans.pop() == Some(true) => self.push("</sup>"),
            "table" => self.push("</table>"),
            "table-row" => self.push("</tr>"),
            "table-cell" => self.push("</td>"),
            "note-citation" => self.push("</sup>"),
            "note-body" => {
                self.push("</p>");
                self.note = false;
            }
            _ => {}
        }
    }

    fn whole(self) -> String {
        let mut out = String::new();
        let mut told: Vec<&String> = Vec::new();
        for head in &self.heads {
            if !told.contains(&head) {
                out.push_str(head);
                told.push(head);
            }
        }
        out.push_str(&self.out);
        out.push_str(&self.notes);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::super::packed::build;
    use super::super::{Cause, Content};
    use super::*;

    fn odt(styles: &str, body: &str) -> Vec<u8> {
        let body = format!(
            "<o:document-content xmlns:o='o' xmlns:t='t' xmlns:b='b' xmlns:s='s'><o:automatic-styles>\
             <s:style s:name='up'><s:text-properties s:text-position='super 58%'/></s:style>\
             <s:default-style><s:text-properties t:display='none'/></s:default-style>\
             <s:style s:name='away'><s:table-properties b:display='false'/></s:style>\
             <s:style s:name='off'><s:text-properties t:display='none'/></s:style></o:automatic-styles>\
             <o:body><o:text>{body}</o:text></o:body></o:document-content>"
        );
        let head = "<s:header><t:p>Foxgrove Soils</t:p></s:header>";
        let styles = format!(
            "<o:document-styles xmlns:o='o' xmlns:t='t' xmlns:s='s'><o:master-styles><s:master-page>{head}{styles}\
             <s:footer><t:p>Page 1</t:p></s:footer></s:master-page></o:master-styles></o:document-styles>"
        );
        build::zip(&[("mimetype", KIND.as_bytes()), (STYLES, styles.as_bytes()), (CONTENT, body.as_bytes())])
    }

    fn cells(bytes: &[u8]) -> Vec<(u32, u32, u32, String)> {
        let document = super::super::open(bytes, &Limits::default()).unwrap();
        assert_eq!(document.format, Format::Html);
        let Content::Cells(cells) = &document.pages[0].content else { panic!() };
        cells.iter().map(|c| (c.row, c.column, c.columns, c.text.clone())).collect()
    }

    fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
        let mut out: Vec<(u32, Vec<String>)> = Vec::new();
        for (row, _, _, text) in cells(bytes) {
            match out.last_mut() {
                Some((last, texts)) if *last == row => texts.push(text),
                _ => out.push((row, vec![text])),
            }
        }
        out.into_iter().map(|(_, texts)| texts).collect()
    }

    fn table(rows: &[&[&str]]) -> String {
        let cell = |text: &&str| format!("<b:table-cell><t:p>{text}</t:p></b:table-cell>");
        let row = |texts: &&[&str]| {
            format!("<b:table-row>{}</b:table-row>", texts.iter().map(cell).collect::<String>())
        };
        format!("<b:table><b:table-column/>\n{}</b:table>", rows.iter().map(row).collect::<String>())
    }

    #[test]
    fn paragraphs_and_tables_become_rows_behind_the_head_of_the_page() {
        let body = format!(
            "<t:h>Report HT-1</t:h><t:p>Client:<t:tab/>Moss &amp; Fern<t:line-break/>Depth<t:s t:c='3'/>0-25 cm</t:p>{}",
            table(&[&["Field", "P &lt; 2"], &["North", "25"]])
        );
        let twice = odt("<s:header-first><t:p>Foxgrove Soils</t:p></s:header-first>", &body);
        let expected: [&[&str]; 6] = [
            &["Foxgrove Soils"],
            &["Report HT-1"],
            &["Client: Moss & Fern"],
            &["Depth 0-25 cm"],
            &["Field", "P < 2"],
            &["North", "25"],
        ];
        assert_eq!(rows(&twice), expected);
    }

    #[test]
    fn a_cell_over_several_columns_or_rows_covers_these() {
        let row = |cells: &str| format!("<b:table-row>{cells}</b:table-row>");
        let p = |text: &str| format!("<t:p>{text}</t:p>");
        let body = format!(
            "<b:table>{}{}</b:table>",
            row(&format!(
                "<b:table-cell b:number-rows-spanned='2'>{}</b:table-cell>\
                 <b:table-cell b:number-columns-spanned='2'>{}</b:table-cell><b:covered-table-cell/>",
                p("Field"),
                p("Mehlich 3")
            )),
            row(&format!(
                "<b:covered-table-cell/><b:table-cell>{}</b:table-cell><b:table-cell>{}</b:table-cell>",
                p("P"),
                p("K")
            ))
        );
        let found = cells(&odt("", &body));
        let column = |text: &str| found.iter().find(|c| c.3 == text).map(|c| (c.1, c.2));
        let (first, _) = column("Field").unwrap();
        assert_eq!(column("Mehlich 3"), Some((first + 1, 2)));
        assert_eq!((column("P"), column("K")), (Some((first + 1, 1)), Some((first + 2, 1))));
    }

    #[test]
    fn what_was_deleted_hidden_or_remarked_is_no_text_and_a_footnote_stands_below() {
        let body = "<t:tracked-changes><t:deletion><t:p>P 52</t:p></t:deletion></t:tracked-changes>\
                    <t:p>P 25<t:span t:style-name='off'> 54</t:span><o:annotation><t:p>53?</t:p></o:annotation>\
                    <t:note><t:note-citation>1</t:note-citation><t:note-body><t:p>Olsen</t:p></t:note-body></t:note>\
                    <t:span> ppm</t:span></t:p>\
                    <t:section t:display='none'><t:p>P 55</t:p></t:section>\
                    <b:table b:style-name='away'><b:table-row><b:table-cell><t:p>56</t:p></b:table-cell></b:table-row></b:table>";
        let found = rows(&odt("", body));
        let texts: Vec<String> = found.concat();
        assert!(texts.iter().all(|t| !t.contains('5') || t.contains("25")), "{texts:?}");
        assert!(texts.iter().any(|t| t.starts_with("P 25") && t.ends_with("ppm")), "{texts:?}");
        assert!(texts.last().unwrap().ends_with("Olsen") && texts.len() == 3, "{texts:?}");
    }

    #[test]
    fn broken_locked_or_hostile_containers_are_refused() {
        let cause = |bytes: &[u8], limits: &Limits| open(bytes, limits).unwrap_err().cause;
        let whole = odt("", "<t:p>x</t:p>");
        assert_eq!(cause(&whole[..whole.len() / 2], &Limits::default()), Cause::Damaged);
        assert_eq!(cause(&odt("", "<t:p>"), &Limits::default()), Cause::Damaged);
        let deep = "<b:table><b:table-row><b:table-cell>".repeat(90);
        assert_eq!(cause(&odt("", &deep), &Limits::default()), Cause::TooDeep);
        let small = Limits { cells: 3, ..Limits::default() };
        assert_eq!(cause(&odt("", &"<t:p>x</t:p>".repeat(9)), &small), Cause::Limit);
        let locked = build::zip(&[
            ("mimetype", KIND.as_bytes()),
            (MANIFEST, b"<m><encryption-data/></m>"),
            (CONTENT, b"\x00\x01"),
        ]);
        assert_eq!(cause(&locked, &Limits::default()), Cause::Locked);
    }
}
