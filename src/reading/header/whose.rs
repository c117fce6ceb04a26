//! Whose soil it is, and what was done on which day, where a letter tells it beside the number of its report.

use super::super::date::{DayOrder, date};
use super::super::layout::Phrase;
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::FieldValue;
use super::leading::leading_field;
use super::plausible::is_depth;
use regex::Regex;
use std::sync::LazyLock;

/// `Soil results for Hob Mill Links, our report Q-77`: the number of the report behind whose it is.
static BEFORE_THE_NUMBER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b[Rr]esults (?:for|of) (?:the )?(\p{Lu}[^,.;:()]{2,60}), (?:our |your )?(?:report|reference|ref\.?|job|order|batch)(?: no\.?| number)? [A-Z]{0,5}[-/ ]?[0-9]").ok()
});

/// `los resultados del informe 24-3 (Cooperativa Hob)`, `report HT-88 (Hob Farms Ltd)`.
static BEHIND_THE_NUMBER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b(?:[Rr]eport|[Ii]nforme|[Rr]apport|[Bb]ericht|[Ll]audo|[Bb]olet[ií]n|[Rr]apporto di prova) (?:[Nn]o\.? |[Nn]umber |[Nn]\.?º ?|[Nn]r\.? )?([A-Z0-9]{0,5}[-/ ]?[A-Z0-9][\w/-]*) \((\p{Lu}[^()]{2,60})\)").ok()
});

/// `Muestras recibidas el 04/03/2024.`
static CAME_IN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:muestras?|échantillons?|amostras?|campion[ei]|proben?|monsters?) (?:recibid[ao]s?|reçus?|recebid[ao]s?|ricevut[io]|eingegangen|ontvangen) (?:el |le |em |il |am |op )?([0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{4})").ok()
});

/// A shorter text is no sentence.
const SENTENCE: usize = 6;

/// What one text of several sentences tells.
pub(super) fn told(page: u32, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let text = phrase.text();
    if text.contains(" | ") {
        return beside_the_number(page, phrase, context);
    }
    if text.split(' ').count() < SENTENCE {
        return Vec::new();
    }
    let make =
        |field, text: &str| FieldValue { field, text: text.to_owned(), page, area: phrase.area, firm: false };
    let mut out = Vec::new();
    let find = |r: &'static LazyLock<Option<Regex>>| r.as_ref().and_then(|r| r.captures(text));
    if let Some(name) = find(&BEFORE_THE_NUMBER).and_then(|c| c.get(1)).filter(|m| is_party(m.as_str())) {
        out.push(make(Field::Client, name.as_str()));
    }
    if let Some(found) = find(&BEHIND_THE_NUMBER)
        && let (Some(number), Some(name)) = (found.get(1), found.get(2))
        && number.as_str().contains(|c: char| c.is_ascii_digit())
        && is_party(name.as_str())
        && name.as_str().split(' ').any(|w| List::Firm.has(&w.to_lowercase()))
    {
        out.push(make(Field::Report, number.as_str()));
        out.push(make(Field::Client, name.as_str()));
    }
    if let Some(day) = find(&CAME_IN).and_then(|c| c.get(1)) {
        out.push(make(Field::ReceivedOn, day.as_str()));
    }
    out.extend(asked_in_sentences(text, context).into_iter().map(|(field, value)| make(field, &value)));
    out
}

/// `Report GP-77 | Hob Mill Club`: the number of the report, a stroke, and whose it is.
fn beside_the_number(page: u32, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let parts: Vec<&str> = phrase.text().split(" | ").map(str::trim).collect();
    let [report, name] = parts.as_slice() else { return Vec::new() };
    let number = match leading_field(report, context) {
        Some((Field::Report, number, _)) if number.contains(|c: char| c.is_ascii_digit()) => number,
        _ => return Vec::new(),
    };
    let party = |w: &str| List::Firm.has(&w.to_lowercase());
    if !is_party(name) || !name.split(' ').any(party) || leading_field(name, context).is_some() {
        return Vec::new();
    }
    let make =
        |field, text: &str| FieldValue { field, text: text.to_owned(), page, area: phrase.area, firm: false };
    vec![make(Field::Report, &number), make(Field::Client, name)]
}

