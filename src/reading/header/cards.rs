//! Cards of a web page: the name of a sample as the title of its card, and right below it a line of fields.

use super::super::layout::{Layout, Line, Phrase, Token};
use super::super::vocabulary::{Context, Field};
use super::plausible::{names_a_part, plausible, reads_like_a_heading};
use super::{FieldValue, leading_field};

/// A cell of several pairs, `Lab number: 88-1  Depth: 0-6 in`, word by word.
pub fn spelled(phrase: &Phrase) -> Phrase {
    let [token] = phrase.tokens.as_slice() else { return phrase.clone() };
    // `Report no. 12 - Client: Moss Farms` as well, which one pair alone is not.
    let opened = leading_field(&token.text, Context { symbols: false, capitals: false });
    let behind = opened.as_ref().is_some_and(|(_, rest, colon)| !colon && rest.contains(": "));
    // `Report HM-66 · Client Moss Farms · Received 3 May 2021`: names in bold, and points between the pairs.
    let strokes = opened.is_some_and(|(field, ..)| field != Field::SampleLabel)
        && [" - ", " · ", " • ", " | "].iter().any(|stroke| token.text.matches(stroke).count() > 1);
    if token.text.matches(": ").count() < 2 && !behind && !strokes {
        return phrase.clone();
    }
    let tokens = token.text.split(' ').map(|w| Token { text: w.into(), ..token.clone() }).collect();
    Phrase { tokens, ..phrase.clone() }
}

/// The titles of at least two cards, unlike each other, each right over a line of pairs that opens with a number of the
/// laboratory's, a day or a layer.
pub fn cards(page: &Layout, context: Context) -> Vec<FieldValue> {
    if !page.cells {
        return Vec::new();
    }
    let titles = page.lines.windows(2).filter_map(|pair| {
        let [title, line] = pair else { return None };
        let ([title], [pairs]) = (title.phrases.as_slice(), line.phrases.as_slice()) else { return None };
        let (name, pairs) = (title.text(), pairs.text());
        let (field, _, colon) = leading_field(pairs, context)?;
        let of_sample = matches!(field, Field::LabSample | Field::SampledOn | Field::DepthTop);
        let named = is_name(name, context);
        (of_sample && colon && pairs.matches(": ").count() > 1 && named).then_some(FieldValue {
            field: Field::SampleLabel,
            text: name.to_owned(),
            page: page.number,
            area: title.area,
            firm: true,
        })
    });
    let titles: Vec<FieldValue> = titles.collect();
    if !titles.is_empty() {
        return if unlike(&titles) { titles } else { Vec::new() };
    }
    let (names, numbers): (Vec<FieldValue>, Vec<FieldValue>) =
        page.lines.iter().filter_map(|line| numbered_title(page, line, context)).unzip();
    if unlike(&names) && unlike(&numbers) { [names, numbers].concat() } else { Vec::new() }
}

/// True for words that may be the name of a sample, and ask for nothing themselves.
pub(super) fn is_name(name: &str, context: Context) -> bool {
    plausible(Field::SampleLabel, name, false)
        && name.contains(char::is_alphabetic)
        && !name.contains([':', ';'])
        && leading_field(name, context).is_none_or(|(_, rest, _)| !rest.is_empty())
        && !names_a_part(name)
        && !reads_like_a_heading(name)
}

/// True for several texts, each of which stands there once.
pub(super) fn unlike(titles: &[FieldValue]) -> bool {
    let mut texts: Vec<&str> = titles.iter().map(|t| t.text.as_str()).collect();
    texts.sort_unstable();
    texts.dedup();
    titles.len() > 1 && texts.len() == titles.len()
}

/// `Long Acre Lab ref 4471` by itself over a table: the name of a sample and the laboratory's number of it.
fn numbered_title(page: &Layout, line: &Line, context: Context) -> Option<(FieldValue, FieldValue)> {
    let [title] = line.phrases.as_slice() else { return None };
    let (name, number) = name_and_number(title.text(), context)?;
    let make =
        |field, text: String| FieldValue { field, text, page: page.number, area: title.area, firm: true };
    Some((make(Field::SampleLabel, name), make(Field::LabSample, number)))
}

