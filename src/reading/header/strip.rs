//! A line at the head of a report that says what it is of without asking: the number of the report, a name, days and a layer
//! side by side, `Report 1402   Moss Homeowners   Received 02/20/2024`. The one name among them is whose soil it is.

use super::super::date::{DayOrder, date};
use super::super::fold::fold;
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase, joined};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::depth::depth;
use super::person::is_people;
use super::plausible::names_a_part;
use super::told::parts_by_strokes;
use super::whose::is_party;
use super::{FieldValue, leading_field};
use crate::place::Rect;

/// Lines at the head of a page among which such a line stands.
const LINES: usize = 14;

/// Lines at the top of a sheet of which one may name the laboratory.
const LINES_OF_A_SHEET: usize = 3;

/// The longest day: `10 de noviembre de 2014`, with the word before it.
const WORDS_OF_A_DAY: usize = 7;

/// The longest name in words.
const WORDS_OF_A_NAME: usize = 6;

const CONTEXT: Context = Context { symbols: false, capitals: false };

/// What stands in one place of such a line.
#[derive(Debug, Clone, PartialEq)]
enum Item {
    /// The number of the report.
    Number,
    /// A day that a word tells the kind of.
    Day,
    /// A day without a word.
    BareDay(String),
    /// From where to where the cores reach.
    Layer,
    /// `Soil analysis`, `page 1 of 2`: nothing of its own.
    Title,
    /// A name.
    Name(String),
    /// A name that a word asks for: `for Moss Dairy`.
    Asked(String),
    /// What is called as a laboratory is.
    Lab(String),
    /// Anything else: the line is none of this kind.
    Other,
}

/// The name of whose soil it is and the day of the report from such lines of all pages; none where two names or two days could
/// be meant. `lab` is the laboratory's name, which is never meant and without which no other can be told from it.
pub fn told_in_a_strip(pages: &[Layout], lab: Option<&str>) -> Vec<FieldValue> {
    let Some(lab) = lab.map(str::to_lowercase) else { return Vec::new() };
    let mut names: Vec<FieldValue> = Vec::new();
    let mut days: Vec<FieldValue> = Vec::new();
    for page in pages {
        let groups = if page.cells { group_of_a_sheet(page, &lab) } else { groups(page) };
        for group in groups {
            let items: Vec<(Item, Rect)> =
                group.into_iter().flat_map(|(text, area)| items(&text, area)).collect();
            let items = without_lab(items, &lab);
            let (name, day) = read(&items, &lab);
            let make = |field, (text, area): (&str, Rect)| FieldValue {
                field,
                text: text.to_owned(),
                page: page.number,
                area,
                firm: false,
            };
            names.extend(name.map(|name| make(Field::Client, name)));
            days.extend(day.map(|day| make(Field::Day, day)));
        }
    }
    let one = |found: &[FieldValue]| found.windows(2).all(|pair| matches!(pair, [a, b] if a.text == b.text));
    let mut out = if one(&names) { names } else { Vec::new() };
    if one(&days) {
        out.extend(days);
    }
    out
}

/// The places of each line, and of each block of lines that share an edge.
fn groups(page: &Layout) -> Vec<Vec<(String, Rect)>> {
    let lines: Vec<&Line> = page.lines.iter().take(LINES).collect();
    let places = |line: &&Line| line.phrases.iter().map(|p| (joined(&p.tokens), p.area)).collect::<Vec<_>>();
    let mut out: Vec<Vec<(String, Rect)>> = lines.iter().map(places).collect();
    let mut blocks: Vec<Vec<(String, Rect)>> = Vec::new();
    for phrase in lines.iter().flat_map(|l| &l.phrases) {
        let below = |block: &&mut Vec<(String, Rect)>| {
            block.last().is_some_and(|(_, last)| {
                let gap = phrase.area.y0 - last.y1;
                let edge = (phrase.area.x0 - last.x0).abs().min((phrase.area.x1 - last.x1).abs());
                gap > -1.0 && gap < page.em && edge < 0.2 * page.em
            })
        };
        let own = (joined(&phrase.tokens), phrase.area);
        match blocks.iter_mut().find(below) {
            Some(block) => block.push(own),
            None => blocks.push(vec![own]),
        }
    }
    out.extend(blocks.into_iter().filter(|b| b.len() > 2));
    out
}

