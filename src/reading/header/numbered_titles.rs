//! Titles over tables one below the other: `(418a) Kitchen garden, top 15 cm`, or a name over `Lab ID 10442-1 taken June 27,
//! 2025 0-6 in`.

use super::super::assemble::holds;
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::numbered::{is_number, parted};
use super::super::vocabulary::{Context, Field, Role};
use super::super::words::List;
use super::FieldValue;
use super::cards::{MOST_WORDS, is_name, unlike};
use super::leading::leading_field;
use super::plausible::{is_depth, is_size, plausible};
use super::told::{day_told, layer_told, parts_told};
use regex::Regex;
use std::sync::LazyLock;

/// How far, in ems, a title stands over its table.
const NEAR: f32 = 2.6;
/// From one row of a sheet to the one after the next, in points.
const ROWS: f32 = 41.0;

static BRACKETED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^[(\[]([A-Z]{0,4}[-/ ]?[0-9][\w/.-]*)[)\]] (\p{L}.*)$").ok());

/// Fewer figures and letters count the parts of a text.
const NUMBER: usize = 3;

/// The names over the tables of a document, two at least and no two alike, each with its laboratory's number and with what
/// else its title says of the sample; nothing where a title says anything more.
pub fn numbered_titles(pages: &[Layout], context: Context) -> Vec<FieldValue> {
    let found: Vec<FieldValue> = pages
        .iter()
        .flat_map(|page| (1..page.lines.len()).flat_map(|first| title(pages, page, first, context)))
        .collect();
    let of = |field| found.iter().filter(move |f| f.field == field).cloned().collect::<Vec<_>>();
    // Whose the soil is stands the same over every table, or nobody knows what it is.
    let owners = of(Field::Client);
    let one = owners.is_empty()
        || owners.len() == of(Field::SampleLabel).len()
            && owners.iter().all(|o| Some(&o.text) == owners.first().map(|f| &f.text));
    if one && unlike(&of(Field::SampleLabel)) && unlike(&of(Field::LabSample)) { found } else { Vec::new() }
}

/// True for a line that is such a title by itself.
pub fn is_numbered_title(line: &Line, context: Context) -> bool {
    bracketed(line, context).is_some() || is_told(line, context)
}

/// `Fairway 3 SP-2210-A 0-10 cm sampled 3 July 2024`: a name, a number, and a layer or a day behind it.
fn is_told(line: &Line, context: Context) -> bool {
    let text = whole(line);
    let words: Vec<&str> = text.split(' ').collect();
    let parted = |at: usize| {
        let (name, behind) = words.split_at_checked(at)?;
        // What is looked at last is the dearest.
        let (number, behind) =
            behind.split_first().filter(|(n, _)| n.contains(['-', '/']) && is_number(n))?;
        let told = || all_told(&behind.join(" ")).is_some_and(|told| !told.is_empty());
        Some(!is_depth(number) && names(&name.join(" "), context) && told())
    };
    (1..words.len().min(MOST_WORDS + 1)).any(|at| parted(at) == Some(true))
}

/// The most words of a day.
const DAY: usize = 4;

type Said = Vec<(Field, String)>;

