//! Signs in plain text that stand for what print sets apart: footnote numbers and letters in brackets behind the names
//! of measurements, and rows of dots that lead the eye from a name to its value.

use super::header::leading_field;
use super::label::label;
use super::layout::{Layout, Line, Phrase};
use super::signs;
use super::vocabulary::Context;

/// So many dots in a row lead the eye.
const LEADERS: usize = 4;
/// From so many names with a sign in brackets the signs are those of footnotes.
const ENOUGH: usize = 2;

/// The pages without leaders, and with the signs of footnotes as marks where notes explain them.
pub fn plain(mut pages: Vec<Layout>) -> Vec<Layout> {
    for line in pages.iter_mut().flat_map(|p| &mut p.lines) {
        without_leaders(line);
    }
    let explained = explained(&pages);
    signs::apart(&mut pages);
    if explained.is_empty() {
        return pages;
    }
    for page in &mut pages {
        let found: Vec<Vec<Option<(usize, String)>>> =
            page.lines.iter().map(|l| l.phrases.iter().map(|p| mark(p, &explained)).collect()).collect();
        if found.iter().flatten().flatten().count() < ENOUGH {
            continue;
        }
        for (line, marks) in page.lines.iter_mut().zip(found) {
            take_off(line, marks);
        }
    }
    pages
}

/// `Boron, hot water ........   0.6`: the dots are no value and no part of the name.
fn without_leaders(line: &mut Line) {
    let dots = |text: &str| text.len() >= LEADERS && text.chars().all(|c| c == '.');
    // Where they stand as close as a word, the name ends before them and the value begins behind.
    if line.phrases.iter().any(|p| p.tokens.iter().any(|t| dots(&t.text))) {
        line.phrases =
            std::mem::take(&mut line.phrases).into_iter().flat_map(|p| around_leaders(p, dots)).collect();
    }
    // Where the dots stand apart from the name, between it and its value: at the end of a line they are a blank.
    let leads = |p: &Phrase| p.tokens.iter().all(|t| dots(&t.text));
    let mut at = 1;
    while at + 1 < line.phrases.len() {
        let (Some(name), Some(dots), Some(next)) =
            (line.phrases.get(at - 1), line.phrases.get(at), line.phrases.get(at + 1))
        else {
            break;
        };
        let fills = dots.area.width() > 0.5 * (next.area.x0 - name.area.x1);
        if name.text().contains(char::is_alphabetic) && leads(dots) && fills {
            line.phrases.remove(at);
        } else {
            at += 1;
        }
    }
    for phrase in &mut line.phrases {
        let leads = phrase.tokens.last().is_some_and(|t| {
            let bare = t.text.trim_end_matches('.');
            t.text.len() - bare.len() >= LEADERS && (!bare.is_empty() || phrase.tokens.len() > 1)
        });
        if !leads {
            continue;
        }
        while phrase.tokens.len() > 1 && phrase.tokens.last().is_some_and(|t| dots(&t.text)) {
            phrase.tokens.pop();
        }
        if let Some(last) = phrase.tokens.last_mut() {
            last.text = last.text.trim_end_matches('.').trim_end().into();
        }
        if let Some(area) = phrase.tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b)) {
            phrase.area = area;
        }
    }
}

/// `Boron, hot water ........ 0.60 mg/kg` in one phrase: what stands before the dots, and what stands behind them.
fn around_leaders(phrase: Phrase, dots: impl Fn(&str) -> bool) -> Vec<Phrase> {
    let last = phrase.tokens.len().saturating_sub(1);
    let lead = |i: &usize| phrase.tokens.get(*i).is_some_and(|t| dots(&t.text));
    let inner: Vec<usize> = (1..last).filter(lead).collect();
    let [at] = inner.as_slice() else { return vec![phrase] };
    let named = phrase
        .tokens
        .get(..*at)
        .is_some_and(|name| name.iter().any(|t| t.text.contains(char::is_alphabetic)));
    if !named {
        return vec![phrase];
    }
    let (at, behind) = (*at, at + 1);
    let mut parts = phrase.parted(&[at, behind]);
    if parts.len() == 3 {
        parts.remove(1);
    }
    // `Came in ..... 3rd November 2022`: where the name asks for a field, the dots are its colon.
    let asks = |name: &Phrase| {
        let text = format!("{}:", name.text());
        leading_field(&text, Context { symbols: false, capitals: false }).is_some_and(|f| f.1.is_empty())
    };
    if let Some(name) = parts.first_mut().filter(|name| asks(name))
        && let Some(last) = name.tokens.last_mut()
    {
        last.text.push(':');
    }
    parts
}