/// The first line of a sheet that names the laboratory, without it, and a name alone in the line right below.
fn group_of_a_sheet(page: &Layout, lab: &str) -> Vec<Vec<(String, Rect)>> {
    let head = page.lines.iter().take(LINES_OF_A_SHEET);
    let is_lab = |text: &str| text.to_lowercase() == lab;
    let Some((at, line)) = head.enumerate().find(|(_, l)| l.phrases.iter().any(|p| is_lab(p.text()))) else {
        return Vec::new();
    };
    let below = page.lines.get(at + 1).map(|l| l.phrases.as_slice());
    let name = |p: &&Phrase| matches!(item(p.text()), Item::Name(_)) && is_people(p.text());
    let below = below.filter(|phrases| phrases.len() == 1).and_then(<[Phrase]>::first).filter(name);
    let own = line.phrases.iter().filter(|p| !is_lab(p.text())).chain(below);
    vec![own.map(|p| (joined(&p.tokens), p.area)).collect()]
}

/// The name and the bare day of a line that holds the report's number or a day, and another of these or a layer besides.
fn read<'a>(items: &'a [(Item, Rect)], lab: &str) -> (Option<(&'a str, Rect)>, Option<(&'a str, Rect)>) {
    let count = |kind: fn(&Item) -> bool| items.iter().filter(|(item, _)| kind(item)).count();
    let numbers = count(|i| *i == Item::Number);
    let days = count(|i| matches!(i, Item::Day | Item::BareDay(_)));
    let layers = count(|i| *i == Item::Layer);
    let names = items.iter().filter_map(|(item, area)| match item {
        Item::Name(name) | Item::Asked(name) => Some((name.as_str(), *area)),
        _ => None,
    });
    let asked = count(|i| matches!(i, Item::Asked(_))) > 0;
    let bare = items.iter().filter_map(|(item, area)| match item {
        Item::BareDay(day) => Some((day.as_str(), *area)),
        _ => None,
    });
    let other = count(|i| matches!(i, Item::Other | Item::Lab(_))) > 0;
    let names: Vec<_> = names.collect();
    let bare: Vec<_> = bare.collect();
    if other || numbers > 1 || numbers + days == 0 {
        return (None, None);
    }
    let own = |name: &str| {
        let name = name.to_lowercase();
        lab.contains(&name) || name.contains(lab)
    };
    let name = match names.as_slice() {
        [one] if !own(one.0) => {
            // Behind the number alone only what is plainly people's or a firm's is no title of the report.
            let plain = asked || is_people(one.0);
            (numbers + days + layers > 1 || plain && numbers == 1).then_some(*one)
        }
        _ => None,
    };
    let day = match bare.as_slice() {
        [one] if numbers == 1 && days == 1 && names.len() < 2 => Some(*one),
        _ => None,
    };
    (name, day)
}

/// What a text holds, piece by piece. Of the sentences behind the first of each part only days, numbers and layers count.
fn items(text: &str, area: Rect) -> Vec<(Item, Rect)> {
    let told = |(at, sentence): (usize, String)| {
        let mut items = runs(&sentence).into_iter().map(|piece| item(&piece)).collect::<Vec<_>>();
        // `CS-700 part 1: main elements`.
        if let Some((piece, [Item::Number, of])) = runs(&sentence).last().zip(items.first_chunk_mut::<2>())
            && names_a_part(piece)
        {
            *of = Item::Title;
        }
        items.into_iter().filter(move |i| at == 0 || !matches!(i, Item::Other | Item::Name(_) | Item::Title))
    };
    let parts = parts_by_strokes(&fold(text));
    let items = parts.iter().flat_map(|part| sentences(part).into_iter().enumerate().flat_map(told));
    items.map(|item| (item, area)).collect()
}

/// `Report AG-5512, November 28, 2023. Depth: 0-8 inches.`: what ends with a sentence is a piece of its own.
fn sentences(text: &str) -> Vec<String> {
    let mut out: Vec<String> = vec![String::new()];
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let ends = word.ends_with('.') && word.len() > 4 || word.ends_with(". ");
        if let Some(last) = out.last_mut() {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(if ends { word.trim_end_matches('.') } else { word });
        }
        if ends {
            out.push(String::new());
        }
    }
    out.retain(|s| !s.is_empty());
    out
}

