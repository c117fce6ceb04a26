//! `Long Acre` in large type, and under it `Sample NA-1140`: the name of a sample as the title over its number.

use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::FieldValue;
use super::cards::{MOST_WORDS, is_name, unlike};
use super::letterhead::TITLE_WORDS;
use super::person::is_people;
use super::plausible::{is_depth, is_place};
use super::{leading_field, letter::is_ground};

/// How many times larger than the line of the number a title is set.
const LARGER: f32 = 1.2;

/// How far, in heights of its own letters, a title stands from the line of the number.
const NEAR: f32 = 2.0;

/// Shorter ones count the samples of a report, or are what somebody called a bed.
const FIGURES: usize = 3;

/// What stands by the number of a sample and may be its name.
struct Title<'a> {
    /// Which field gives the number.
    number: usize,
    name: &'a Phrase,
    /// It stands over the number by itself, in larger type.
    over: bool,
}

/// Where every form of a document, two at least, has a title of its own in larger type right over `Sample` and a number,
/// and no two titles are alike, the titles are the names and the numbers the laboratory's. Gives the numbers beside
/// which words stand that may be a name, where nothing tells which of the two is.
pub fn titles_over_numbers(
    pages: &[Layout],
    context: Context,
    letterhead: Option<&str>,
    fields: &mut Vec<FieldValue>,
) -> Vec<(String, String)> {
    let named = |f: &&FieldValue| f.field == Field::SampleLabel;
    let all = fields.iter().filter(named).count();
    let client = fields.iter().any(|f| matches!(f.field, Field::Client | Field::Farm | Field::Account));
    let page = |f: &FieldValue| pages.iter().find(|p| p.number == f.page && !p.cells);
    let found: Vec<Title> = fields
        .iter()
        .enumerate()
        .filter(|(_, f)| f.field == Field::SampleLabel && is_number(&f.text))
        .filter_map(|(number, f)| {
            let (name, over) = title(page(f)?, f, context)?;
            (!is_of_the_report(name.text(), letterhead, fields)).then_some(Title { number, name, over })
        })
        .collect();
    let text = |t: &Title| t.name.text().to_owned();
    // The same words over each of several numbers are of the whole report.
    if found.len() > 1 && found.iter().all(|t| found.first().is_some_and(|first| text(first) == text(t))) {
        return Vec::new();
    }
    let make = |t: &Title| FieldValue {
        field: Field::SampleLabel,
        text: text(t),
        page: fields.get(t.number).map_or(0, |f| f.page),
        area: t.name.area,
        firm: true,
    };
    let names: Vec<FieldValue> = found.iter().map(make).collect();
    let laboratorys =
        |t: &Title| fields.get(t.number).is_some_and(|f| figures(&f.text) >= FIGURES && !is_people(&text(t)));
    let sure = found.len() == all
        && client
        && found.iter().all(|t| t.over && laboratorys(t))
        && (unlike(&names) || matches!(names.as_slice(), [one] if is_ground(&one.text)));
    if !sure {
        let doubted = |t: &Title| Some((fields.get(t.number)?.text.clone(), text(t)));
        return found.iter().filter_map(doubted).collect();
    }
    let numbers: Vec<usize> = found.iter().map(|t| t.number).collect();
    for (number, name) in numbers.into_iter().zip(names).rev() {
        if let Some(f) = fields.get_mut(number) {
            f.field = Field::LabSample;
        }
        fields.insert(number, name);
    }
    Vec::new()
}

/// `NA-1140`, `4471/2`: one word with figures, and no layer.
fn is_number(text: &str) -> bool {
    !text.contains(' ') && figures(text) > 0 && !is_depth(text)
}

fn figures(text: &str) -> usize {
    text.chars().filter(char::is_ascii_digit).count()
}

