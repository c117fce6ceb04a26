//! A printed date to a day, or a doubt where day and month could be either.

use super::fold::folded;
use super::kept::{Kept, kept_of_kind};
use jiff::civil::Date;
use regex::Regex;
use std::cell::RefCell;
use std::sync::LazyLock;

/// The order of day and month in a document, once something in it decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DayOrder {
    /// 04/17/2017.
    MonthFirst,
    /// 17/04/2017.
    DayFirst,
    /// Nothing decides.
    #[default]
    Unknown,
}

/// A date as read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PrintedDate {
    /// A day.
    Day(Date),
    /// Two days are possible.
    Either(Date, Date),
}

static ISO: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})(?:[T ][0-9][0-9]:.*)?\b").ok()
});
/// `2022-Oct-19`, `2022 October 19`: whole names of months and their usual short forms, for `2022 Mar 3` is a day and
/// `2022 Marsh 3` a piece of ground.
static YEAR_FIRST: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b((?:19|20)[0-9]{2})(?:[-/ ]|[.,] )(jan(?:uary|uar|vier)?|feb(?:ruary|ruar|rero)?|mar(?:ch|s|zo)?|märz|apr(?:il)?|may|mai|june?|juni|juin|july?|juli|juillet|aug(?:ust)?|août|sept?(?:ember)?|oct(?:ober|obre)?|okt(?:ober)?|nov(?:ember)?|dec(?:ember)?|dez(?:ember)?|dic|ene|abr|avr|ago)(?:[-/ ]|\. ?)([0-9]{1,2})\b").ok()
});
static NUMERIC: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"\b([0-9]{1,2})([-/. ])([0-9]{1,2})([-/. ])([0-9]{4}|[0-9]{2})\b").ok());
static WORDED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:([0-9]{1,2})(?:st|nd|rd|th|º|°)?\.?[ /-]?(?:de |of )?)?((?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|mär|mai|okt|dez|janv|févr|fevr|mars|avr|juin|juil|août|aout|déc|ene|abr|ago|dic)[a-zéûäç]*|fevereiro|gennaio|gen|maggio|mag|giugno|giu|luglio|lug|settembre|setiembre|setembro|sett|set|ottobre|ott|outubro|maart|mrt|mei|desember|des)\.?[ /-]{1,2}(?:del? )?(?:([0-9]{1,2})(?:st|nd|rd|th)?,?[ -]{1,2})?([0-9]{4}|[0-9]{2})\b").ok()
});

/// The year of `Jan 2024`: a month and its year, and nothing else.
pub fn year_of_month(text: &str) -> Option<i16> {
    let (word, year) = text.trim().rsplit_once([' ', '-'])?;
    let letters = word.trim_end_matches('.');
    let plain = letters.chars().count() >= 3 && letters.chars().all(char::is_alphabetic);
    let whole = WORDED.as_ref()?.find(text.trim()).is_some_and(|m| m.as_str().len() == text.trim().len());
    let year = year.parse::<i16>().ok().filter(|y| (1950..2100).contains(y))?;
    (plain && whole && month(letters).is_some()).then_some(year)
}

fn month(word: &str) -> Option<i8> {
    let word: String = word.to_lowercase().chars().take(4).collect();
    let three: String = word.chars().take(3).collect();
    Some(match (three.as_str(), word.as_str()) {
        ("jan" | "ene" | "gen", _) => 1,
        ("feb" | "fév" | "fev", _) => 2,
        ("mar" | "mär" | "maa" | "mrt", _) => 3,
        ("apr" | "avr" | "abr", _) => 4,
        ("may" | "mai" | "mag" | "mei", _) => 5,
        ("jun" | "giu", _) | (_, "juin") => 6,
        ("jul" | "lug", _) | (_, "juil") => 7,
        ("aug" | "ago" | "aoû" | "aou", _) => 8,
        ("sep" | "set", _) => 9,
        ("oct" | "okt" | "ott" | "out", _) => 10,
        ("nov", _) => 11,
        ("dec" | "dez" | "dic" | "déc" | "des", _) => 12,
        _ => return None,
    })
}

fn year(text: &str) -> Option<i16> {
    let year: i16 = text.parse().ok()?;
    // Two digits: soil laboratories keep no reports from before 1950 nor from after 2049.
    Some(if text.len() == 2 { if year < 50 { 2000 + year } else { 1900 + year } } else { year })
}

fn day(y: i16, m: i8, d: i8) -> Option<Date> {
    (1950..2100).contains(&y).then(|| Date::new(y, m, d).ok()).flatten()
}