fn title(pages: &[Layout], page: &Layout, first: usize, context: Context) -> Vec<FieldValue> {
    let line = |up: usize| first.checked_sub(up).and_then(|i| page.lines.get(i));
    let (Some(row), Some(over)) = (page.lines.get(first), line(1)) else { return Vec::new() };
    let near = |above: &Line, below: &Line| match page.cells {
        true => below.area.y0 - above.area.y0 < ROWS,
        false => below.area.y0 - above.area.y1 < NEAR * page.em,
    };
    // `Depth   pH   Nitrate-N`: the layers of one sample.
    let layers = |line: &Line| {
        let layer = |p: &Phrase| p.label(context).field == Some(Field::DepthTop);
        let measured = |p: &&Phrase| p.label(context).is_result();
        line.phrases.first().is_some_and(layer) && line.phrases.iter().skip(1).filter(measured).count() > 1
    };
    let begins = |line: &Line| {
        line.phrases.first().is_some_and(|p| begins_table(p, context)) || layers(line) || heads_results(line)
    };
    // `Saturated paste extract   Exchangeable (NH4OAc)` may stand over the parts of the table.
    let parts = || {
        let below = page.lines.get(first + 1).filter(|below| near(row, below));
        row.phrases.len() > 1
            && row.phrases.iter().all(|p| says_an_extract(p, context))
            && below.is_some_and(begins)
    };
    if !near(over, row) || !begins(row) && !parts() {
        return Vec::new();
    }
    let found = bracketed(over, context).map(|said| (over, said)).or_else(|| {
        let name = line(2).filter(|name| near(name, over))?;
        Some((name, under_a_name(name, over, context)?))
    });
    // What grows there, the day and the layer may stand on a line of their own below the title.
    let named = |line: &Line| {
        led(line, context)
            .or_else(|| of_the_report(pages, line, context))
            .or_else(|| beside(line, context))
            .or_else(|| told_by_the_report(pages, line, context))
    };
    let found = found.or_else(|| named(over).map(|said| (over, said))).or_else(|| {
        let name = line(2).filter(|name| near(name, over))?;
        let more = described(over, context)?;
        Some((name, [named(name)?, more].concat()))
    });
    // `Report 77. Pulled 1 April 2024 (0-4 in).` below the title is of the form.
    let found = found.or_else(|| {
        let name = line(2).filter(|name| near(name, over) && of_a_form(over, context))?;
        Some((name, named(name)?))
    });
    let Some((line, said)) = found else { return Vec::new() };
    let make = |(field, text)| FieldValue { field, text, page: page.number, area: line.area, firm: true };
    said.into_iter().map(make).collect()
}

/// All words of a line with single spaces.
fn whole(line: &Line) -> String {
    line.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join(" ")
}

/// `(418a) Kitchen garden, top 15 cm`.
fn bracketed(line: &Line, context: Context) -> Option<Said> {
    line.phrases.first().filter(|p| p.text().starts_with(['(', '[']))?;
    let text = whole(line);
    let found = BRACKETED.as_ref()?.captures(&text)?;
    let number = found.get(1)?.as_str();
    let parts = parts_told(found.get(2)?.as_str());
    let (name, behind) = parts.split_first()?;
    let mut out = vec![(Field::SampleLabel, name.to_owned()), (Field::LabSample, number.to_owned())];
    for part in behind {
        out.push(told(part)?);
    }
    (number.len() >= NUMBER && names(name, context)).then_some(out)
}

static OUR_NUMBER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^(\S.{1,40}) \((?i:our|lab|laboratory)(?i: sample)?(?i: (?:no\.?|number|ref\.?|id))?(?: #)? ?([A-Z]{0,4}[-/ ]?[0-9][\w/.-]*)\)$")
        .ok()
});

fn numbered(name: &str, number: &str, context: Context) -> Option<Said> {
    let both = vec![(Field::SampleLabel, name.to_owned()), (Field::LabSample, number.to_owned())];
    (number.len() >= NUMBER && names(name, context)).then_some(both)
}

/// `Sample 22-518: Long field`, `Bay 1 (our no. 77/1), sampled 4 February 2022`: a title that says which number it tells.
fn led(line: &Line, context: Context) -> Option<Said> {
    let [title] = line.phrases.as_slice() else { return None };
    let text = title.text();
    if let Some((Field::SampleLabel, rest, _)) = leading_field(text, context)
        && let Some(found) = parted(&rest).filter(|p| p.first)
    {
        return numbered(&found.name, &found.number, context);
    }
    let parts = parts_told(text);
    let (first, behind) = parts.split_first()?;
    let found = OUR_NUMBER.as_ref()?.captures(first)?;
    let mut out = numbered(found.get(1)?.as_str(), found.get(2)?.as_str(), context)?;
    for part in behind {
        out.push(told(part)?);
    }
    Some(out)
}