/// A piece cut before each day and each layer that words of its own open, and behind the number of a report.
fn runs(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split(' ').filter(|w| !w.is_empty()).collect();
    let mut cuts = vec![0];
    let mut at = 0;
    while at < words.len() {
        let longest = (1..=WORDS_OF_A_DAY.min(words.len() - at)).rev().find(|n| {
            let run = words.get(at..at + n).unwrap_or_default().join(" ");
            matches!(plain(&run), Some(Item::Number | Item::Day | Item::BareDay(_) | Item::Layer))
        });
        match longest {
            Some(n) => {
                cuts.extend([at, at + n]);
                at += n;
            }
            None => at += 1,
        }
    }
    cuts.push(words.len());
    cuts.dedup();
    let pieces = cuts.windows(2).filter_map(|cut| words.get(*cut.first()?..*cut.get(1)?));
    pieces
        .map(|words| words.join(" ").trim_matches([',', ';', ' ']).to_owned())
        .filter(|p| !p.is_empty())
        .collect()
}

fn item(text: &str) -> Item {
    plain(text).or_else(|| asked(text)).unwrap_or_else(|| {
        let words: Vec<String> =
            text.split([' ', '/']).map(|w| w.trim_matches([',', ';', '.']).to_lowercase()).collect();
        let says_nothing = |w: &String| {
            List::Title.has(w)
                || List::Filler.has(w)
                || List::NoOwner.has(w)
                || w.chars().all(|c| c.is_ascii_digit())
        };
        match () {
            () if words.iter().all(says_nothing) => Item::Title,
            () if is_name(text) => Item::Name(text.to_owned()),
            () if words.iter().any(|w| List::Laboratory.has(w)) => Item::Lab(text.to_owned()),
            () => Item::Other,
        }
    })
}

/// `for Moss Dairy`, `Prepared for: Moss Dairy`.
fn asked(text: &str) -> Option<Item> {
    let (field, rest, _) = leading_field(text, CONTEXT)?;
    (field.names_an_owner() && is_name(&rest)).then_some(Item::Asked(rest))
}

/// A number, a day or a layer with at most the words that ask for it.
fn plain(text: &str) -> Option<Item> {
    let text = text.trim_matches([',', ';', '.', ' ']);
    let digits = text.contains(|c: char| c.is_ascii_digit());
    if !digits {
        return None;
    }
    let words = text.split(' ').count();
    if words <= WORDS_OF_A_DAY && starts_a_day(text) && date(text, DayOrder::Unknown).is_some() {
        return Some(Item::BareDay(text.to_owned()));
    }
    if let Some((field, rest, _)) = leading_field(text, CONTEXT) {
        let rest = rest.trim_matches([',', ';', '.', ' ']);
        return match field {
            Field::Report if is_number(rest) => Some(Item::Number),
            Field::SampledOn | Field::ReceivedOn | Field::ReportedOn | Field::Handled | Field::Day => {
                (starts_a_day(rest) && date(rest, DayOrder::Unknown).is_some()).then_some(Item::Day)
            }
            Field::DepthTop if depth(rest, None, true).is_some() || super::plausible::is_depth(rest) => {
                Some(Item::Layer)
            }
            Field::DepthTop | Field::DepthUnit | Field::SampleLabel => layer_or_number(text),
            _ => None,
        };
    }
    layer_or_number(text)
}

/// `all cores 0 to 6 inches`, `Test sheet 0388`, `BV-2024-031`.
fn layer_or_number(text: &str) -> Option<Item> {
    let layer = text.split(' ').skip_while(|w| !w.starts_with(|c: char| c.is_ascii_digit()));
    let layer = layer.collect::<Vec<_>>().join(" ");
    let before: Vec<&str> =
        text.split(' ').take_while(|w| !w.starts_with(|c: char| c.is_ascii_digit())).collect();
    let of_cores = |w: &&str| {
        let w = w.to_lowercase();
        List::BeforeDepth.has(&w)
            || List::BeforeDay.has(&w)
            || List::Soil.has(&w)
            || List::NoOwner.has(&w)
            || List::Title.has(&w)
    };
    if before.iter().all(of_cores) && !layer.is_empty() {
        if layer.split(' ').count() <= 4
            && super::plausible::is_depth(&layer)
            && layer.contains(char::is_alphabetic)
        {
            return Some(Item::Layer);
        }
        let titled = !before.is_empty()
            && before
                .iter()
                .all(|w| List::Title.has(&w.to_lowercase()) || List::NoOwner.has(&w.to_lowercase()));
        if (titled || before.is_empty() && is_code(&layer)) && is_number(&layer) {
            return Some(Item::Number);
        }
    }
    (is_number(text) && is_code(text)).then_some(Item::Number)
}