static COMPACT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})(?:[T ][0-9]{2}:?[0-9]{2}.*)?$").ok()
});

/// The date in what stands where a day is asked for: there eight figures are year, month and day, as exports write
/// them. Anywhere else they may number anything.
pub fn asked(text: &str, order: DayOrder) -> Option<PrintedDate> {
    let whole = folded(text.trim());
    let compact = whole.len() >= 8 && whole.bytes().take(8).all(|b| b.is_ascii_digit());
    if let Some(c) = COMPACT.as_ref().filter(|_| compact).and_then(|r| r.captures(&whole)) {
        let part = |i| c.get(i).map(|m| m.as_str());
        return day(part(1)?.parse().ok()?, part(2)?.parse().ok()?, part(3)?.parse().ok()?)
            .map(PrintedDate::Day);
    }
    date(text, order)
}

/// The first date in a text, with the document's order of day and month.
pub fn date(text: &str, order: DayOrder) -> Option<PrintedDate> {
    let text = folded(text);
    // A bare number or a word is no date: two separators or a word stand beside the figures of one.
    let worded = text.contains(char::is_alphabetic) && text.contains([' ', '-', '/']);
    let parted = text.matches(['-', '/', '.', ' ']).nth(1).is_some();
    if !text.contains(|c: char| c.is_ascii_digit()) || !worded && !parted {
        return None;
    }
    let kind = match order {
        DayOrder::MonthFirst => 0,
        DayOrder::DayFirst => 1,
        DayOrder::Unknown => 2,
    };
    kept_of_kind(&DATES, &text, kind, || find_date(&text, order, worded, parted))
}

thread_local! {
    static DATES: RefCell<Kept<Option<PrintedDate>>> = RefCell::default();
}

/// The first date in a text that may hold one: `worded` with a month's name, `parted` by signs.
fn find_date(text: &str, order: DayOrder, worded: bool, parted: bool) -> Option<PrintedDate> {
    let (iso, numeric) = (parted && opens_like_iso(text), parted && holds_parted_figures(text));
    let worded = worded && may_name_a_month(text);
    if let Some(c) = ISO.as_ref().filter(|_| iso).and_then(|r| r.captures(text)) {
        let part = |i| c.get(i).map(|m| m.as_str());
        return day(part(1)?.parse().ok()?, part(2)?.parse().ok()?, part(3)?.parse().ok()?)
            .map(PrintedDate::Day);
    }
    if let Some(c) = YEAR_FIRST.as_ref().filter(|_| worded).and_then(|r| r.captures(text)) {
        let part = |i: usize| c.get(i).map(|m| m.as_str());
        return day(part(1)?.parse().ok()?, month(part(2)?)?, part(3)?.parse().ok()?).map(PrintedDate::Day);
    }
    if let Some(c) = WORDED.as_ref().filter(|_| worded).and_then(|r| r.captures(text)) {
        let part = |i: usize| c.get(i).map(|m| m.as_str());
        let d: i8 = part(1).or(part(3))?.parse().ok()?;
        return day(year(part(4)?)?, month(part(2)?)?, d).map(PrintedDate::Day);
    }
    let c = NUMERIC.as_ref().filter(|_| numeric).and_then(|r| r.captures(text))?;
    let part = |i: usize| c.get(i).map(|m| m.as_str());
    // `Bed 3 10-20` is a layer of a bed.
    if part(2) == Some(" ") && part(4) != Some(" ") {
        return None;
    }
    let (a, b, y): (i8, i8, i16) = (part(1)?.parse().ok()?, part(3)?.parse().ok()?, year(part(5)?)?);
    let dotted = part(2) == Some(".");
    let (month_first, day_first) = (day(y, a, b), day(y, b, a));
    match (month_first, day_first) {
        (Some(m), Some(d)) if m != d => match order {
            DayOrder::MonthFirst => Some(PrintedDate::Day(m)),
            DayOrder::DayFirst => Some(PrintedDate::Day(d)),
            // Dots between numbers are the continental day-first habit.
            DayOrder::Unknown if dotted => Some(PrintedDate::Day(d)),
            DayOrder::Unknown => Some(PrintedDate::Either(m, d)),
        },
        (m, d) => m.or(d).map(PrintedDate::Day),
    }
}

