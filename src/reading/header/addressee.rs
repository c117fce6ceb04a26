//! Whom a report is sent to: the block of an address in the field of a window envelope.

use super::super::label::year_of;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::letterhead::TITLE_WORDS;
use super::person::{is_people, is_person};
use super::plausible::plausible;
use super::{FieldValue, leading_field};
use regex::Regex;
use std::sync::LazyLock;

/// `00000 Oldmoor`, `CH-0000 Hochquell`, `1234 AB Nieuwbrink`: postcode and town, as the continent of Europe writes them.
static POSTCODE: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^(?:[A-Z]{1,2}-)?[0-9]{4,5}(?: [A-Z]{2})? \p{Lu}[\p{L}' .-]*$").ok());

/// How a business is reached: an address with it is that of a letterhead.
static REACHED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)@|www\.|\b(?:tel|tél|fax|phone|telefon|telefono|telefoon)\b").ok());

/// Lines at the head of a page among which an address stands.
const LINES: usize = 20;

/// Lines of an address at most, and at least: name, street, town.
const MOST: usize = 5;
const LEAST: usize = 3;

/// The name over the one address on a page, as long as it is not the laboratory's own. It is the client where no field
/// names one.
pub fn addressee(page: &Layout, lab: Option<&str>) -> Option<FieldValue> {
    let lines: Vec<&Line> = page.lines.iter().take(LINES).collect();
    if page.cells {
        return firm_over_its_report(page, &lines, lab);
    }
    if let Some(told) = written_to(page, &lines, lab) {
        return Some(told);
    }
    let towns: Vec<(usize, &Phrase)> = lines
        .iter()
        .enumerate()
        .flat_map(|(i, line)| line.phrases.iter().map(move |p| (i, p)))
        .filter(|(_, p)| matches(&POSTCODE, p.text()))
        .collect();
    let [(line, town)] = towns.as_slice() else {
        return if towns.is_empty() {
            person_over_a_place(page, &lines, lab)
                .or_else(|| firm_over_a_street(page, &lines, lab))
                .or_else(|| firm_over_its_report(page, &lines, lab))
        } else {
            None
        };
    };
    let below = lines.get(line + 1..).unwrap_or_default();
    let mut block = vec![*town];
    for line in lines.get(..*line).unwrap_or_default().iter().rev() {
        let last = block.last()?;
        let same = line.phrases.iter().find(|p| (p.area.x0 - last.area.x0).abs() < 0.5 * page.em);
        match same {
            Some(p) if last.area.y0 - p.area.y1 < page.em && block.len() <= MOST => block.push(p),
            // Another column's line may stand between.
            None if last.area.y0 - line.area.y1 < page.em => {}
            _ => break,
        }
    }
    let under = below
        .iter()
        .take(2)
        .flat_map(|l| &l.phrases)
        .filter(|p| p.area.overlap_x(&town.area) > 0.0 && p.area.y0 - town.area.y1 < page.em);
    let reached = block.iter().copied().chain(under).any(|p| matches(&REACHED, p.text()));
    let name = block.last()?;
    // What opens the page is the sender's, whether or not its name tells of a laboratory.
    let opens = lines.first().is_some_and(|line| line.area.overlap_y(&name.area) > 0.0);
    let text = name.text();
    (!opens && (LEAST..=MOST).contains(&block.len()) && !reached && is_addressee(text, lab)).then_some(
        FieldValue {
            field: Field::Client,
            text: text.to_owned(),
            page: page.number,
            area: name.area,
            firm: false,
        },
    )
}

