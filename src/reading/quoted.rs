//! What an answer quotes is an older mail: lines behind `>`, and all below `On Monday somebody wrote:`.

use super::layout::{Layout, Line, Phrase};
use regex::Regex;
use std::sync::LazyLock;

/// The line over a quoted mail, as mail programs write it (common practice, no source).
static INTRODUCED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^(?:on .{6,80} wrote:|am .{6,80} schrieb.{0,60}:|le .{6,80} a écrit ?:|el .{6,80} escribió:|-{2,} ?(?:original message|forwarded message|ursprüngliche nachricht|message d'origine|mensaje original) ?-{2,})$").ok()
});

/// True where a page quotes an older mail.
pub fn quotes(page: &Layout) -> bool {
    page.lines.iter().any(|l| is_quoted(l) || introduces(l))
}

/// `> On Monday you wrote`: a line of an older mail, and no number above a limit.
fn is_quoted(line: &Line) -> bool {
    let mut tokens = line.phrases.iter().flat_map(|p| &p.tokens);
    let Some(first) = tokens.next() else { return false };
    let letter = |text: &str| text.starts_with(|c: char| c.is_alphabetic() || c == '>');
    match first.text.strip_prefix('>') {
        Some("") => tokens.next().is_none_or(|t| letter(&t.text)),
        Some(rest) => letter(rest),
        None => false,
    }
}

/// Lines with words behind their mark from which on the mark at the same edge marks numbers too.
const QUOTATION: usize = 3;

/// Which lines are quoted. `> 41207   6.4` is a row of a quoted table where lines of words are marked at the same edge.
fn quoted_lines(page: &Layout) -> Vec<bool> {
    let edge = |l: &Line| l.area.x0;
    let sure: Vec<f32> = page.lines.iter().filter(|l| is_quoted(l)).map(edge).collect();
    let left = page.lines.iter().map(edge).fold(f32::INFINITY, f32::min);
    let same = |x: f32| (x - left).abs() < 1.0;
    let marks = sure.iter().filter(|x| same(**x)).count() >= QUOTATION;
    let marked = |l: &Line| {
        let first = l.phrases.first().and_then(|p| p.tokens.first());
        marks && same(edge(l)) && first.is_some_and(|t| t.text.starts_with('>'))
    };
    page.lines.iter().map(|l| is_quoted(l) || marked(l)).collect()
}

fn introduces(line: &Line) -> bool {
    let [phrase] = line.phrases.as_slice() else { return false };
    INTRODUCED.as_ref().is_some_and(|r| r.is_match(phrase.text().trim()))
}

/// The page without what it quotes. Where the lines below the introduction are not marked as quoted, all of them are.
pub fn without_quotes(page: &Layout) -> Layout {
    let quoted = quoted_lines(page);
    let marked = quoted.contains(&true);
    let begin = page.lines.iter().position(|l| !marked && introduces(l)).unwrap_or(page.lines.len());
    let own = page.lines.iter().zip(&quoted).take(begin).filter(|(_, quoted)| !**quoted);
    Layout { lines: own.map(|(l, _)| l.clone()).collect(), ..page.clone() }
}

/// The page with what it quotes, without the first mark before it and the line that introduces it: each word stays in its
/// column. What is quoted there in turn keeps a mark of its own.
pub fn one_mark_less(page: &Layout) -> Layout {
    let quoted = quoted_lines(page);
    let marked = quoted.contains(&true);
    let lines = page.lines.iter().zip(quoted);
    let lines = lines.filter_map(|(line, quoted)| match quoted {
        true => unmarked(line),
        false => (!marked || !introduces(line)).then(|| line.clone()),
    });
    Layout { lines: lines.collect(), ..page.clone() }
}

/// A line without its first mark; nothing where it holds nothing else.
fn unmarked(line: &Line) -> Option<Line> {
    let mut phrases = line.phrases.clone();
    let first = phrases.first_mut()?;
    let token = first.tokens.first_mut()?;
    let bare = token.text.strip_prefix('>')?.to_owned();
    if bare.is_empty() {
        match first.part(1, first.tokens.len()) {
            Some(rest) => *first = Phrase { marks: std::mem::take(&mut first.marks), ..rest },
            None => drop(phrases.remove(0)),
        }
    } else {
        token.text = bare.into();
    }
    let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    Some(Line { phrases, area, ..line.clone() })
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn texts(page: &Layout) -> Vec<String> {
        let line = |l: &Line| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | ");
        page.lines.iter().map(line).collect()
    }

    #[test]
    fn marks_before_a_quoted_table_are_no_part_of_it() {
        let page = layout(&typed(&[
            "See below.",
            "On 3 May 2024 Ada Fernshaw wrote:",
            "> Our ref: 12",
            "> Sample   pH",
            "> ------  ---",
            "> 41207    6.4",
            ">41208     6.5",
            ">",
            ">Regards",
            "> > 41209  7.7",
            ">> before",
        ]));
        assert_eq!(texts(&without_quotes(&page)), ["See below.", "On 3 May 2024 Ada Fernshaw wrote:"]);
        let less = one_mark_less(&page);
        let own = [
            "See below.",
            "Our ref: 12",
            "Sample | pH",
            "------ | ---",
            "41207 | 6.4",
            "41208 | 6.5",
            "Regards",
        ];
        assert_eq!(texts(&less)[..7], own);
        assert_eq!(texts(&less)[7..], ["> 41209 | 7.7", "> before"]);
        // A limit in the first column of a table is none.
        let limits = layout(&typed(&["> 80   High", "Zinc   Ranges", "> 60   6.4", "> 50   6.2"]));
        assert_eq!(one_mark_less(&limits).lines.len(), 4);
        assert!(texts(&one_mark_less(&limits))[2].starts_with("> 60"));
    }
}