/// `... Fecha del informe: 12/03/2024. Profundidad: 0-30 cm.`: sentences behind the first that ask with a colon for a day
/// or a layer and hold nothing else.
fn asked_in_sentences(text: &str, context: Context) -> Vec<(Field, String)> {
    let sentences = text.split(". ").skip(1).map(|s| s.trim().trim_end_matches('.'));
    sentences
        .filter_map(|sentence| {
            let (field, rest, true) = leading_field(sentence, context)? else { return None };
            let holds = match field {
                Field::SampledOn | Field::ReceivedOn | Field::ReportedOn => {
                    rest.split(' ').count() <= 3 && date(&rest, DayOrder::Unknown).is_some()
                }
                Field::DepthTop => is_depth(&rest),
                _ => false,
            };
            holds.then_some((field, rest))
        })
        .collect()
}

/// Two words or more, none of which is one for ground, and no figure: `North field 3` is a sample.
pub(super) fn is_party(name: &str) -> bool {
    let ground = |w: &str| {
        let word = w.to_lowercase();
        List::Ground.has(&word) || List::Place.has(&word) || List::AskedPlace.has(&word)
    };
    name.contains(' ')
        && !name.contains(|c: char| c.is_ascii_digit())
        && !name.split(' ').any(|w| ground(w) || ground(w.trim_end_matches('s')))
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::fields;
    use super::*;

    fn of(line: &str) -> Vec<(Field, String)> {
        let found = fields(&layout(&typed(&[line])), &[], Context { symbols: false, capitals: false });
        found.into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn whose_results_stand_before_the_number_of_the_report() {
        let client = |line: &str| of(line).into_iter().find(|(f, _)| *f == Field::Client).map(|f| f.1);
        let letter =
            |name: &str| client(&format!("Soil results for {name}, our report Q-77, sampled 9 May 2024,"));
        assert_eq!(letter("Hob Mill Links").as_deref(), Some("Hob Mill Links"));
        for ground in ["North Field 3", "the Back lawn", "Fields North", "Rosary"] {
            assert_eq!(letter(ground), None, "{ground}");
        }
    }

    #[test]
    fn whose_the_numbers_are_stands_before_our_report_in_brackets() {
        let client = |name: &str| {
            let line =
                format!("Here are the numbers for {name} (our report HT/88, samples in on 3 May 2019).");
            of(&line).into_iter().find(|(f, _)| *f == Field::Client).map(|f| f.1)
        };
        assert_eq!(client("Moss Estate").as_deref(), Some("Moss Estate"));
        assert_eq!(client("Quern Farms").as_deref(), Some("Quern Farms"));
        for ground in ["Deer Park", "Long Ride", "Moss Field", "Bed 3"] {
            assert_eq!(client(ground), None, "{ground}");
        }
        let verb = of("The results of report no. 8840 for Moss Equestrian Society are below.");
        assert!(verb.contains(&(Field::Client, "Moss Equestrian Society".to_owned())), "{verb:?}");
    }

    #[test]
    fn whose_it_is_stands_behind_a_stroke_and_the_number() {
        let client = |name: &str| {
            let found = of(&format!("Report GP-0877 | {name}"));
            found.into_iter().find(|(f, _)| *f == Field::Client).map(|f| f.1)
        };
        assert_eq!(client("Hob Mill Club").as_deref(), Some("Hob Mill Club"));
        for other in ["Hob Mill", "North field", "Page 1 of Club"] {
            assert_eq!(client(other), None, "{other}");
        }
    }

    #[test]
    fn sentences_of_one_text_tell_whose_it_is_and_its_days() {
        let letter = |name: &str| {
            of(&format!(
                "Les adjuntamos los resultados del informe 24-S-3 ({name}). Muestras recibidas el 14/03/2024. \
                 Fecha del informe: 22/03/2024. Profundidad de muestreo: 0-30 cm."
            ))
        };
        let found = letter("Cooperativa Hob");
        for (field, text) in [
            (Field::Report, "24-S-3"),
            (Field::Client, "Cooperativa Hob"),
            (Field::ReceivedOn, "14/03/2024"),
            (Field::ReportedOn, "22/03/2024"),
            (Field::DepthTop, "0-30 cm"),
        ] {
            assert!(found.contains(&(field, text.to_owned())), "{field:?} {found:?}");
        }
        assert!(letter("Texto adjunto").iter().all(|(f, _)| *f != Field::Client));
    }
}