/// True for a line that opens with what is of a whole report: its number, a day, a layer.
fn of_a_form(line: &Line, context: Context) -> bool {
    let of_all = |f: Field| {
        matches!(
            f,
            Field::Report | Field::SampledOn | Field::ReceivedOn | Field::ReportedOn | Field::DepthTop
        )
    };
    let [one] = line.phrases.as_slice() else { return false };
    let first = one.text().split(". ").next().unwrap_or_default();
    leading_field(first, context)
        .is_some_and(|(field, rest, _)| of_all(field) && !rest.is_empty() && plausible(field, &rest, false))
}

/// `Moss Club - Green 3 - lab sample 7720-1`: whose it is, the name and the number, with strokes between; without the first
/// where only two stand there.
fn by_strokes(text: &str, context: Context) -> Option<Said> {
    let parts: Vec<&str> = [" - ", " – ", " — ", " | "]
        .iter()
        .map(|stroke| text.split(stroke).map(str::trim).collect::<Vec<_>>())
        .find(|parts| parts.len() > 1)?;
    let (owner, name, number) = match parts.as_slice() {
        [name, number] => (None, name, number),
        [owner, name, number] => (Some(owner), name, number),
        _ => return None,
    };
    let (Field::LabSample, number, _) = leading_field(number, context)? else { return None };
    let one = !number.contains(' ') && plausible(Field::LabSample, &number, true);
    let mut out = numbered(name, &number, context).filter(|_| one)?;
    if let Some(owner) = owner {
        let plain = plausible(Field::Client, owner, false) && leading_field(owner, context).is_none();
        if !plain {
            return None;
        }
        out.push((Field::Client, (*owner).to_owned()));
    }
    Some(out)
}

/// `Practice green | Lab no. 5519-D`: a name, and behind it what says whose number it tells, in a cell of its own or not.
fn beside(line: &Line, context: Context) -> Option<Said> {
    if let [one] = line.phrases.as_slice() {
        return by_strokes(one.text(), context).or_else(|| behind(one.text(), context));
    }
    let [name, number, rest @ ..] = line.phrases.as_slice() else { return None };
    let (field, told, _) = leading_field(number.text(), context)?;
    // `Ref. 4400` over each table of a report is of what stands in it.
    let refers = number.text().split([' ', '.', ':']).next().unwrap_or_default();
    let refers = field == Field::Report && List::Reference.has(&refers.to_lowercase());
    let number = told;
    // `Lab 318-01`: a number is no name of a laboratory.
    if !(field == Field::LabSample || (field == Field::Lab || refers) && is_number(&number)) {
        return None;
    }
    // `140 acres   next crop: oats` behind them says nothing else of it.
    let aside = |p: &Phrase| {
        let asks = leading_field(p.text(), context);
        is_size(p.text())
            || p.text().contains(": ") && asks.is_none_or(|(f, _, colon)| f == Field::Ignored && colon)
    };
    if !rest.iter().all(aside) {
        return None;
    }
    let one = !number.contains(' ') && plausible(Field::LabSample, &number, true);
    numbered(name.text(), &number, context).filter(|_| one)
}

/// True for a line of a name and the laboratory's number in a cell of its own, which is no line of a heading.
pub fn is_name_beside_number(line: &Line, context: Context) -> bool {
    beside(line, context).is_some()
}

/// `Practice green lab no. 5519-D`.
fn behind(text: &str, context: Context) -> Option<Said> {
    let (name, number) = text.match_indices(' ').find_map(|(at, _)| {
        let (name, rest) = text.split_at(at);
        match leading_field(rest.trim_start(), context)? {
            (Field::LabSample, number, _) if !number.is_empty() => Some((name, number)),
            _ => None,
        }
    })?;
    let figures = number.contains(|c: char| c.is_ascii_digit());
    let one = figures && !number.contains(' ') && plausible(Field::LabSample, &number, true);
    numbered(name, &number, context).filter(|_| one)
}

/// `4471-1 Lower pitch` in report 4471: a number that holds the report's, and a name.
fn of_the_report(pages: &[Layout], line: &Line, context: Context) -> Option<Said> {
    let [title] = line.phrases.as_slice() else { return None };
    let found = parted(title.text())?;
    let told = holds_the_report(pages, &found.number, context);
    numbered(&found.name, &found.number, context).filter(|_| told)
}

