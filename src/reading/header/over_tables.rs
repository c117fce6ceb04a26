//! Names right over tables, alone or side by side, each with the laboratory's number of its sample behind it.

use super::super::label::year_of;
use super::super::layout::{Layout, Line, Phrase};
use super::super::numbered::is_number;
use super::super::vocabulary::{Context, Field, Role};
use super::FieldValue;
use super::cards::{MOST_WORDS, is_name, name_and_number, unlike};
use super::leading_field;
use super::plausible::{is_place, is_size, looks_like_a_number, plausible};

/// How far, in ems, a name stands over its table.
const NEAR: f32 = 2.6;

/// How near, in ems, the left edge of a name lies to that of its table.
const SAME_EDGE: f32 = 1.0;

/// `Green 1   Lab # 7701   Green 4   Lab # 7702` over `Test   Result   Test   Result`: the names over the tables of a
/// document, two at least and no two alike, each with what is said of its sample behind it.
pub fn over_tables(pages: &[Layout], context: Context) -> Vec<FieldValue> {
    let found: Vec<FieldValue> = pages
        .iter()
        .filter(|page| !page.cells)
        .flat_map(|page| (1..page.lines.len()).flat_map(|below| titles(page, below, context)))
        .collect();
    let of = |field| found.iter().filter(move |f| f.field == field).cloned().collect::<Vec<_>>();
    if unlike(&of(Field::SampleLabel)) && unlike(&of(Field::LabSample)) { found } else { Vec::new() }
}

/// True where the line over this one names the tables that begin here, and no column of theirs.
pub fn names_tables(page: &Layout, below: usize, context: Context) -> bool {
    !page.cells && titles(page, below, context).len() > 2
}

/// A name, and the pairs behind it.
struct Title<'a> {
    name: &'a Phrase,
    text: String,
    pairs: Vec<(Field, String)>,
}

/// What the line over this one says of the tables that begin here; nothing unless each has a name of its own.
fn titles(page: &Layout, below: usize, context: Context) -> Vec<FieldValue> {
    let over = below.checked_sub(1).and_then(|i| page.lines.get(i));
    let (Some(over), Some(first)) = (over, page.lines.get(below)) else { return Vec::new() };
    let near = first.area.y0 - over.area.y1 < NEAR * page.em;
    let told = named(over, context).or_else(|| {
        let names = below.checked_sub(2).and_then(|i| page.lines.get(i))?;
        over_their_numbers(page, names, over, context)
            .or_else(|| over_their_layers(page, names, over, context))
    });
    let Some(titles) = told.filter(|_| near) else { return Vec::new() };
    let tables: Vec<&Phrase> = first.phrases.iter().filter(|p| begins_table(p, context)).collect();
    // One name over a table in two halves side by side is that of both.
    let halves = || {
        let text = tables.first().map(|p| p.text());
        titles.len() == 1 && tables.len() == 2 && tables.iter().all(|p| Some(p.text()) == text)
    };
    let own = (titles.len() == tables.len() || halves())
        && titles
            .iter()
            .zip(&tables)
            .all(|(title, table)| (title.name.area.x0 - table.area.x0).abs() < SAME_EDGE * page.em);
    if !own {
        return Vec::new();
    }
    let value = |title: &Title, field: Field, text: String| FieldValue {
        field,
        text,
        page: page.number,
        // Side by side, what is said of a sample is found by where its name stands.
        area: title.name.area,
        firm: true,
    };
    titles
        .iter()
        .flat_map(|title| {
            let pairs = title.pairs.iter().cloned();
            std::iter::once((Field::SampleLabel, title.text.clone()))
                .chain(pairs)
                .map(|(field, text)| value(title, field, text))
        })
        .collect()
}

/// The names of a line and the pairs behind each, a laboratory's number among them; nothing where the line holds
/// anything else.
fn named(line: &Line, context: Context) -> Option<Vec<Title<'_>>> {
    let mut titles: Vec<Title> = Vec::new();
    for phrase in &line.phrases {
        let text = phrase.text();
        let pair = leading_field(text, context).filter(|(field, rest, _)| {
            let of_sample = matches!(field, Field::LabSample | Field::DepthTop | Field::SampledOn);
            of_sample && !rest.is_empty() && plausible(*field, rest, false)
        });
        // `Lab G4-1`: a number is no name of a laboratory.
        let pair = pair.or_else(|| {
            let (_, number, _) = leading_field(text, context).filter(|(field, ..)| *field == Field::Lab)?;
            is_number_of_its_own(&number).then_some((Field::LabSample, number, false))
        });
        // `Practice ground lab ref 77/4` holds both.
        if let Some((name, number)) = name_and_number(text, context) {
            titles.push(Title { name: phrase, text: name, pairs: vec![(Field::LabSample, number)] });
            continue;
        }
        match (pair, titles.last_mut()) {
            (Some((field, rest, _)), Some(title)) => title.pairs.push((field, rest)),
            (None, _) if names(text, context) => {
                titles.push(Title { name: phrase, text: text.to_owned(), pairs: Vec::new() });
            }
            _ => return None,
        }
    }
    let numbered = |t: &Title| t.pairs.iter().filter(|(field, _)| *field == Field::LabSample).count() == 1;
    titles.iter().all(numbered).then_some(titles)
}