/// The number or the small letter in brackets that ends a text, and how long the text is without it.
fn bracketed(text: &str) -> Option<(usize, String)> {
    let (before, last) = text.rsplit_once(['(', '['])?;
    let sign = last.strip_suffix(if text.ends_with(']') { ']' } else { ')' })?;
    let number = (1..=2).contains(&sign.len()) && sign.chars().all(|c| c.is_ascii_digit());
    let letter = sign.len() == 1 && sign.chars().all(|c| c.is_ascii_lowercase());
    (number || letter).then(|| (before.trim_end().len(), sign.to_owned()))
}

/// The signs of notes that stand behind their sign in brackets, from 1 or from `a` on: `(1) 1:1 water (2) Olsen`.
fn explained(pages: &[Layout]) -> Vec<String> {
    let number = |at: usize| Some((at + 1).to_string());
    let letter = |at: usize| Some(char::from(u8::try_from(at).ok()?.checked_add(b'a')?).to_string());
    let mut out = in_order(pages, number);
    out.extend(in_order(pages, letter));
    out
}

/// The notes of one row of signs; one alone explains nothing.
fn in_order(pages: &[Layout], sign: impl Fn(usize) -> Option<String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for line in pages.iter().flat_map(|p| &p.lines) {
        let words: Vec<&str> =
            line.phrases.iter().flat_map(|p| &p.tokens).flat_map(|t| t.text.split(' ')).collect();
        let mut words = words.iter().enumerate().peekable();
        while let Some((at, word)) = words.next() {
            let Some(expected) = sign(out.len()) else { return out };
            let goes_on = words.peek().is_some_and(|(_, next)| bracketed(next).is_none());
            let bare = [('(', ')'), ('[', ']')]
                .iter()
                .find_map(|(open, close)| word.strip_prefix(*open).and_then(|w| w.strip_suffix(*close)))
                // `a) Walkley-Black   b) Olsen`.
                .or_else(|| word.strip_suffix(')').filter(|w| !w.contains('(')));
            if bare == Some(expected.as_str()) && goes_on && (at == 0 || !out.is_empty()) {
                out.push(expected);
            }
        }
    }
    if out.len() < ENOUGH { Vec::new() } else { out }
}

/// The sign that ends the name of a measurement and that a note explains, and how long the name is without it.
fn mark(phrase: &Phrase, explained: &[String]) -> Option<(usize, String)> {
    let text = phrase.text();
    let (end, sign) = bracketed(text)?;
    let name = text.get(..end).filter(|name| !name.is_empty())?;
    let said = label(name, Context { symbols: true, capitals: false });
    let known = (said.is_result() || said.other) && said.unknown.is_empty();
    (known && explained.contains(&sign)).then_some((end, sign))
}