/// True where nothing stands before a day but itself, nothing behind its year, and no other word among it than a month's.
fn starts_a_day(text: &str) -> bool {
    let month = |w: &&str| date(&format!("{w} 1, 2001"), DayOrder::Unknown).is_some();
    let words = || text.split([' ', ',', '.', '-', '/']);
    let worded: Vec<&str> =
        words().filter(|w| w.chars().count() > 2 && w.contains(char::is_alphabetic)).collect();
    let months = worded.iter().filter(|w| month(w)).count();
    let figures = text.split(' ').filter(|w| w.contains(|c: char| c.is_ascii_digit())).count();
    // `9 April 2024`, `09/04/2024`: two days in a row are not one.
    let one = months == worded.len() && months < 2 && figures <= 1 + months;
    super::told::day_told(text).is_some_and(|day| day == text)
        && text.ends_with(|c: char| c.is_ascii_digit())
        && one
}

/// The laboratory's own name is no item.
fn without_lab(items: Vec<(Item, Rect)>, lab: &str) -> Vec<(Item, Rect)> {
    items
        .into_iter()
        .filter(|(item, _)| !matches!(item, Item::Lab(name) if name.to_lowercase() == lab))
        .collect()
}

/// One word with a figure in it.
fn is_number(text: &str) -> bool {
    !text.contains(' ') && text.len() < 24 && text.contains(|c: char| c.is_ascii_digit())
}

/// `BV-2024-031`: letters and figures in one word, and no layer.
fn is_code(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_uppercase())
        && text.chars().filter(char::is_ascii_digit).count() > 2
}