/// `To: Hob District Council, Grounds Team`, or `City of Hob` right over `Attention: Parks Foreman`: whom a letter is to, where
/// one alone is named so, no laboratory, and no sender, which turns a letter round.
fn written_to(page: &Layout, lines: &[&Line], lab: Option<&str>) -> Option<FieldValue> {
    let phrases: Vec<&Phrase> = lines.iter().flat_map(|l| &l.phrases).collect();
    let opens = |p: &Phrase, list: List| -> Option<String> {
        let (word, rest) = p.text().split_once(':')?;
        list.has(&word.trim().to_lowercase()).then(|| rest.trim().to_owned())
    };
    if phrases.iter().any(|p| opens(p, List::Sender).is_some()) {
        return None;
    }
    let to = phrases.iter().filter_map(|p| Some((opens(p, List::Addressed)?, *p)));
    let over = phrases.iter().filter_map(|p| {
        opens(p, List::Attention)?;
        let above = phrases.iter().find(|a| {
            let gap = p.area.y0 - a.area.y1;
            (a.area.x0 - p.area.x0).abs() < 0.5 * page.em && gap > -1.0 && gap < page.em
        })?;
        Some((above.text().to_owned(), *above))
    });
    let found: Vec<(String, &Phrase)> = to.chain(over).collect();
    let [(text, phrase)] = found.as_slice() else { return None };
    // The team behind a comma is of the council before it; `Ltd` behind one is of the name.
    let name = match text.split_once(", ") {
        Some((name, rest))
            if name.contains(' ') && !rest.split(' ').any(|w| List::Firm.has(&w.to_lowercase())) =>
        {
            name
        }
        _ => text.as_str(),
    };
    let word = |list: List| name.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| list.has(w));
    let own = lab.is_some_and(|lab| lab.to_lowercase().contains(&name.to_lowercase()));
    let plain = plausible(Field::Client, name, false)
        && name.contains(' ')
        && !name.contains(|c: char| c.is_ascii_digit() || c == '@')
        && !word(List::Laboratory)
        && !word(List::Agent);
    (plain && !own).then(|| FieldValue {
        field: Field::Client,
        text: name.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: false,
    })
}

/// `Ada Fernshaw` over `Hob Mill, Quillmar`, between the letterhead and the first field: the one block of its kind, of
/// a person or a firm and a place without a postcode, as countries write it that have none.
fn person_over_a_place(page: &Layout, lines: &[&Line], lab: Option<&str>) -> Option<FieldValue> {
    let blocks = head_blocks(page, lines);
    let opens = |p: &Phrase| lines.first().is_some_and(|l| l.area.overlap_y(&p.area) > 0.0);
    let word = |p: &Phrase, list: List| {
        p.text().to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| list.has(w))
    };
    let plain =
        |p: &&Phrase| !matches(&REACHED, p.text()) && !word(p, List::Agent) && !word(p, List::Laboratory);
    let own = |p: &Phrase| lab.is_some_and(|lab| lab.eq_ignore_ascii_case(p.text()));
    let mut of_people = blocks.iter().filter_map(|block| {
        let [name, places @ ..] = block.as_slice() else { return None };
        if opens(name) || own(name) {
            return None;
        }
        (is_person(name.text()) || is_people(name.text())).then_some((*name, places, block))
    });
    let (name, places, block) = of_people.next().filter(|_| of_people.next().is_none())?;
    let text = name.text();
    let placed = places.last().is_some_and(|p| {
        let text = p.text();
        text.contains(", ")
            && text.starts_with(char::is_uppercase)
            && !text.contains(|c: char| c.is_ascii_digit())
    });
    let sure =
        (1..MOST).contains(&places.len()) && placed && block.iter().all(plain) && is_addressee(text, lab);
    sure.then_some(FieldValue {
        field: Field::Client,
        text: text.to_owned(),
        page: page.number,
        area: name.area,
        firm: false,
    })
}

/// What stands between the top of a page and its first field, in blocks of lines at one left edge.
fn head_blocks<'a>(page: &Layout, lines: &[&'a Line]) -> Vec<Vec<&'a Phrase>> {
    let context = Context { symbols: false, capitals: false };
    let asks = |l: &&Line| {
        l.phrases.len() > 2
            || l.phrases.iter().any(|p| p.text().contains(':') || leading_field(p.text(), context).is_some())
    };
    let head: Vec<&Line> = lines.iter().copied().take_while(|l| !asks(l)).collect();
    let mut blocks: Vec<Vec<&Phrase>> = Vec::new();
    for phrase in head.iter().flat_map(|l| &l.phrases) {
        let goes_on = |block: &&mut Vec<&Phrase>| {
            block.last().is_some_and(|last| {
                let gap = phrase.area.y0 - last.area.y1;
                gap > -1.0 && gap < page.em && (phrase.area.x0 - last.area.x0).abs() < 0.5 * page.em
            })
        };
        match blocks.iter_mut().find(goes_on) {
            Some(block) => block.push(phrase),
            None => blocks.push(vec![phrase]),
        }
    }
    blocks
}

