//! Papers as delimited text, typewriter text, HTML and mail.

use super::paper::{Block, Head, Paper, Table};
use base64::Engine;

/// Rows of cells: a heading's words stand in the first column it spans.
pub fn grid(paper: &Paper) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    for block in &paper.blocks {
        match block {
            Block::Lines(lines) => out.extend(lines.iter().map(|l| vec![l.clone()])),
            Block::Fields(fields) => out.extend(fields.iter().map(|(n, v)| vec![n.clone(), v.clone()])),
            Block::Table(table) => out.extend(table_grid(table)),
            Block::Beside(left, right) => {
                let (l, r) = (table_grid(left), table_grid(right));
                for i in 0..l.len().max(r.len()) {
                    let mut row = l.get(i).cloned().unwrap_or_default();
                    row.resize(left.columns() + 1, String::new());
                    row.extend(r.get(i).cloned().unwrap_or_default());
                    out.push(row);
                }
            }
            Block::Break => {}
        }
        out.push(Vec::new());
    }
    out
}

fn table_grid(table: &Table) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = table.head.iter().map(|row| spread(row)).collect();
    out.extend(table.rows.iter().cloned());
    out
}

fn spread(row: &[Head]) -> Vec<String> {
    let mut cells = Vec::new();
    for head in row {
        cells.push(head.text.clone());
        cells.extend((1..head.span).map(|_| String::new()));
    }
    cells
}

/// Delimited text.
pub fn delimited(paper: &Paper, delimiter: u8) -> Vec<u8> {
    let mut out = Vec::new();
    for row in grid(paper) {
        if row.is_empty() {
            out.push(b'\n');
            continue;
        }
        let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
        if writer.write_record(&row).is_ok() {
            out.extend(writer.into_inner().unwrap_or_default());
        }
    }
    out
}

/// Typewriter text with columns padded by blanks.
pub fn typewriter(paper: &Paper, gap: usize, right: bool) -> String {
    let mut out = String::new();
    for block in &paper.blocks {
        match block {
            Block::Lines(lines) => lines.iter().for_each(|l| out.push_str(&format!("{l}\n"))),
            Block::Fields(f) => f.iter().for_each(|(n, v)| out.push_str(&format!("{n}: {v}\n"))),
            Block::Table(table) => {
                lines_of(table, gap, right).iter().for_each(|l| out.push_str(&format!("{}\n", l.trim_end())))
            }
            Block::Beside(a, b) => {
                let (a, b) = (lines_of(a, gap, right), lines_of(b, gap, right));
                let width = a.iter().map(|l| l.chars().count()).max().unwrap_or(0) + 6;
                for i in 0..a.len().max(b.len()) {
                    let left = a.get(i).map_or("", String::as_str);
                    let line = format!("{left:<width$}{}", b.get(i).map_or("", String::as_str));
                    out.push_str(&format!("{}\n", line.trim_end()));
                }
            }
            Block::Break => out.push('\n'),
        }
        out.push('\n');
    }
    out
}