/// `Corrie Mains`, `Moss Homeowners`: two words or more, each with a capital, that are no ground, no crop, no heading and no
/// title, and of no laboratory.
pub(super) fn is_name(text: &str) -> bool {
    let words: Vec<&str> = text.split(' ').collect();
    let lower = |w: &str| w.trim_matches(['.', ',']).to_lowercase();
    let joins = |w: &str| {
        matches!(
            w,
            "of" | "the"
                | "&"
                | "and"
                | "de"
                | "du"
                | "des"
                | "del"
                | "do"
                | "da"
                | "van"
                | "von"
                | "y"
                | "e"
                | "et"
                | "und"
        )
    };
    let worded = words.iter().all(|w| joins(w) || w.starts_with(char::is_uppercase));
    let laboratory = |w: &&str| List::Laboratory.has(&lower(w));
    let no_owner = |w: &&str| {
        let w = lower(w);
        List::Title.has(&w) || List::NoOwner.has(&w) || List::Part.has(&w) || List::Agent.has(&w)
    };
    let crop = List::Crop.has(&text.to_lowercase()) || words.iter().all(|w| List::Crop.has(&lower(w)));
    let l = label(text, CONTEXT);
    let heading = l.analyte.is_some()
        || l.unit.is_some()
        || l.role.is_some()
        || l.decoy
        || l.rating
        || !l.methods.is_empty();
    let heading = heading || leading_field(text, CONTEXT).is_some();
    (2..=WORDS_OF_A_NAME).contains(&words.len())
        && worded
        && text.starts_with(char::is_uppercase)
        && !text.contains(|c: char| c.is_ascii_digit() || matches!(c, ':' | ',' | '(' | ')' | '@' | '/'))
        && is_party(text)
        && (is_people(text)
            || !words.iter().any(no_owner) && !words.iter().any(|w| List::Crop.has(&lower(w))))
        && !words.iter().any(laboratory)
        && !crop
        && !heading
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn told(lines: &[&str]) -> Vec<(Field, String)> {
        let mut head = vec!["Quill Analytical", ""];
        head.extend(lines);
        let page = layout(&typed(&head));
        told_in_a_strip(&[page], Some("Quill Analytical")).into_iter().map(|f| (f.field, f.text)).collect()
    }

    fn client(line: &str) -> Option<String> {
        told(&[line]).into_iter().find(|(field, _)| *field == Field::Client).map(|f| f.1)
    }

    #[test]
    fn the_one_name_beside_the_number_and_the_days_is_whose_soil_it_is() {
        for (line, name) in [
            (
                "Report 1402 Moss Homeowners Received 02/20/2024 Mailed 02/28/2024 Sample depth 6 inches",
                "Moss Homeowners",
            ),
            (
                "Test sheet 0388 - Hob Farmer Group - received 10-May-2023, reported 19-May-2023 - depth 0-15 cm",
                "Hob Farmer Group",
            ),
            (
                "BV-2024-031       Hob Mains      Received 6 Feb 2024         Reported 13 Feb 2024       Depth 0-15 cm",
                "Hob Mains",
            ),
            (
                "Annual monitoring - Moss Golf Club | Ref. QM/24/207 | Sampled 9 April 2024, 0–10 cm | Reported 22 April 2024",
                "Moss Golf Club",
            ),
            (
                "Elm Row Folk - order LBK-58 - April 11, 2024 - all cores 0 to 6 inches. Extract: modified Morgan. pH 1:1",
                "Elm Row Folk",
            ),
            ("Order 7741 Hob Land Company", "Hob Land Company"),
            ("Job TM-66021 for Quern Dairy", "Quern Dairy"),
            ("Moss Valley Folk         printed 30-Aug-2024         depth 0-6 in", "Moss Valley Folk"),
        ] {
            assert_eq!(client(line).as_deref(), Some(name), "{line}");
        }
    }

    #[test]
    fn what_may_be_a_sample_a_crop_a_title_or_a_laboratory_is_nobody() {
        for other in [
            "North Field",
            "Winter Wheat",
            "Basic Package",
            "Final Copy",
            "Quill Analytical",
            "Hob Soil Laboratory",
            "Hob Hill 3",
            "Hob",
            "Organic Matter",
            "Moss Trust, Hobton",
        ] {
            assert_eq!(
                client(&format!("Report QA-1402 | {other} | Received 02/20/2024 | Reported 02/28/2024")),
                None,
                "{other}"
            );
        }
        for line in [
            "Report QA-1402 | Moss Mains | Hob Mains | Received 02/20/2024",
            "Report QA-1402 | Moss Mains | call us | Received 02/20/2024",
            "Report QA-1402 | Moss Mains",
            "Moss Mains | 0-15 cm",
            "Report QA-1402 | Report QA-1403 | Moss Mains | Received 02/20/2024",
        ] {
            assert_eq!(client(line), None, "{line}");
        }
        let two = [
            "Report QA-1 | Moss Mains | Received 02/20/2024",
            "Report QA-2 | Hob Mains | Received 02/20/2024",
        ];
        assert_eq!(told(&two).into_iter().find(|f| f.0 == Field::Client), None);
        let page = layout(&typed(&["Report QA-1402 | Moss Mains | Received 02/20/2024"]));
        assert_eq!(told_in_a_strip(&[page], None), Vec::new());
    }

    #[test]
    fn a_day_behind_the_number_alone_is_that_of_the_report() {
        let day = |line: &str| told(&[line]).into_iter().find(|(field, _)| *field == Field::Day).map(|f| f.1);
        let own = "Report AG-5512, November 28, 2023. Grower: Pardee Ranch. Depth: 0-8 inches.";
        assert_eq!(day(own).as_deref(), Some("November 28, 2023"));
        assert_eq!(day("Report AG-5512, November 28, 2023, received November 20, 2023"), None);
        assert_eq!(day("Report AG-5512, November 28, 2023, December 2, 2023"), None);
    }

    #[test]
    fn lines_of_one_edge_tell_it_too() {
        let found = told(&["Moss Links", "Report MTS-0098", "Sampled: 16 Jan 2026", "Received: 19 Jan 2026"]);
        assert!(found.contains(&(Field::Client, "Moss Links".to_owned())), "{found:?}");
    }
}