/// True for words that the report has for its laboratory, its client or itself.
fn is_of_the_report(text: &str, letterhead: Option<&str>, fields: &[FieldValue]) -> bool {
    let lower = text.to_lowercase();
    let said = |whole: &str| {
        let whole = whole.to_lowercase();
        whole.contains(&lower) || lower.contains(&whole)
    };
    let other = |f: &FieldValue| f.field != Field::SampleLabel && !f.text.is_empty() && said(&f.text);
    // The first title of a report without a letterhead is none.
    let laboratory = |whole: &str| whole.to_lowercase().split(' ').any(|w| List::Laboratory.has(w));
    letterhead.is_some_and(|whole| laboratory(whole) && said(whole))
        || fields.iter().any(other)
        || lower.split(' ').any(|w| TITLE_WORDS.contains(&w) || List::Laboratory.has(w))
}

/// What may be the name beside a number: alone on the line over it, on the line under it, or first on its own line, in
/// larger type than the number.
fn title<'a>(page: &'a Layout, number: &FieldValue, context: Context) -> Option<(&'a Phrase, bool)> {
    let row = page.lines.iter().position(|l| l.phrases.iter().any(|p| p.area == number.area))?;
    let line = page.lines.get(row)?;
    let own = line.phrases.iter().find(|p| p.area == number.area)?;
    if heads_columns(line, &number.text) {
        return None;
    }
    let first = line.phrases.first().filter(|p| p.area != own.area);
    if let Some(first) = first {
        let larger = size(first) >= LARGER * size(own) && names(first, context);
        return larger.then_some((first, line.phrases.get(1).is_some_and(|p| p.area == own.area)));
    }
    let alone = |l: &'a Line, gap: f32| {
        let [one] = l.phrases.as_slice() else { return None };
        let near = gap < NEAR * one.area.height();
        (near && size(one) >= LARGER * size(own) && names(one, context)).then_some(one)
    };
    let above = row.checked_sub(1).and_then(|i| page.lines.get(i));
    // `Field: Long Acre` over `Sample: NA-1140`: of two that ask for a name nobody knows which is the place.
    let asked = above.into_iter().flat_map(|l| &l.phrases).find(|p| {
        leading_field(p.text(), context)
            .is_some_and(|(field, rest, _)| field == Field::SampleLabel && is_name(&rest, context))
    });
    if let Some(asked) = asked.filter(|_| figures(&number.text) >= FIGURES) {
        return Some((asked, false));
    }
    let over = above.and_then(|l| alone(l, line.area.y0 - l.area.y1)).map(|one| (one, true));
    let below = || page.lines.get(row + 1).and_then(|l| alone(l, l.area.y0 - line.area.y1));
    over.or_else(|| below().map(|one| (one, false)))
}

/// `Sample   #1   #4   #7`: several numbers of one kind in a line head the columns of samples, and what stands over that
/// line is the title of their table.
fn heads_columns(line: &Line, number: &str) -> bool {
    let kind = |text: &str| text.replace(|c: char| c.is_ascii_digit(), "");
    let alike = |p: &&Phrase| is_number(p.text()) && p.text() != number && kind(p.text()) == kind(number);
    line.phrases.iter().filter(alike).count() >= COLUMNS
}

/// So many numbers beside one head columns; a report's own number may stand beside that of its sample.
const COLUMNS: usize = 2;

fn size(phrase: &Phrase) -> f32 {
    phrase.tokens.iter().map(|t| t.size).fold(f32::INFINITY, f32::min)
}