/// `Moss Dairy I/S` over `Hob Row 2, Quillmar`: the one firm over a street below the sender, whose own street stands under the
/// sender's name, so that this one is not the sender's.
fn firm_over_a_street(page: &Layout, lines: &[&Line], lab: Option<&str>) -> Option<FieldValue> {
    let blocks = head_blocks(page, lines);
    let opens = |p: &Phrase| lines.first().is_some_and(|l| l.area.overlap_y(&p.area) > 0.0);
    let street = |p: &&&Phrase| {
        // A year is no number of a house.
        let number = |w: &str| {
            let figures = w.trim_matches(|c: char| !c.is_alphanumeric());
            figures.starts_with(|c: char| c.is_ascii_digit()) && year_of(figures).is_none()
        };
        p.text().contains(", ") && p.text().split(' ').any(number)
    };
    let (sender, own_street) = match blocks.iter().find(|b| b.first().is_some_and(|p| opens(p)))?.as_slice() {
        [sender, more @ ..] => (sender.text().to_lowercase(), more.iter().any(|p| street(&p))),
        [] => return None,
    };
    let word = |p: &Phrase, list: List| {
        let lower = p.text().to_lowercase();
        lower.split(' ').any(|w| list.has(w))
            || lower.split(|c: char| !c.is_alphabetic()).any(|w| list.has(w))
    };
    let plain = |p: &&Phrase| {
        !matches(&REACHED, p.text())
            && !matches(&TELEPHONE, p.text())
            && !word(p, List::Agent)
            && !word(p, List::Laboratory)
    };
    let mut firms = blocks.iter().filter_map(|block| {
        let [name, places @ ..] = block.as_slice() else { return None };
        (!opens(name) && word(name, List::Firm)).then_some((*name, places, block))
    });
    let (name, places, block) = firms.next().filter(|_| firms.next().is_none())?;
    let text = name.text();
    let shares = text.to_lowercase().split(' ').any(|w| w.chars().count() > 3 && sender.contains(w));
    let sure = own_street
        && (1..MOST).contains(&places.len())
        && places.iter().any(|p| street(&p))
        && block.iter().all(plain)
        && !shares
        && is_addressee(text, lab);
    sure.then(|| FieldValue {
        field: Field::Client,
        text: text.to_owned(),
        page: page.number,
        area: name.area,
        firm: false,
    })
}

/// How a business is called by telephone: `555-0119` at the end of its address.
static TELEPHONE: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?:^|[^0-9-])(?:[0-9]{3}[-. ])?[0-9]{3}-[0-9]{4}$").ok());

/// `Moss Nurseries` by itself right over `Report: 4021`, and over it the sender's own line with its telephone: the one firm
/// that stands so, where no field names one.
fn firm_over_its_report(page: &Layout, lines: &[&Line], lab: Option<&str>) -> Option<FieldValue> {
    let context = Context { symbols: false, capitals: false };
    let alone = |line: &&Line| match line.phrases.as_slice() {
        [phrase] => Some(phrase.clone()),
        _ => None,
    };
    let of_report = |line: &&Line| {
        let asked = line.phrases.first().and_then(|p| leading_field(p.text(), context));
        asked.is_some_and(|(field, rest, colon)| field == Field::Report && colon && !rest.is_empty())
    };
    let word =
        |text: &str, list: List| text.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| list.has(w));
    let mut firms = lines.windows(3).filter_map(|window| {
        let [sender, firm, report] = window else { return None };
        let (sender, firm) = (alone(sender)?, alone(firm)?);
        let text = firm.text();
        let apart = page.cells || firm.area.y0 - sender.area.y1 > page.em;
        let tight = page.cells || report.area.y0 - firm.area.y1 < page.em;
        let opens = sender.text().split([' ', ',']).next().unwrap_or_default();
        // `Moss Soils, 555-0119` over `Moss Growers Ltd`: the sender again.
        let own = text.to_lowercase().contains(&opens.to_lowercase());
        let named = is_people(text) && is_addressee(text, lab) && !word(text, List::Agent) && !own;
        let sent = matches(&TELEPHONE, sender.text()) || matches(&REACHED, sender.text());
        (apart && tight && named && sent && of_report(report)).then_some(firm)
    });
    let firm = firms.next().filter(|_| firms.next().is_none())?;
    Some(FieldValue {
        field: Field::Client,
        text: firm.text().to_owned(),
        page: page.number,
        area: firm.area,
        firm: false,
    })
}