/// Takes the signs off the names of a line.
fn take_off(line: &mut Line, marks: Vec<Option<(usize, String)>>) {
    for (phrase, found) in line.phrases.iter_mut().zip(marks) {
        let Some((end, sign)) = found else { continue };
        let taken = phrase.text().get(end..).map_or(0, |rest| rest.trim_start().len());
        match phrase.tokens.as_mut_slice() {
            [one] => one.text.truncate(end),
            [.., last] if last.text.len() > taken => last.text.truncate(last.text.len() - taken),
            _ => {
                phrase.tokens.pop();
            }
        }
        phrase.marks.push(sign);
    }
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Vec<(String, Vec<String>)> {
        let pages = plain(vec![layout(&typed(lines))]);
        pages
            .iter()
            .flat_map(|p| &p.lines)
            .flat_map(|l| &l.phrases)
            .map(|p| (p.text().to_owned(), p.marks.clone()))
            .collect()
    }

    #[test]
    fn numbers_in_brackets_are_marks_where_notes_explain_them() {
        let heading = "Sample      pH (1)    K ppm (2)";
        let found = of(&[heading, "Hob (1)     6.2       120", "(1) 1:1 water (2) Olsen"]);
        assert!(found.contains(&("pH".to_owned(), vec!["1".to_owned()])), "{found:?}");
        assert!(found.contains(&("K ppm".to_owned(), vec!["2".to_owned()])), "{found:?}");
        assert!(found.iter().any(|(text, _)| text == "Hob (1)"), "{found:?}");
        let found = of(&[heading, "Hob         6.2       120"]);
        assert!(found.iter().any(|(text, _)| text == "pH (1)"), "{found:?}");
    }

    #[test]
    fn numbers_in_square_brackets_behind_names_of_rows_are_marks() {
        let rows = ["pH [1]         6.2    6.6", "Zn [2]         1.2    1.4", "Hob [1]        3      4"];
        let notes = "[1] 1:1 water [2] DTPA";
        let found = of(&[rows[0], rows[1], rows[2], notes]);
        for (name, mark) in [("pH", "1"), ("Zn", "2")] {
            assert!(found.contains(&(name.to_owned(), vec![mark.to_owned()])), "{found:?}");
        }
        assert!(found.iter().any(|(text, _)| text == "Hob [1]"), "{found:?}");
        let unexplained = of(&[rows[0], rows[1]]);
        assert!(unexplained.iter().any(|(text, _)| text == "pH [1]"), "{unexplained:?}");
    }

    #[test]
    fn letters_in_brackets_are_marks_beside_names_over_columns_and_in_rows() {
        let notes = "(a) 1 M KCl (b) 1 M ammonium acetate, pH 7 (c) DTPA";
        let found = of(&["Sample      pH (a)    K mg/kg (b)", "Hob (c)     6.2       120", notes]);
        assert!(found.contains(&("pH".to_owned(), vec!["a".to_owned()])), "{found:?}");
        assert!(found.contains(&("K mg/kg".to_owned(), vec!["b".to_owned()])), "{found:?}");
        assert!(found.iter().any(|(text, _)| text == "Hob (c)"), "{found:?}");
        let half = "a) 1 M KCl b) 1 M ammonium acetate, pH 7";
        let found = of(&["Sample      pH (a)    K mg/kg (b)", "Hob (c)     6.2       120", half]);
        assert!(found.contains(&("K mg/kg".to_owned(), vec!["b".to_owned()])), "{found:?}");
        let found = of(&["pH (a)            6.2", "Potassium (b)     120    mg/kg", notes]);
        assert!(found.contains(&("Potassium".to_owned(), vec!["b".to_owned()])), "{found:?}");
        let found = of(&["pH (a)            6.2", "Potassium (b)     120    mg/kg", "(a) 1 M KCl"]);
        assert!(found.iter().any(|(text, _)| text == "Potassium (b)"), "{found:?}");
    }

    #[test]
    fn signs_behind_names_are_marks_where_a_note_opens_with_them() {
        let heading = "Sample*      Soil pH*    K†      Zn ‡     Fe§";
        let notes = "* saturated paste † 1 M ammonium acetate ‡ AB-DTPA";
        let found = of(&[heading, "Hob*         6.2*        120     0.4      2", notes]);
        for (name, sign) in [("Soil pH", "*"), ("K", "†"), ("Zn", "‡")] {
            assert!(found.contains(&(name.to_owned(), vec![sign.to_owned()])), "{found:?}");
        }
        for kept in ["Sample*", "Fe§", "Hob*", "6.2*"] {
            assert!(found.iter().any(|(text, marks)| text == kept && marks.is_empty()), "{found:?}");
        }
        let unexplained = of(&[heading]);
        assert!(unexplained.iter().any(|(text, _)| text == "K†"), "{unexplained:?}");
    }

    #[test]
    fn leaders_are_no_part_of_a_name() {
        let found =
            of(&["Organic matter, Walkley .........      3.1 %", "Zinc......      1.2", "Iron     ....."]);
        let texts: Vec<&str> = found.iter().map(|(t, _)| t.as_str()).collect();
        assert_eq!(texts, ["Organic matter, Walkley", "3.1 %", "Zinc", "1.2", "Iron", "....."]);
        let found =
            of(&["Potassium  .......   203   ppm", "Zinc   120   .....   ppm", "Iron   ....           6.4"]);
        let texts: Vec<&str> = found.iter().map(|(t, _)| t.as_str()).collect();
        assert_eq!(texts, ["Potassium", "203", "ppm", "Zinc", "120", ".....", "ppm", "Iron", "....", "6.4"]);
    }
}