/// `G4-1`: one word of capitals, figures and strokes, and no year. Over tables side by side each has another.
fn is_number_of_its_own(word: &str) -> bool {
    looks_like_a_number(word) && year_of(word).is_none()
}

/// `Green 4   Lab G4-1   Green 11   Lab G11-1` over `Depth 0-4 in   Depth 0-4 in`: names with their numbers, and below each
/// the layer or the day of its sample, and nothing else.
fn over_their_layers<'a>(
    page: &Layout,
    names_line: &'a Line,
    layers: &Line,
    context: Context,
) -> Option<Vec<Title<'a>>> {
    if layers.area.y0 - names_line.area.y1 >= NEAR * page.em {
        return None;
    }
    let mut titles = named(names_line, context).filter(|titles| titles.len() > 1)?;
    for phrase in &layers.phrases {
        let (field, rest, _) = leading_field(phrase.text(), context)?;
        let of_sample = matches!(field, Field::DepthTop | Field::SampledOn) && plausible(field, &rest, false);
        let own = |t: &&mut Title| (t.name.area.x0 - phrase.area.x0).abs() < SAME_EDGE * page.em;
        titles.iter_mut().find(own).filter(|_| of_sample)?.pairs.push((field, rest));
    }
    Some(titles)
}

/// `Race Flats   Hill Block` over `lab 415.1 12.4 ha pasture   lab 415.2 31.0 ha pasture`: names side by side, and below each
/// the laboratory's number with at most how large the piece is, and what grows there behind that.
fn over_their_numbers<'a>(
    page: &Layout,
    names_line: &'a Line,
    numbers: &Line,
    context: Context,
) -> Option<Vec<Title<'a>>> {
    let near = numbers.area.y0 - names_line.area.y1 < NEAR * page.em;
    if !near || names_line.phrases.len() < 2 {
        return None;
    }
    let edges: Vec<f32> = names_line.phrases.iter().map(|p| p.area.x0).collect();
    let at_edge = |p: &&Phrase| edges.iter().any(|x| (x - p.area.x0).abs() < SAME_EDGE * page.em);
    let (own, aside): (Vec<&Phrase>, Vec<&Phrase>) = numbers.phrases.iter().partition(at_edge);
    // `12.4 ha   pasture` in places of their own: how large each is, and words that ask for nothing.
    let says_nothing = |p: &&Phrase| {
        let plain = !p.text().contains(|c: char| c.is_ascii_digit() || c == ':');
        is_size(p.text()) || plain && leading_field(p.text(), context).is_none()
    };
    if own.len() != names_line.phrases.len() || !aside.iter().all(says_nothing) {
        return None;
    }
    let title = |(name, number): (&'a Phrase, &Phrase)| {
        let (field, rest, _) = leading_field(number.text(), context)?;
        let (number, behind) = rest.split_once(' ').unwrap_or((rest.as_str(), ""));
        let numbered = matches!(field, Field::LabSample | Field::Lab)
            && is_number(number)
            && plausible(Field::LabSample, number, true);
        let said = numbered && (behind.is_empty() || is_size(behind)) && names(name.text(), context);
        said.then(|| Title {
            name,
            text: name.text().to_owned(),
            pairs: vec![(Field::LabSample, number.to_owned())],
        })
    };
    names_line.phrases.iter().zip(own).map(title).collect()
}

/// `Report 14` asks for something else than a name; `Field 14` is one.
fn names(text: &str, context: Context) -> bool {
    // `#1 Green` opens with its own number.
    let counted = text.strip_prefix('#').is_some_and(|rest| {
        let rest = rest.trim_start_matches(|c: char| c.is_ascii_digit());
        rest.starts_with(' ') && rest.contains(char::is_alphabetic)
    });
    let asks = leading_field(text, context).is_some() && !is_place(text) && !counted;
    let bare = if counted { text.trim_start_matches('#') } else { text };
    !asks && is_name(bare, context) && text.split(' ').count() <= MOST_WORDS
}