/// A name that is neither the laboratory's nor a title's nor a field's.
fn is_addressee(text: &str, lab: Option<&str>) -> bool {
    let lower = text.to_lowercase();
    let word = |is: &dyn Fn(&str) -> bool| lower.split([' ', ',', '-']).any(is);
    let own = lab.is_some_and(|lab| {
        let lab = lab.to_lowercase();
        lab.contains(&lower) || lower.contains(&lab)
    });
    text.starts_with(char::is_uppercase)
        && text.split(' ').count() <= 8
        && !text.contains(|c: char| c.is_ascii_digit() || c == ':')
        && !own
        && !lower.contains("labor")
        && !word(&|w| List::Laboratory.has(w))
        && !word(&|w| TITLE_WORDS.contains(&w))
        && leading_field(text, Context { symbols: false, capitals: false }).is_none()
        && plausible(Field::Client, text, false)
}

fn matches(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    pattern.as_ref().is_some_and(|r| r.is_match(text))
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::layout;
    use super::super::super::layout::tests::typed;
    use super::*;

    fn of(lines: &[&str]) -> Option<String> {
        addressee(&layout(&typed(lines)), Some("Bodenlabor Moosquell")).map(|f| f.text)
    }

    #[test]
    fn the_name_over_an_address_is_whom_the_report_is_for() {
        for address in [
            ["Hof Birkenquell GbR", "Lindenweg 4", "00000 Oldmoor"],
            ["Mts. Ter Brug-Hoek", "Slotweg 12", "1234 AB Nieuwbrink"],
        ] {
            let [name, street, town] = address;
            let street = format!("{street}              Auftragsnummer: 44");
            assert_eq!(of(&["Bodenlabor Moosquell", "", name, &street, town]).as_deref(), Some(name));
        }
    }

    #[test]
    fn a_firm_over_a_street_below_the_senders_own_is_whom_the_report_is_for() {
        let named = |sender: &[&'static str], block: &[&'static str]| {
            let end: &[&str] = &["", "Analyserapport nr.: 17-4471"];
            of(&[sender, &["", ""], block, end].concat())
        };
        let sender = ["Hobmose Jordanalyse", "Hedevej 21, Hobmose"];
        let block = ["Moss Dairy I/S", "Åvej 2, Quillmar"];
        assert_eq!(named(&sender, &block).as_deref(), Some("Moss Dairy I/S"));
        // Under a sender without a street this one may be the sender's; so may one that shares its name.
        assert_eq!(named(&sender[..1], &block), None);
        for other in [
            ["Hobmose Holding A/S", "Åvej 2, Quillmar"],
            ["Moss Advisory Ltd, consultants", "Åvej 2, Quillmar"],
            ["Moss Dairy I/S", "Results, spring 2024"],
            ["Meadow survey", "Åvej 2, Quillmar"],
        ] {
            assert_eq!(named(&sender, &other), None, "{other:?}");
        }
    }

    #[test]
    fn whom_a_letter_is_to_is_the_client_and_a_letter_to_the_laboratory_has_none() {
        let named = |lines: &[&str]| of(lines);
        let head = ["Fern Turf Analysts", "", "7 Hob Row", ""];
        let with = |more: &[&'static str]| [head.as_slice(), more].concat();
        assert_eq!(
            named(&with(&["To: Hob District Council, Grounds Team", "Our reference: F/24"])).as_deref(),
            Some("Hob District Council")
        );
        assert_eq!(
            named(&with(&["City of Hob", "Attention: Parks Foreman"])).as_deref(),
            Some("City of Hob")
        );
        for turned in [
            ["To: Fern Soil Laboratory", "From: Hob District Council"],
            ["To: Hob District Council", "From: Moss Trust"],
            ["To: Hob District Council", "To: Moss Parish Council"],
            ["To: Fern Soil Laboratory", "Our reference: F/24"],
        ] {
            assert_eq!(named(&with(&turned)), None, "{turned:?}");
        }
    }

    #[test]
    fn a_person_over_a_place_without_a_postcode_is_one_where_no_other_is() {
        let block = |name: &str, place: &str| {
            of(&[
                "                 Moosquell Soils",
                "                 Cross Lane, Moosquell",
                "",
                name,
                place,
                "",
                "Job: 24/1187",
            ])
        };
        assert_eq!(block("Ada Fernshaw", "Hob Mill, Quillmar").as_deref(), Some("Ada Fernshaw"));
        assert_eq!(block("Quern Farms", "Hob Mill, Quillmar").as_deref(), Some("Quern Farms"));
        for (name, place) in [
            ("Ada Fernshaw", "Agronomist, Quillmar"),
            ("Ada Fernshaw", "Laboratory manager"),
            ("Ada Fernshaw", "Soil results"),
            ("North Field", "Hob Mill, Quillmar"),
            ("Lower Meadow Farm", "Hob Mill, Quillmar"),
        ] {
            assert_eq!(block(name, place), None, "{name}");
        }
        let two = [
            "Moosquell Soils",
            "",
            "Ada Fernshaw",
            "Hob Mill, Quillmar",
            "",
            "",
            "Ida Moss",
            "Weir End, Quillmar",
        ];
        assert_eq!(of(&two), None);
        assert_eq!(of(&["Ada Fernshaw", "Hob Mill, Quillmar", "", "Job: 24/1187"]), None);
    }

    #[test]
    fn a_firm_over_the_number_of_its_report_is_whose_it_is() {
        let client = |sender: &str, firm: &str, below: &str| {
            of(&["Soil results 4021", "", sender, "", firm, below, "Received: April 11, 2022"])
        };
        let sender = "Moosquell Soil & Water, 22 Moosquell Lane - 555-0155";
        assert_eq!(client(sender, "Quern Nurseries", "Report: PF-4021").as_deref(), Some("Quern Nurseries"));
        for (sender, firm, below) in [
            (sender, "Moosquell Growers Ltd", "Report: PF-4021"),
            (sender, "North Field", "Report: PF-4021"),
            (sender, "Quern Nurseries", "Invoice to: Quern"),
            (sender, "Quern Laboratories Ltd", "Report: PF-4021"),
            ("Results of the soil test", "Quern Nurseries", "Report: PF-4021"),
        ] {
            assert_eq!(client(sender, firm, below), None, "{firm}");
        }
        let tight = [sender, "Quern Nurseries", "Report: PF-4021"];
        assert_eq!(of(&tight), None);
    }

    #[test]
    fn a_laboratory_writes_no_report_to_itself() {
        assert_eq!(of(&["Bodenlabor Moosquell", "Lindenweg 4", "00000 Oldmoor"]), None);
        assert_eq!(
            of(&["", "Moosquell und Partner", "Lindenweg 4", "00000 Oldmoor", "Tel. 0000 555-0119"]),
            None
        );
        let two =
            ["Hof Birkenquell", "Weg 4", "00000 Oldmoor", "", "Hof Erlenquell", "Weg 5", "00000 Oldmoor"];
        assert_eq!(of(&two), None);
        assert_eq!(of(&["Hof Birkenquell GbR", "00000 Oldmoor"]), None);
        assert_eq!(of(&["Moosquell und Partner", "Lindenweg 4", "00000 Oldmoor", "", "Bericht"]), None);
    }
}
