//! Marks of procedures in a heading, `pH (1)   P (2)` or `pH   P` over `a   b`, and the note that says what each stands for:
//! `(1) in water 1:2.5. (2) Olsen.`, `a: 1:1 soil to water. b: Mehlich 3.`

use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::Context;
use regex::Regex;
use rustc_hash::FxHashMap;
use std::sync::LazyLock;

/// Fewer marks in a line may be anything.
const MARKS: usize = 3;

const PLAIN: Context = Context { symbols: false, capitals: false };

static NUMBERED: LazyLock<Option<Regex>> = LazyLock::new(|| Regex::new(r"(\([0-9]{1,2}\)) ").ok());
static LETTERED: LazyLock<Option<Regex>> = LazyLock::new(|| Regex::new(r"(?:^|[.;] )([a-z]) ?[:=] ").ok());

/// The pages with every such mark in the words of the note, where the note explains all of a line and each in words that
/// name one procedure.
pub(super) fn spelled(mut pages: Vec<Layout>) -> Vec<Layout> {
    let numbers = explained(&pages, &NUMBERED);
    let letters = explained(&pages, &LETTERED);
    if numbers.is_empty() && letters.is_empty() {
        return pages;
    }
    for page in &mut pages {
        for row in 0..page.lines.len() {
            let below =
                row.checked_sub(1).and_then(|i| page.lines.get(i)).is_some_and(|l| l.phrases.len() > 1);
            let Some(line) = page.lines.get_mut(row) else { continue };
            let by_letters = below && line.phrases.len() >= MARKS && line.phrases.iter().all(is_letter);
            if by_letters {
                spell(line, &letters, |token| token.chars().count() == 1);
            } else if is_heading(line) {
                spell(line, &numbers, is_number);
            }
        }
    }
    pages
}

fn is_letter(phrase: &Phrase) -> bool {
    let mut letters = phrase.text().chars();
    letters.next().is_some_and(|c| c.is_ascii_lowercase()) && letters.next().is_none()
}

/// `(4)`.
fn is_number(token: &str) -> bool {
    let inner = token.strip_prefix('(').and_then(|t| t.strip_suffix(')'));
    inner.is_some_and(|t| (1..=2).contains(&t.len()) && t.chars().all(|c| c.is_ascii_digit()))
}

/// A line over columns: words side by side, several with a mark, and no value.
fn is_heading(line: &Line) -> bool {
    let words = || line.phrases.iter().flat_map(|p| &p.tokens);
    line.phrases.len() > MARKS
        && words().filter(|t| is_number(&t.text)).count() >= MARKS
        && !words().any(|t| t.text.replace(',', "").parse::<f64>().is_ok())
}

/// Writes the marks of a line out, all or none.
fn spell(line: &mut Line, told: &FxHashMap<String, Option<String>>, is_mark: impl Fn(&str) -> bool) {
    let marks = || line.phrases.iter().flat_map(|p| &p.tokens).filter(|t| is_mark(&t.text));
    if !marks().all(|t| told.get(t.text.as_str()).is_some_and(Option::is_some)) {
        return;
    }
    for token in line.phrases.iter_mut().flat_map(|p| p.tokens.iter_mut()) {
        if let Some(Some(meaning)) = told.get(token.text.as_str()).filter(|_| is_mark(&token.text)) {
            token.text = meaning.into();
        }
    }
}

/// What each mark stands for; nothing where a note says it of a mark in words that name no one procedure, or two ways.
fn explained(pages: &[Layout], keys: &'static LazyLock<Option<Regex>>) -> FxHashMap<String, Option<String>> {
    let mut out: FxHashMap<String, Option<String>> = FxHashMap::default();
    let Some(keys) = keys.as_ref() else { return out };
    for page in pages {
        for (row, line) in page.lines.iter().enumerate() {
            let [note] = line.phrases.as_slice() else { continue };
            // What stands at each key: few lines hold several, and the patterns are dearer.
            let may = note.text().matches(['(', ':', '=']).count() >= MARKS;
            if !may || keys.find_iter(note.text()).count() < MARKS {
                continue;
            }
            // The last of a note may go on in the line below.
            let below = page.lines.get(row + 1).map(|l| l.phrases.as_slice());
            let more = match below {
                Some([more]) if keys.find_iter(more.text()).count() == 0 => more.text(),
                _ => "",
            };
            let text = format!("{} {more}", note.text());
            let found: Vec<(usize, usize, String)> = keys
                .captures_iter(&text)
                .filter_map(|c| {
                    let (whole, key) = (c.get(0)?, c.get(1)?);
                    Some((whole.start(), whole.end(), key.as_str().to_owned()))
                })
                .collect();
            let ends = found.iter().skip(1).map(|f| f.0).chain([text.len()]);
            for ((_, start, key), end) in found.iter().zip(ends) {
                let said = text.get(*start..end).unwrap_or_default();
                let meaning = said.split(". ").next().map(|m| m.trim().trim_end_matches(['.', ';', ',']));
                let meaning = meaning.filter(|m| is_procedure(m)).map(str::to_owned);
                out.entry(key.clone())
                    .and_modify(|kept| {
                        if *kept != meaning {
                            *kept = None;
                        }
                    })
                    .or_insert(meaning);
            }
        }
    }
    out
}

/// Words that name one procedure and nothing that is not understood.
fn is_procedure(text: &str) -> bool {
    let said = label(text, PLAIN);
    said.methods.len() == 1 && said.method().is_some() && said.unit.is_none() && !said.decoy
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str], row: usize) -> String {
        let pages = spelled(vec![layout(&typed(lines))]);
        pages[0].lines[row].phrases.iter().map(Phrase::text).collect::<Vec<_>>().join("|")
    }

    #[test]
    fn marks_in_a_heading_are_written_out_by_the_note_on_all_of_them() {
        let heading = "Sample    pH (1)    P (2)    K (3)    Zn (4)";
        let note = "Methods: (1) in water 1:2.5. (2) Olsen. (3) ammonium acetate. (4) DTPA.";
        let told = of(&[heading, "Moss      6.4       12       140      1.2", "", note], 0);
        assert_eq!(told, "Sample|pH in water 1:2.5|P Olsen|K ammonium acetate|Zn DTPA");
        for note in [
            "Methods: (1) in water 1:2.5. (2) Olsen. (3) ammonium acetate.",
            "Methods: (1) in water 1:2.5. (2) see overleaf. (3) ammonium acetate. (4) DTPA.",
            "Methods: (1) in water 1:2.5. (2) Olsen. (3) ammonium acetate. (4) DTPA. (2) Mehlich 3.",
        ] {
            let told = of(&[heading, "Moss      6.4       12       140      1.2", "", note], 0);
            assert_eq!(told, "Sample|pH (1)|P (2)|K (3)|Zn (4)", "{note}");
        }
    }

    #[test]
    fn letters_below_a_heading_are_written_out_and_those_in_a_row_are_not() {
        let note = "a: 1:1 soil to water. b: loss on ignition. c: Mehlich 3.";
        let lines = [
            "Sample    pH     OM %    P ppm",
            "          a      b       c",
            "Moss      6.4    2.1     12",
            note,
        ];
        assert_eq!(of(&lines, 1), "1:1 soil to water|loss on ignition|Mehlich 3");
        let lines = [
            "Sample    pH     OM %    P ppm",
            "          a      b       d",
            "Moss      6.4    2.1     12",
            note,
        ];
        assert_eq!(of(&lines, 1), "a|b|d");
    }
}