/// `Report 14` asks for something else than a name; `Field 14` is one.
fn names(phrase: &Phrase, context: Context) -> bool {
    let text = phrase.text();
    let asks = leading_field(text, context).is_some() && !is_place(text);
    !asks && is_name(text, context) && text.split(' ').count() <= MOST_WORDS
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::fields;
    use super::*;
    use crate::document::{Content, Page};

    const C: Context = Context { symbols: false, capitals: false };

    /// The names of the samples, their numbers, and how many wait; lines after `#` are set large.
    fn of(forms: &[&[&str]]) -> (Vec<String>, Vec<String>, usize) {
        let pages: Vec<Layout> = forms
            .iter()
            .zip(1..)
            .map(|(lines, number)| {
                let plain: Vec<&str> = lines.iter().map(|l| l.trim_start_matches('#')).collect();
                let mut page = Page { number, ..typed(&plain) };
                if let Content::Words(words) = &mut page.content {
                    for word in words {
                        let row = lines.get((word.area.y0 / 12.0).round() as usize);
                        word.size = if row.is_some_and(|l| l.starts_with('#')) { 18.0 } else { 10.0 };
                    }
                }
                layout(&page)
            })
            .collect();
        let mut found: Vec<FieldValue> = pages.iter().flat_map(|p| fields(p, &[], C)).collect();
        let waiting = titles_over_numbers(&pages, C, Some("Quill Labs"), &mut found).len();
        let of = |field| found.iter().filter(|f| f.field == field).map(|f| f.text.clone()).collect();
        (of(Field::SampleLabel), of(Field::LabSample), waiting)
    }

    #[test]
    fn titles_of_their_own_over_numbers_are_the_names() {
        let line = "Sample HM-2041     Client: Fern Trust";
        let next = "Sample HM-2042     Client: Fern Trust";
        let (names, numbers, waiting) = of(&[&["#Otterby", line], &["#Long Acre", next]]);
        assert_eq!(names, ["Otterby", "Long Acre"]);
        assert_eq!((numbers.as_slice(), waiting), (&["HM-2041".to_owned(), "HM-2042".to_owned()][..], 0));
        let (names, numbers, _) = of(&[&["#Back lawn", "Sample no: 44712", "Client: Fern Trust"]]);
        assert_eq!((names, numbers), (vec!["Back lawn".to_owned()], vec!["44712".to_owned()]));
    }

    #[test]
    fn the_title_over_a_line_of_numbered_samples_is_that_of_their_table() {
        let waiting = |line: &str| of(&[&["#Otherby", line, "Client: Fern Trust"]]).2;
        assert_eq!(waiting("Sample      #1      #4      #7"), 0);
        // Days and a report's number beside one sample's head no columns.
        for one in
            ["Sample      #1", "Sample      HM-1      3/5/2021      4/5/2021", "Sample      #1      #4"]
        {
            assert_eq!(waiting(one), 1, "{one}");
        }
    }

    #[test]
    fn where_nobody_can_tell_the_name_from_the_number_all_waits() {
        let line = "Sample HM-2041     Client: Fern Trust";
        for forms in [
            // One title alone may be of anything.
            &[&["#Otterby", line][..]][..],
            // Two of one name.
            &[&["#Otterby", line][..], &["#Otterby", line], &["#Long Acre", line]],
            // A number that may be somebody's name of a bed.
            &[&["#Otterby", "Sample B2", "Client: Moss"][..], &["#Long Acre", "Sample B3"]],
            // People are no samples.
            &[&["#J. & L. Quern", line][..], &["#Weir Brothers", line]],
            // Two that ask for a name.
            &[&["Field: Long Acre", "Sample: HM-2041"][..], &["Field: Mere", "Sample: HM-2042"]],
            // A title that stands below.
            &[&[line, "#Otterby"][..], &[line, "#Long Acre"]],
        ] {
            let (names, _, waiting) = of(forms);
            assert_eq!(waiting, forms.len(), "{forms:?} {names:?}");
            assert!(names.iter().all(|n| n != "Otterby"), "{names:?}");
        }
    }

    #[test]
    fn a_title_that_is_the_reports_or_no_larger_names_nothing() {
        let line = "Sample HM-2041     Client: Fern Trust";
        for title in ["#Quill Labs", "#Soil test report", "#Fern Trust", "Otterby"] {
            let (names, _, waiting) = of(&[&[title, line]]);
            assert_eq!((names.as_slice(), waiting), (&["HM-2041".to_owned()][..], 0), "{title}");
        }
        let (names, _, waiting) = of(&[&["#Otterby", line], &["#Otterby", "Sample HM-2042"]]);
        assert_eq!((names.len(), waiting), (2, 0), "{names:?}");
    }
}