/// `Fairway 3 SP-2210-A 0-10 cm sampled 3 July 2024` in report SP-2210: a name, a number that holds the report's, and at
/// most the day and the layer behind it.
fn told_by_the_report(pages: &[Layout], line: &Line, context: Context) -> Option<Said> {
    let text = whole(line);
    let words: Vec<&str> = text.split(' ').collect();
    let number = |word: &&str| {
        word.len() >= NUMBER
            && word.contains(|c: char| c.is_ascii_digit())
            && holds_the_report(pages, word, context)
    };
    let at = words.iter().take(MOST_WORDS + 1).position(number).filter(|at| *at > 0)?;
    let (name, behind) = words.split_at(at);
    let (number, behind) = behind.split_first()?;
    let mut out = numbered(&name.join(" "), number, context)?;
    out.extend(all_told(&behind.join(" "))?);
    Some(out)
}

/// True where a number holds that of the report.
fn holds_the_report(pages: &[Layout], number: &str, context: Context) -> bool {
    let report = |p: &Phrase| match leading_field(p.text(), context) {
        Some((Field::Report, rest, _)) => holds(number, rest.split(' ').next().unwrap_or_default()),
        _ => false,
    };
    let lines = || pages.iter().flat_map(|p| &p.lines);
    let beside = |l: &Line| {
        let pair = |w: &[Phrase]| match w {
            [name, value] => {
                let asks = leading_field(name.text(), context);
                asks.is_some_and(|(f, rest, _)| f == Field::Report && rest.is_empty())
                    && holds(number, value.text())
            }
            _ => false,
        };
        l.phrases.windows(2).any(pair)
    };
    lines().any(|l| l.phrases.iter().any(report) || beside(l))
}

/// `Use: Rugby. Sampled 1 July 2021, 0-100 mm.`: the day and the layer, and besides them what is asked for nowhere.
fn described(line: &Line, context: Context) -> Option<Said> {
    let [one] = line.phrases.as_slice() else { return None };
    let mut out = Vec::new();
    for sentence in one.text().trim_end_matches('.').split(". ") {
        for part in parts_told(sentence) {
            if let Some(said) = told(&part) {
                out.push(said);
            } else if !leading_field(&part, context).is_some_and(|(f, _, colon)| f == Field::Ignored && colon)
            {
                return None;
            }
        }
    }
    (!out.is_empty()).then_some(out)
}

/// `Front yard` over `Lab ID 10442-1 taken June 27, 2025 0-6 in`.
fn under_a_name(name: &Line, numbers: &Line, context: Context) -> Option<Said> {
    let [name] = name.phrases.as_slice() else { return None };
    let (name, text) = (name.text(), whole(numbers));
    let (Field::LabSample, rest, _) = leading_field(&text, context)? else { return None };
    let (number, rest) = rest.split_once(' ').unwrap_or((rest.as_str(), ""));
    let mut out = vec![(Field::SampleLabel, name.to_owned()), (Field::LabSample, number.to_owned())];
    out.extend(all_told(rest)?);
    let numbered = number.len() >= NUMBER && plausible(Field::LabSample, number, true);
    (numbered && names(name, context)).then_some(out)
}

/// A day and a layer, one behind the other, and nothing else; either may be missing.
fn all_told(text: &str) -> Option<Said> {
    if text.is_empty() {
        return Some(Vec::new());
    }
    let two = text.match_indices(' ').find_map(|(at, _)| {
        let (before, behind) = text.split_at(at);
        let (a, b) = (told(before.trim_end_matches([',', ';']))?, told(behind.trim_start())?);
        (a.0 != b.0).then(|| vec![a, b])
    });
    two.or_else(|| Some(vec![told(text)?]))
}

fn told(part: &str) -> Option<(Field, String)> {
    // `27 June 2025`, `Fri June 27, 2025`: a day in no more words.
    let short = |day: &String| day.split(' ').count() <= DAY;
    let day = || day_told(part).filter(short).map(|day| (Field::SampledOn, day));
    layer_told(part).map(|layer| (Field::DepthTop, layer)).or_else(day)
}