/// The heading over the names of what was measured, or the first of these.
fn begins_table(phrase: &Phrase, context: Context) -> bool {
    let said = phrase.label(context);
    said.field.is_none() && !said.decoy && (said.role == Some(Role::Analyte) || said.analyte.is_some())
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        let context = Context { symbols: true, capitals: false };
        over_tables(&[layout(&typed(lines))], context).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_name_and_a_number_in_one_line_over_each_table_are_of_its_sample() {
        let found = of(&[
            "Green 11 lab ref 77/3",
            "Test       Found   Unit",
            "pH         6.6",
            "Potassium  63      ppm",
            "",
            "Practice putting lab ref 77/4",
            "Test       Found   Unit",
            "pH         6.8",
        ]);
        let pair = |name: &str, number: &str| {
            [(Field::SampleLabel, name.to_owned()), (Field::LabSample, number.to_owned())]
        };
        assert_eq!(found, [pair("Green 11", "77/3"), pair("Practice putting", "77/4")].concat());
    }

    #[test]
    fn a_name_that_opens_with_its_number_and_one_over_two_halves_are_names() {
        let found = of(&[
            "#1 Green   Lab ID 77-A    #4 Green   Lab ID 77-B",
            "Test       Found          Test       Found",
            "pH         6.6            pH         6.4",
        ]);
        let names: Vec<&str> =
            found.iter().filter(|f| f.0 == Field::SampleLabel).map(|f| f.1.as_str()).collect();
        assert_eq!(names, ["#1 Green", "#4 Green"]);
        let halves = of(&[
            "Bay 3 lab no. 77-A",
            "Test       Result         Test       Result",
            "pH         6.6            Zinc       6.4",
            "",
            "Bay 4 lab no. 77-B",
            "Test       Result         Test       Result",
            "pH         6.6            Zinc       6.4",
        ]);
        let names: Vec<&str> =
            halves.iter().filter(|f| f.0 == Field::SampleLabel).map(|f| f.1.as_str()).collect();
        assert_eq!(names, ["Bay 3", "Bay 4"]);
    }

    #[test]
    fn names_over_their_numbers_are_those_of_the_tables_below() {
        let lines = |second: &'static str| {
            [
                "Race Flats                  Hill Block",
                second,
                "Test       Found            Test       Found",
                "pH         6.6              pH         6.4",
            ]
        };
        let found = of(&lines("lab 90415.1 12.4 ha grass   lab 90415.2 31.0 ha grass"));
        let names: Vec<&str> =
            found.iter().filter(|f| f.0 == Field::SampleLabel).map(|f| f.1.as_str()).collect();
        assert_eq!(names, ["Race Flats", "Hill Block"]);
        for other in [
            "lab 90415.1 12.4 ha grass   lab 90415.1 31.0 ha grass",
            "lab 90415.1 limed in May    lab 90415.2 limed in May",
            "lab Hobside                 lab Quillmar",
        ] {
            assert_eq!(of(&lines(other)), [], "{other}");
        }
    }

    #[test]
    fn names_with_their_numbers_over_the_layer_of_each_are_those_of_the_boxes_below() {
        let boxes = |second: &'static str, layers: &'static str| {
            let lines = [
                "Green 4    Lab G4-1      Green 11         Lab G11-1",
                layers,
                "pH         5.6           pH               6.2",
                "",
                "",
                second,
                layers,
                "pH         6.3           pH               6.1",
            ];
            let names = |found: Vec<(Field, String)>| {
                found.into_iter().filter(|f| f.0 == Field::SampleLabel).map(|f| f.1).collect::<Vec<_>>()
            };
            names(of(&lines))
        };
        let layers = "Depth 0-4 in             Depth 0-4 in";
        let second = "Tee 7      Lab T7-1      Practice green   Lab PG-1";
        assert_eq!(boxes(second, layers), ["Green 4", "Green 11", "Tee 7", "Practice green"]);
        // The name of one laboratory, the same over all, is no number of a sample.
        assert!(boxes("Tee 7      Lab G4-1      Practice green   Lab PG-1", layers).is_empty());
        assert!(boxes(second, "Limed in May             Limed in June").is_empty());
    }

    #[test]
    fn a_line_over_one_table_or_of_other_numbers_names_no_sample() {
        for second in ["Practice putting lab ref 77/3", "Practice putting invoice 77/4", "Guide values 77/4"]
        {
            let found = of(&[
                "Green 11 lab ref 77/3",
                "Test       Found   Unit",
                "pH         6.6",
                "",
                second,
                "Test       Found   Unit",
                "pH         6.8",
            ]);
            assert_eq!(found, [], "{second}");
        }
    }
}