/// True where four figures stand before a sign that may part a year from a month: without them the pattern of such a day
/// need not be asked, and it is dearer than this.
fn opens_like_iso(text: &str) -> bool {
    let mut figures = 0_u32;
    text.bytes().any(|b| match b {
        b'0'..=b'9' => {
            figures += 1;
            false
        }
        _ => std::mem::take(&mut figures) >= 4 && matches!(b, b'-' | b'/' | b'.'),
    })
}

/// True where a figure stands on either side of a sign that may part a day from a month.
fn holds_parted_figures(text: &str) -> bool {
    let mut bytes = text.as_bytes().windows(3);
    bytes.any(|w| matches!(w, [b'0'..=b'9', b'-' | b'/' | b'.' | b' ', b'0'..=b'9']))
}

/// False where no three letters of a text are those that a month's name begins with. Letters outside ASCII may be those
/// of a month too.
fn may_name_a_month(text: &str) -> bool {
    !text.is_ascii()
        || text.as_bytes().windows(3).any(|w| {
            let [a, b, c] = w else { return false };
            matches!(
                &[a.to_ascii_lowercase(), b.to_ascii_lowercase(), c.to_ascii_lowercase()],
                b"jan"
                    | b"feb"
                    | b"mar"
                    | b"apr"
                    | b"may"
                    | b"jun"
                    | b"jul"
                    | b"aug"
                    | b"sep"
                    | b"oct"
                    | b"nov"
                    | b"dec"
                    | b"mai"
                    | b"okt"
                    | b"dez"
                    | b"fev"
                    | b"avr"
                    | b"jui"
                    | b"aou"
                    | b"ene"
                    | b"abr"
                    | b"ago"
                    | b"dic"
                    | b"gen"
                    | b"mag"
                    | b"giu"
                    | b"lug"
                    | b"set"
                    | b"ott"
                    | b"out"
                    | b"maa"
                    | b"mrt"
                    | b"mei"
                    | b"des"
            )
        })
}

static DECIDING: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b([0-9]{1,2})(?:/([0-9]{1,2})/|-([0-9]{1,2})-|\.([0-9]{1,2})\.)(?:[0-9]{4}|[0-9]{2})\b")
        .ok()
});

