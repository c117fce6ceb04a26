//! Web pages and mail bodies: a bounded stream of tags becomes rows of cells, without a tree and without scripts.

mod table;

use super::{Cell, Content, Document, Format, Limits, Page, Refusal, decode, wording};
use html5gum::{DefaultEmitter, HtmlString, StartTag, Token, Tokenizer};
use table::{Block, Table};

/// Tables inside each other.
const TABLES: usize = 64;

/// Tags that begin a block of text of their own.
const BLOCKS: &[&str] = &[
    "p",
    "div",
    "li",
    "ul",
    "ol",
    "dl",
    "dt",
    "dd",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "hr",
    "section",
    "article",
    "header",
    "footer",
    "main",
    "nav",
    "aside",
    "blockquote",
    "pre",
    "form",
    "fieldset",
    "address",
    "center",
    "figure",
    "figcaption",
    "body",
    "html",
    "caption",
    "title",
];

/// Tags whose inner part is no text of the page.
const SILENT: &[&str] = &[
    "script", "style", "head", "template", "noscript", "iframe", "object", "select", "textarea", "svg",
    "math",
];

/// Tags without an end.
const VOID: &[&str] = &[
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track",
    "wbr",
];

/// Lays the document out: one page of cells. A table keeps its grid, a paragraph is a row of one cell, an empty row
/// stands between blocks.
///
/// # Errors
/// A [`Refusal`] where the bytes are no text or a limit is passed.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let text = decode::text(bytes).ok_or_else(|| wording::not_text(Format::Html))?;
    let page = page(&text, None, Format::Html, limits)?;
    Ok(Document { format: Format::Html, pages: vec![page], members: Vec::new(), notes: Vec::new() })
}

/// A page from HTML text, with a first line of its own where there is one.
pub(super) fn page(
    text: &str,
    first: Option<&str>,
    format: Format,
    limits: &Limits,
) -> Result<Page, Refusal> {
    let mut blocks = Vec::new();
    if let Some(line) = first {
        blocks.extend([Block::Text(decode::squeezed(line)), Block::Gap]);
    }
    blocks.extend(self::blocks(text, format, limits)?);
    let content = Content::Cells(table::rows(blocks, format, limits)?);
    Ok(Page { number: 1, width: 0.0, height: 0.0, name: None, content })
}

/// An element that is passed over until it ends.
struct Skip {
    name: String,
    depth: usize,
}

struct Walk<'l> {
    format: Format,
    limits: &'l Limits,
    out: Vec<Block>,
    tables: Vec<Table>,
    text: String,
    skip: Option<Skip>,
    raised: bool,
    /// Inside text that is set as typed, where a line break ends the line.
    typed: bool,
    /// Right behind the end of a span, with nothing between.
    behind_span: bool,
    /// Spans set right beside each other in one block, which a style sheet sets apart.
    spans: Vec<String>,
    cells: usize,
}

fn blocks(text: &str, format: Format, limits: &Limits) -> Result<Vec<Block>, Refusal> {
    let mut emitter = DefaultEmitter::default();
    emitter.naively_switch_states(true);
    let mut walk = Walk {
        format,
        limits,
        out: Vec::new(),
        tables: Vec::new(),
        text: String::new(),
        skip: None,
        raised: false,
        typed: false,
        behind_span: false,
        spans: Vec::new(),
        cells: 0,
    };
    for token in Tokenizer::new_with_emitter(text, emitter) {
        let Ok(token) = token;
        match token {
            Token::StartTag(tag) => walk.start(&tag)?,
            Token::EndTag(tag) => walk.end(&name(&tag.name))?,
            Token::String(text) => walk.words(&text.value)?,
            Token::Comment(_) | Token::Doctype(_) | Token::Error(_) => {}
        }
    }
    while !walk.tables.is_empty() {
        walk.close_table();
    }
    walk.flush();
    Ok(walk.out)
}

fn name(bytes: &HtmlString) -> String {
    String::from_utf8_lossy(bytes).to_ascii_lowercase()
}