fn lines_of(table: &Table, gap: usize, right: bool) -> Vec<String> {
    let columns = table.columns();
    let mut widths = vec![1usize; columns];
    let rows: Vec<&Vec<String>> = table.rows.iter().collect();
    let mut widen = |i: usize, n: usize| {
        if let Some(w) = widths.get_mut(i) {
            *w = (*w).max(n);
        }
    };
    for row in &rows {
        row.iter().enumerate().for_each(|(i, c)| widen(i, c.chars().count()));
    }
    for row in &table.head {
        let mut at = 0;
        for head in row {
            let each = head.text.chars().count().div_ceil(head.span.max(1));
            (at..at + head.span).for_each(|i| widen(i, each));
            at += head.span;
        }
    }
    let gap_text = " ".repeat(gap);
    let mut out = Vec::new();
    for row in &table.head {
        let mut line = String::new();
        let mut at = 0;
        for head in row {
            let spanned: usize =
                widths.iter().skip(at).take(head.span).sum::<usize>() + gap * head.span.saturating_sub(1);
            let text = &head.text;
            let numeric = right && table.numeric.get(at).copied().unwrap_or(false);
            match (head.span > 1, numeric) {
                (true, _) => line.push_str(&format!("{text:^spanned$}{gap_text}")),
                (_, true) => line.push_str(&format!("{text:>spanned$}{gap_text}")),
                _ => line.push_str(&format!("{text:<spanned$}{gap_text}")),
            }
            at += head.span;
        }
        out.push(line);
    }
    for row in rows {
        let mut line = String::new();
        for (i, width) in widths.iter().enumerate() {
            let text = row.get(i).map_or("", String::as_str);
            if right && table.numeric.get(i).copied().unwrap_or(false) {
                line.push_str(&format!("{text:>width$}{gap_text}"));
            } else {
                line.push_str(&format!("{text:<width$}{gap_text}"));
            }
        }
        out.push(line);
    }
    out
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

fn html_table(table: &Table, th: bool) -> String {
    let tag = if th { "th" } else { "td" };
    let mut out = String::from("<table>\n");
    for row in &table.head {
        let cells: String = row
            .iter()
            .map(|h| match h.span {
                1 => format!("<{tag}>{}</{tag}>", escape(&h.text)),
                n => format!("<{tag} colspan=\"{n}\">{}</{tag}>", escape(&h.text)),
            })
            .collect();
        out.push_str(&format!("<tr>{cells}</tr>\n"));
    }
    for row in &table.rows {
        let cells: String = row.iter().map(|c| format!("<td>{}</td>", escape(c))).collect();
        out.push_str(&format!("<tr>{cells}</tr>\n"));
    }
    out.push_str("</table>\n");
    out
}

/// A page of a web portal, or the body of a mail.
pub fn html(paper: &Paper, th: bool) -> String {
    let mut out = String::from("<html><head><meta charset=\"utf-8\"></head><body>\n");
    for block in &paper.blocks {
        match block {
            Block::Lines(lines) => {
                lines.iter().for_each(|l| out.push_str(&format!("<p>{}</p>\n", escape(l))))
            }
            Block::Fields(f) => {
                f.iter().for_each(|(n, v)| out.push_str(&format!("<p>{}: {}</p>\n", escape(n), escape(v))));
            }
            Block::Table(table) => out.push_str(&html_table(table, th)),
            Block::Beside(a, b) => out.push_str(&format!(
                "<table><tr><td>{}</td><td>{}</td></tr></table>\n",
                html_table(a, th),
                html_table(b, th)
            )),
            Block::Break => {}
        }
    }
    out.push_str("</body></html>\n");
    out
}

const MAIL: &str =
    "From: desk@lab.invalid\r\nTo: keeper@home.invalid\r\nSubject: Soil results\r\nMIME-Version: 1.0\r\n";

/// A mail with this body.
pub fn mail(body: &str, kind: &str) -> Vec<u8> {
    format!("{MAIL}Content-Type: text/{kind}; charset=utf-8\r\nContent-Transfer-Encoding: 8bit\r\n\r\n{body}")
        .into_bytes()
}

/// A mail with a file attached.
pub fn mail_with(bytes: &[u8], name: &str) -> Vec<u8> {
    let text = base64::engine::general_purpose::STANDARD.encode(bytes);
    let mut body = String::new();
    for (i, c) in text.chars().enumerate() {
        if i > 0 && i % 76 == 0 {
            body.push_str("\r\n");
        }
        body.push(c);
    }
    format!(
        "{MAIL}Content-Type: multipart/mixed; boundary=\"cut\"\r\n\r\n--cut\r\nContent-Type: text/plain\r\n\r\nYour soil results are attached.\r\n--cut\r\nContent-Type: application/octet-stream; name=\"{name}\"\r\nContent-Disposition: attachment; filename=\"{name}\"\r\nContent-Transfer-Encoding: base64\r\n\r\n{body}\r\n--cut--\r\n"
    )
    .into_bytes()
}