/// What the numeric dates of a document say of their order: a day over twelve anywhere decides for all. Figures of a
/// row with spaces between them (`8 29 34`) are no date here.
pub fn decide_order<'a>(texts: impl Iterator<Item = &'a str>) -> DayOrder {
    let (mut month_first, mut day_first) = (false, false);
    for text in texts {
        let text = folded(text);
        if !['/', '-', '.'].iter().any(|sign| text.matches(*sign).nth(1).is_some()) {
            continue;
        }
        for c in DECIDING.as_ref().map(|r| r.captures_iter(&text).collect::<Vec<_>>()).unwrap_or_default() {
            let part = |i: usize| c.get(i).and_then(|m| m.as_str().parse::<i8>().ok());
            match (part(1), part(2).or(part(3)).or(part(4))) {
                (Some(a), Some(b)) if a > 12 && b <= 12 => day_first = true,
                (Some(a), Some(b)) if b > 12 && a <= 12 => month_first = true,
                _ => {}
            }
        }
    }
    match (month_first, day_first) {
        (true, false) => DayOrder::MonthFirst,
        (false, true) => DayOrder::DayFirst,
        _ => DayOrder::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date as d;

    #[test]
    fn what_spares_a_pattern_spares_no_date() {
        let patterns = [&ISO, &YEAR_FIRST, &WORDED, &NUMERIC].map(|p| p.as_ref().unwrap());
        let [iso, year_first, worded, numeric] = patterns;
        let months = "jan feb mar apr may jun jul aug sep oct nov dec mai okt dez fevr avr juin juil aout ene abr ago dic \
            fevereiro gennaio gen maggio mag giugno giu luglio lug settembre setiembre sett set ottobre ott outubro maart mrt \
            mei desember des march june august october janvier märz déc";
        let days = months.split_whitespace().flat_map(|m| {
            [format!("12 {m} 2020"), format!("{m} 12, 2020"), format!("2020-{m}-12"), format!("12th{m} 20")]
        });
        let figures = ["2020-01-12", "12.01.2020", "12/1/20", "12 01 2020", "x2020.1.2", "p 12-01-20 y"];
        for text in days.chain(figures.map(str::to_owned)) {
            let found = (
                iso.is_match(&text),
                worded.is_match(&text) || year_first.is_match(&text),
                numeric.is_match(&text),
            );
            // The first form is one of every month; the others of those that are written so.
            assert!(found.0 || found.1 || found.2 || !text.starts_with("12 "), "{text}");
            assert!(!found.0 || opens_like_iso(&text), "{text}");
            assert!(!found.1 || may_name_a_month(&text), "{text}");
            assert!(!found.2 || holds_parted_figures(&text), "{text}");
        }
        assert!(
            !opens_like_iso("12-2020 3")
                && !holds_parted_figures("Bed 3 x")
                && !may_name_a_month("Bed 3-4 rows")
        );
    }

    #[test]
    fn a_month_named_between_strokes_is_one() {
        let day = "2022-10-10".parse().unwrap();
        assert_eq!(date("10/Oct/2022", DayOrder::Unknown), Some(PrintedDate::Day(day)));
        assert_eq!(date("10/Oak/2022", DayOrder::Unknown), None);
    }

    #[test]
    fn dates_in_words_and_iso() {
        for text in [
            "Nov 10, 2014",
            "10 November 2014",
            "2014-11-10",
            "November 10, 2014",
            "10-Nov-14",
            "10. November 2014",
            "10 de noviembre de 2014",
            "10 de novembro del 2014",
            "10 novembre 2014",
            "10th of November 2014",
            "2014 Nov 10",
            "2014-Nov-10",
            "2014 November 10",
            "2014/NOV/10",
            "2014, Nov. 10",
        ] {
            assert_eq!(date(text, DayOrder::Unknown), Some(PrintedDate::Day(d(2014, 11, 10))), "{text}");
        }
    }

    #[test]
    fn a_name_between_a_year_and_a_number_is_no_month() {
        for text in ["2022 Marsh 3", "2022 Block 19", "2022-Mayfield-3", "2022 Novel 3", "3022-Oct-19"] {
            assert_eq!(date(text, DayOrder::Unknown), None, "{text}");
        }
    }

    #[test]
    fn months_of_more_countries() {
        for (text, month) in [
            ("4 gennaio 2021", 1),
            ("4 de março de 2021", 3),
            ("4 maart 2021", 3),
            ("4 Mei 2021", 5),
            ("4 mag. 2021", 5),
            ("4 giugno 2021", 6),
            ("4 luglio 2021", 7),
            ("4 de setiembre del 2021", 9),
            ("4 set 2021", 9),
            ("4 outubro 2021", 10),
            ("4 Desember 2021", 12),
        ] {
            assert_eq!(date(text, DayOrder::Unknown), Some(PrintedDate::Day(d(2021, month, 4))), "{text}");
        }
        for text in ["Magnesium 12 2021", "General 4 2021", "Bed of magnolia 4 2021", "4 settings 2021"] {
            assert_eq!(date(text, DayOrder::Unknown), None, "{text}");
        }
    }

    #[test]
    fn eight_figures_are_a_day_only_where_one_is_asked_for() {
        let day = Some(PrintedDate::Day(d(2024, 3, 18)));
        assert_eq!(asked("20240318", DayOrder::Unknown), day);
        assert_eq!(asked("20240318T0930", DayOrder::MonthFirst), day);
        assert_eq!(date("20240318", DayOrder::Unknown), None);
        for text in ["20241318", "20240230", "18032024", "2024031", "77120240318", "20240318-2"] {
            assert_eq!(asked(text, DayOrder::Unknown), None, "{text}");
        }
    }

    #[test]
    fn a_numeric_date_that_could_be_either_stays_in_doubt_until_the_document_decides() {
        assert_eq!(
            date("03/04/2025", DayOrder::Unknown),
            Some(PrintedDate::Either(d(2025, 3, 4), d(2025, 4, 3)))
        );
        assert_eq!(date("04/17/2017", DayOrder::Unknown), Some(PrintedDate::Day(d(2017, 4, 17))));
        assert_eq!(decide_order(["03/04/2025", "25/04/2025"].into_iter()), DayOrder::DayFirst);
        assert_eq!(decide_order(["04.10.2023", "19,8 29 34 37"].into_iter()), DayOrder::Unknown);
        assert_eq!(date("04.10.2023", DayOrder::Unknown), Some(PrintedDate::Day(d(2023, 10, 4))));
        assert_eq!(date("03/04/2025", DayOrder::DayFirst), Some(PrintedDate::Day(d(2025, 4, 3))));
        assert_eq!(date("Spring 2025", DayOrder::Unknown), None);
        assert_eq!(date("Bed 3 10-20", DayOrder::Unknown), None);
        assert_eq!(date("4 10 2023", DayOrder::DayFirst), Some(PrintedDate::Day(d(2023, 10, 4))));
    }
}
