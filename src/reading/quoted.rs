//! What an answer quotes is an older mail: lines behind `>`, and all below `On Monday somebody wrote:`.

use super::layout::{Layout, Line};
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

fn introduces(line: &Line) -> bool {
    let [phrase] = line.phrases.as_slice() else { return false };
    INTRODUCED.as_ref().is_some_and(|r| r.is_match(phrase.text().trim()))
}

/// The page without what it quotes. Where the lines below the introduction are not marked as quoted, all of them are.
pub fn without_quotes(page: &Layout) -> Layout {
    let marked = page.lines.iter().any(is_quoted);
    let begin = page.lines.iter().position(|l| !marked && introduces(l)).unwrap_or(page.lines.len());
    let own = page.lines.iter().take(begin).filter(|l| !is_quoted(l)).cloned();
    Layout { lines: own.collect(), ..page.clone() }
}