/// `Green 2 Lab no.`: what asks for the number behind it is no part of a name.
fn asks_at_its_end(name: &str, context: Context) -> bool {
    let ends = name.match_indices(' ').filter_map(|(at, _)| name.get(at + 1..));
    let asks = |end: &str| matches!(leading_field(end, context), Some((Field::LabSample | Field::Report, rest, _)) if rest.is_empty());
    ends.into_iter().any(asks)
}

fn names(name: &str, context: Context) -> bool {
    is_name(name, context)
        && !asks_at_its_end(name, context)
        && name.split(' ').count() <= MOST_WORDS
        && !label(name, context).is_result()
}

/// `Exchangeable (NH4OAc)`, `Available`: how what stands below was taken out, and nothing else.
fn says_an_extract(phrase: &Phrase, context: Context) -> bool {
    let said = label(phrase.text(), Context { symbols: false, ..context });
    let group = |w: &str| List::Group.has(&w.to_lowercase()) || List::Kind.has(&w.to_lowercase());
    let named = said.methods.iter().any(Option::is_some) && said.unknown.is_empty();
    (named || phrase.text().split(' ').all(group)) && said.field.is_none() && !said.decoy && !said.is_result()
}

/// `Chemistry   Result   Unit`: whatever stands over the names, a heading of results and units begins a table.
fn heads_results(line: &Line) -> bool {
    let plain = Context { symbols: false, capitals: false };
    let said: Vec<_> = line.phrases.iter().map(|p| p.label(plain)).collect();
    let has = |role| said.iter().skip(1).any(|l| l.role == Some(role) && l.unknown.is_empty());
    let asks = said.iter().any(|l| l.field.is_some() || l.decoy) || line.phrases.iter().any(holds_figures);
    has(Role::Result) && has(Role::Unit) && !asks
}