/// The name before and the number behind what asks for the laboratory's: `Long Acre Lab ref 4471`.
pub(super) fn name_and_number(text: &str, context: Context) -> Option<(String, String)> {
    let words: Vec<&str> = text.split(' ').collect();
    let (number, before) = words.split_last()?;
    let asks = |words: &[&str]| {
        leading_field(&words.join(" "), context)
            .is_some_and(|(field, rest, colon)| field == Field::LabSample && rest.is_empty() && !colon)
    };
    let start = (1..before.len()).find(|i| before.get(*i..).is_some_and(asks))?;
    let name = before.get(..start)?.join(" ");
    let named = is_name(&name, context);
    let numbered = number.chars().any(|c| c.is_ascii_digit()) && plausible(Field::LabSample, number, true);
    (named && numbered && name.split(' ').count() <= MOST_WORDS).then(|| (name, (*number).to_owned()))
}

/// A longer text is a sentence.
pub(super) const MOST_WORDS: usize = 6;

#[cfg(test)]
mod tests {
    use super::super::super::layout::layout;
    use super::super::fields;
    use super::*;
    use crate::document::{Cell, Content, Page};

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        let cells = lines.iter().zip((1u32..).step_by(2)).map(|(text, row)| Cell {
            row,
            column: 1,
            rows: 1,
            columns: 1,
            numeric: false,
            text: (*text).to_owned(),
        });
        let content = Content::Cells(cells.collect());
        let page = layout(&Page { number: 1, width: 0.0, height: 0.0, name: None, content });
        let context = Context { symbols: false, capitals: false };
        fields(&page, &[], context).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn points_part_the_pairs_of_one_cell() {
        for stroke in ["\u{b7}", "|"] {
            let found = of(&[&format!(
                "Report HM-66 {stroke} Client Moss Farms Ltd {stroke} Received 2025-03-18 {stroke} Reported 2025-03-27"
            )]);
            for (field, text) in [
                (Field::Report, "HM-66"),
                (Field::Client, "Moss Farms Ltd"),
                (Field::ReceivedOn, "2025-03-18"),
                (Field::ReportedOn, "2025-03-27"),
            ] {
                assert!(found.contains(&(field, text.to_owned())), "{text} {found:?}");
            }
        }
        let found = of(&["Home \u{b7} Clients \u{b7} Reports \u{b7} Log out"]);
        assert!(found.iter().all(|(f, _)| *f != Field::Client), "{found:?}");
    }

    #[test]
    fn the_titles_of_cards_name_their_samples() {
        let found = of(&[
            "Quill Labs",
            "Gorse beds",
            "Lab number: 88-1 Depth: 0-6 in Collected: 2025-05-29",
            "Thrift verge",
            "Lab number: 88-2 Depth: 0-6 in Collected: 2025-05-29",
        ]);
        for (field, text) in [
            (Field::SampleLabel, "Gorse beds"),
            (Field::SampleLabel, "Thrift verge"),
            (Field::LabSample, "88-2"),
            (Field::DepthTop, "0-6 in"),
            (Field::SampledOn, "2025-05-29"),
        ] {
            assert!(found.contains(&(field, text.to_owned())), "{text} {found:?}");
        }
        let found = of(&["Quill Labs", "Gorse beds Lab ref 8801", "Thrift verge Lab ref 8802"]);
        for (field, text) in [(Field::SampleLabel, "Gorse beds"), (Field::LabSample, "8802")] {
            assert!(found.contains(&(field, text.to_owned())), "{text} {found:?}");
        }
        let one = of(&["Quill Labs", "Gorse beds Lab ref 8801"]);
        assert!(one.iter().all(|f| f.0 != Field::SampleLabel), "{one:?}");
        let one = of(&["Quill Labs", "Lab number: 88-1 Depth: 0-6 in Collected: 2025-05-29"]);
        assert!(one.iter().all(|f| f.0 != Field::SampleLabel), "{one:?}");
    }
}
