//! Signs for `as in the line above` in a column of methods or units.

use super::label::label;
use super::layout::{Layout, Line, Phrase};
use super::vocabulary::{Context, Role};
use super::words::List;
use compact_str::CompactString;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// True for a sign or a word that repeats what stands over it, and nothing else: `"`, `-"-`, `do.`.
pub fn is_sign(text: &str) -> bool {
    let lower = text.trim().to_lowercase();
    let bare = lower.trim_matches(|c: char| c.is_whitespace() || matches!(c, '-' | '–' | '—' | '.'));
    let quotes = |c: char| matches!(c, '"' | '\'' | '″' | '〃' | '„' | '“' | '”' | '’' | '‟' | ',');
    let marks = bare.chars().count();
    let sign = bare.chars().all(quotes) && (marks == 2 || marks == 1 && !matches!(bare, "'" | "’" | ","));
    sign || List::Ditto.has(bare)
}

/// The pages, where such a sign under a method or a unit is written out. Under a gap, a heading or the end of words that are
/// broken over lines nobody knows what it repeats, and it stays.
pub fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in &mut pages {
        if !page.lines.iter().flat_map(|l| &l.phrases).any(|p| is_sign(p.text())) {
            continue;
        }
        for at in 0..page.lines.len() {
            for heading in page.lines.get(at).map(asking).unwrap_or_default() {
                below(page.lines.get_mut(at + 1..).unwrap_or_default(), &heading);
            }
        }
    }
    pages
}

/// The headings of a line over columns that may repeat themselves.
fn asking(line: &Line) -> Vec<Phrase> {
    if line.phrases.len() < 2 {
        return Vec::new();
    }
    let asks = |p: &&Phrase| {
        let said = p.label(PLAIN);
        matches!(said.role, Some(Role::Method | Role::Unit)) && said.analyte.is_none() && said.unit.is_none()
    };
    line.phrases.iter().filter(asks).cloned().collect()
}

/// Writes out the signs of one column, down to the next heading over it.
fn below(lines: &mut [Line], heading: &Phrase) {
    let mut last: Option<Phrase> = None;
    for line in lines {
        if asking(line).iter().any(|p| p.area.overlap_x(&heading.area) > 0.0) {
            return;
        }
        let row = line.phrases.len() > 1;
        let own = |p: &Phrase| {
            let under = |over: &Phrase| p.area.overlap_x(&over.area) > 0.0;
            under(heading) || last.as_ref().is_some_and(under)
        };
        let places: Vec<usize> =
            line.phrases.iter().enumerate().filter(|(_, p)| own(p)).map(|(at, _)| at).collect();
        let [at] = places.as_slice() else {
            last = None;
            continue;
        };
        let Some(phrase) = line.phrases.get_mut(*at) else { continue };
        if !is_sign(phrase.text()) {
            last = Some(phrase.clone()).filter(|p| row && *at > 0 && is_whole(p));
        } else if let (Some(over), [token]) = (&last, phrase.tokens.as_mut_slice()) {
            token.text = CompactString::from(over.text());
        } else {
            last = None;
        }
    }
}

/// False for words with a figure set close behind them that says nothing of a method, and so is a value.
fn is_whole(phrase: &Phrase) -> bool {
    let Some((before, end)) = phrase.text().rsplit_once(' ') else { return true };
    let figure = end.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '<'));
    !figure || label(before, PLAIN).methods != label(phrase.text(), PLAIN).methods
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_that_repeat_are_told_from_others() {
        for text in ["\"", "''", "〃", "-\"-", "– „ –", "ditto", "Do.", "idem", ",,"] {
            assert!(is_sign(text), "{text}");
        }
        for text in ["", "-", "--", "'", ",", "\"\"\"", "12\"", "P", "d"] {
            assert!(!is_sign(text), "{text}");
        }
    }
}