fn holds_figures(phrase: &Phrase) -> bool {
    phrase.text().contains(|c: char| c.is_ascii_digit())
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
        numbered_titles(&[layout(&typed(lines))], context).into_iter().map(|f| (f.field, f.text)).collect()
    }

    fn said(name: &str, number: &str) -> Vec<(Field, String)> {
        vec![(Field::SampleLabel, name.to_owned()), (Field::LabSample, number.to_owned())]
    }

    #[test]
    fn a_number_in_brackets_and_a_name_over_each_table_are_of_its_sample() {
        let lines = |second: &'static str| {
            ["(418a)  Kitchen garden, top 15 cm", "", "    pH   4.4", "", "", second, "", "    pH   5.3"]
        };
        let layer = vec![(Field::DepthTop, "15 cm".to_owned())];
        let found = of(&lines("(418b)  Tennis court"));
        assert_eq!(found, [said("Kitchen garden", "418a"), layer, said("Tennis court", "418b")].concat());
        for second in
            ["(418a)  Tennis court", "(418b)  Kitchen garden", "(2)  Tennis court", "(418b)  Major nutrients"]
        {
            assert_eq!(of(&lines(second)), [], "{second}");
        }
        assert_eq!(of(&lines("(418b)  Tennis court, limed")), []);
    }

    #[test]
    fn a_name_beside_the_number_of_its_table_is_of_its_sample() {
        let lines =
            |second: &'static str| ["Green 2      Lab no. 5519-A", "pH   4.4", "", "", second, "pH   5.3"];
        let found = of(&lines("Practice green      Lab no. 5519-D"));
        assert_eq!(found, [said("Green 2", "5519-A"), said("Practice green", "5519-D")].concat());
        assert_eq!(of(&lines("Practice green      Lab no. 5519-A")), []);
        let found = of(&lines("Practice green      Lab 5519-04"));
        assert_eq!(found, [said("Green 2", "5519-A"), said("Practice green", "5519-04")].concat());
        for second in ["Practice green      Lab Hobside", "Practice green      Lab 2024", "Lab 5519-04"] {
            assert_eq!(of(&lines(second)), [], "{second}");
        }
    }

    #[test]
    fn a_name_over_the_number_of_its_table_is_of_its_sample() {
        let lines = |second: &'static str| {
            [
                "Front yard",
                "Lab ID 10442-1 taken June 27, 2025 0-6 in",
                "pH   4.4",
                "",
                "",
                "Back yard",
                second,
                "pH   5.3",
            ]
        };
        let found = of(&lines("Lab ID 10442-2"));
        let told = [(Field::SampledOn, "June 27, 2025".to_owned()), (Field::DepthTop, "0-6 in".to_owned())];
        assert_eq!(
            found,
            [said("Front yard", "10442-1"), told.to_vec(), said("Back yard", "10442-2")].concat()
        );
        assert_eq!(of(&lines("Lab ID 10442-2 limed in spring")), []);
        let found = of(&lines("Lab ID: 10442-2   Sampled: June 27, 2025   Depth: 0-6 in"));
        assert_eq!(found.iter().filter(|(_, text)| text == "0-6 in").count(), 2, "{found:?}");
        assert_eq!(of(&lines("Lab ID: 10442-2   Limed: June 27, 2025   Depth: 0-6 in")), []);
        assert_eq!(of(&lines("Invoice 10442-2")), []);
    }

    #[test]
    fn a_heading_of_results_and_units_begins_the_table_of_a_title() {
        let lines = |heading: &'static str, second: &'static str| {
            [
                "Main pitch",
                "Lab ref: FQ-7740 Sampled: 5 June 2020",
                heading,
                "pH          7.2      -",
                "",
                "",
                "Academy pitch",
                second,
                heading,
                "pH          6.6      -",
            ]
        };
        let names = |lines: &[&str]| {
            of(lines)
                .into_iter()
                .filter(|(f, _)| *f == Field::SampleLabel)
                .map(|(_, n)| n)
                .collect::<Vec<_>>()
        };
        let second = "Lab ref: FQ-7741 Sampled: 5 June 2020";
        assert_eq!(names(&lines("Chemistry   Result   Unit", second)), ["Main pitch", "Academy pitch"]);
        // One number under two titles is of one sample, and words between figures are no heading.
        let same = "Lab ref: FQ-7740 Sampled: 5 June 2020";
        assert!(names(&lines("Chemistry   Result   Unit", same)).is_empty());
        assert!(names(&lines("Chemistry   quite   good", second)).is_empty());
    }

    #[test]
    fn titles_with_a_word_for_the_number_or_that_of_the_report_are_of_their_samples() {
        let lines = |first: &'static str, between: &'static str, second: &'static str| {
            [first, between, "pH   4.4", "P   12 mg/kg", "", "", second, between, "pH   5.3"]
        };
        let both = |first: &str, more: &[(Field, String)], second: &str| {
            let (a, b) = (said("Moss", first), said("Long fern", second));
            [a, more.to_vec(), b, more.to_vec()].concat()
        };
        let more = [(Field::SampledOn, "1 July 2021".to_owned()), (Field::DepthTop, "0-100 mm".to_owned())];
        let found = of(&lines(
            "Sample 22-518: Moss",
            "Use: Rugby. Sampled 1 July 2021, 0-100 mm.",
            "Sample 22-519: Long fern",
        ));
        assert_eq!(found, both("22-518", &more, "22-519"));
        let found = of(&lines(
            "Moss (our no. 77/1), sampled 1 July 2021, 0-100 mm",
            "",
            "Long fern (our no. 77/2), sampled 1 July 2021, 0-100 mm",
        ));
        assert_eq!(found, both("77/1", &more, "77/2"));
        let limed = of(&lines("Sample 22-518: Moss", "Limed in spring.", "Sample 22-519: Long fern"));
        assert_eq!(limed, []);
        // A number before a name may be the client's own, unless it is the report's.
        let plain = lines("4471-1 Moss", "", "4471-2 Long fern");
        assert_eq!(of(&plain), []);
        let reported: Vec<&str> = ["Report: 4471", ""].into_iter().chain(plain).collect();
        assert_eq!(of(&reported), both("4471-1", &[], "4471-2"));
    }
}