impl Walk<'_> {
    fn start(&mut self, tag: &StartTag<()>) -> Result<(), Refusal> {
        let name = name(&tag.name);
        let void = VOID.contains(&name.as_str());
        if let Some(skip) = &mut self.skip {
            if !implies_end(&skip.name, &name) {
                skip.depth += usize::from(skip.name == name && !void);
                return Ok(());
            }
            self.skip = None;
        }
        if !void && (SILENT.contains(&name.as_str()) || hidden(tag)) {
            // A hidden cell leaves its place empty, as a script would not.
            if matches!(name.as_str(), "td" | "th") {
                self.open_cell(tag)?;
            }
            if !tag.self_closing || !matches!(name.as_str(), "svg" | "math") {
                self.skip = Some(Skip { name, depth: 1 });
            }
            return Ok(());
        }
        let beside = std::mem::take(&mut self.behind_span);
        match name.as_str() {
            "span" if beside && self.tables.is_empty() && !self.typed => {
                self.spans.push(decode::squeezed(&std::mem::take(&mut self.text)));
            }
            "table" => {
                self.flush();
                if self.tables.len() >= TABLES {
                    return Err(wording::too_deep(self.format, TABLES));
                }
                self.tables.push(Table::default());
            }
            // Names and what is said of each: rows of a table.
            "dl" => {
                self.flush();
                if self.tables.len() >= TABLES {
                    return Err(wording::too_deep(self.format, TABLES));
                }
                self.tables.push(Table::of_names());
            }
            "dt" if self.tables.last().is_some_and(Table::is_of_names) => {
                self.flush();
                if let Some(table) = self.tables.last_mut() {
                    table.next_row();
                }
                self.open_cell(tag)?;
            }
            "dd" if self.tables.last().is_some_and(Table::is_of_names) => self.open_cell(tag)?,
            "tr" => {
                self.flush();
                if let Some(table) = self.tables.last_mut() {
                    table.next_row();
                }
            }
            "td" | "th" => self.open_cell(tag)?,
            "br" => self.flush_line(),
            "sup" => self.raised = true,
            block if BLOCKS.contains(&block) => {
                self.flush();
                self.typed |= block == "pre";
            }
            _ => {}
        }
        Ok(())
    }

    fn open_cell(&mut self, tag: &StartTag<()>) -> Result<(), Refusal> {
        self.flush();
        self.cells += 1;
        if self.cells > self.limits.cells {
            return Err(wording::too_many_cells(self.format, self.limits));
        }
        let most = |name: &str, most: u32| -> u32 {
            let value =
                tag.attributes.get(name.as_bytes()).map(|v| String::from_utf8_lossy(&v.value).into_owned());
            value.and_then(|v| v.trim().parse::<u32>().ok()).unwrap_or(1).clamp(1, most)
        };
        let (columns, rows) = (most("colspan", self.limits.columns), most("rowspan", self.limits.rows));
        if let Some(table) = self.tables.last_mut()
            && !table.open_cell(columns, rows, self.limits.columns)
        {
            return Err(wording::too_many_columns(self.format, self.limits));
        }
        Ok(())
    }

    fn end(&mut self, name: &str) -> Result<(), Refusal> {
        if let Some(skip) = &mut self.skip {
            let enclosing =
                matches!(name, "table" | "tr") && matches!(skip.name.as_str(), "td" | "th" | "tr" | "p");
            if skip.name == name {
                skip.depth -= 1;
                if skip.depth == 0 {
                    self.skip = None;
                }
                return Ok(());
            }
            if !enclosing {
                return Ok(());
            }
            self.skip = None;
        }
        match name {
            "table" => self.close_table(),
            "dl" if self.tables.last().is_some_and(Table::is_of_names) => self.close_table(),
            "dt" | "dd" if self.tables.last().is_some_and(Table::is_of_names) => {
                self.flush();
                if let Some(table) = self.tables.last_mut() {
                    table.close_cell();
                }
            }
            "tr" | "td" | "th" => {
                self.flush();
                if let Some(table) = self.tables.last_mut() {
                    table.close_cell();
                }
            }
            "span" => self.behind_span = !self.text.trim().is_empty(),
            "sup" => self.raised = false,
            block if BLOCKS.contains(&block) => {
                self.flush();
                self.typed &= block != "pre";
            }
            _ => {}
        }
        Ok(())
    }

    fn words(&mut self, bytes: &HtmlString) -> Result<(), Refusal> {
        if self.skip.is_some() {
            return Ok(());
        }
        let text = String::from_utf8_lossy(bytes);
        let typed = self.typed;
        self.behind_span &= text.is_empty();
        for (index, line) in text.split(|c| typed && c == '\n').enumerate() {
            if index > 0 {
                self.flush_line();
            }
            if self.raised {
                self.text.extend(line.chars().map(super::workbook::raised));
            } else {
                self.text.push_str(line);
            }
        }
        if self.text.len() > self.limits.cell_bytes {
            return Err(wording::cell_too_long(self.format, self.limits));
        }
        Ok(())
    }

    /// Ends the block of text.
    fn flush(&mut self) {
        self.flush_line();
        if self.tables.is_empty() && !matches!(self.out.last(), Some(Block::Gap) | None) {
            self.out.push(Block::Gap);
        }
    }

    /// Ends the line of text.
    fn flush_line(&mut self) {
        let text = decode::squeezed(&std::mem::take(&mut self.text));
        self.behind_span = false;
        if !self.spans.is_empty() {
            let mut parts = std::mem::take(&mut self.spans);
            parts.push(text);
            table::side_by_side(parts, &mut self.out);
            return;
        }
        if text.is_empty() {
            return;
        }
        match self.tables.last_mut() {
            Some(table) => table.text(text),
            None => self.out.push(Block::Text(text)),
        }
    }

    fn close_table(&mut self) {
        self.flush_line();
        let Some(table) = self.tables.pop() else { return };
        let blocks = table.finish();
        match self.tables.last_mut() {
            Some(outer) => outer.blocks(blocks),
            None => {
                self.flush();
                self.out.extend(blocks);
                self.flush();
            }
        }
    }
}

/// True where the tag itself hides what it holds.
fn hidden(tag: &StartTag<()>) -> bool {
    if tag.attributes.contains_key(&b"hidden"[..]) {
        return true;
    }
    let style =
        tag.attributes.get(&b"style"[..]).map(|v| String::from_utf8_lossy(&v.value).to_ascii_lowercase());
    let plain: String = style.unwrap_or_default().chars().filter(|c| !c.is_whitespace()).collect();
    plain.split(';').any(|rule| {
        rule.starts_with("display:none")
            || rule.starts_with("mso-hide:all")
            || rule.starts_with("visibility:hidden")
    })
}

/// True where an element whose end tag may be missing ends because another begins.
fn implies_end(open: &str, next: &str) -> bool {
    match open {
        "head" => next == "body",
        "p" => BLOCKS.contains(&next) || next == "table",
        "li" => next == "li",
        "td" | "th" => matches!(next, "td" | "th" | "tr"),
        "tr" => next == "tr",
        _ => false,
    }
}

/// A cell of one column and row.
fn cell(row: u32, column: u32, text: String) -> Cell {
    Cell { row, column, columns: 1, rows: 1, text, numeric: false }
}

#[cfg(test)]
mod tests;
