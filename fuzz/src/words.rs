//! Printed words: numbers, dates, names of measurements, units.

use jiff::civil::Date;
use loamline::reading::date::{DayOrder, PrintedDate, date, decide_order};
use loamline::reading::fold::{fold, pieces};
use loamline::reading::label::label;
use loamline::reading::number::{Decimal, decide_decimal, is_range, number};
use loamline::reading::units::{Rule, conversion, printed_unit_id};
use loamline::reading::vocabulary::Context;
use loamline::soil::{Analyte, Qualifier, Unit, convert};

fn text(data: &[u8]) -> String {
    String::from_utf8_lossy(data).into_owned()
}

/// A number is none, or finite and not negative; printed in full and read again it is the same to the last bit; where
/// plain digits stand there, it is what the standard library reads.
pub fn numbers(data: &[u8]) {
    let text = text(data);
    for decimal in [Decimal::Point, Decimal::Comma, Decimal::Unclear] {
        let Some(read) = number(&text, decimal) else { continue };
        assert!(read.value.is_finite() && read.value >= 0.0, "{read:?}");
        let folded = fold(&text);
        assert!(read.decimals <= folded.len(), "{read:?}");
        let foreign = folded.chars().any(|c| c.is_numeric() && !c.is_ascii_digit());
        assert!(!foreign, "a digit was passed over: {read:?}");
        assert!(!is_range(&text), "a range was taken for a number: {read:?}");
        let sign = match read.qualifier {
            Some(Qualifier::Below) => "<",
            Some(Qualifier::Above) => ">",
            None => "",
        };
        let mut printed = format!("{sign}{}", read.value);
        if decimal == Decimal::Comma {
            printed = printed.replace('.', ",");
        }
        let again = number(&printed, decimal).unwrap_or_else(|| panic!("{printed} is not read again"));
        assert_eq!((again.value, again.qualifier), (read.value, read.qualifier), "{printed}");
        let bare = text.trim();
        let plain = bare.chars().all(|c| c.is_ascii_digit() || c == '.');
        if let (Decimal::Point, true, Ok(value)) = (decimal, plain, bare.parse::<f64>()) {
            assert_eq!(read.value, value, "{bare}");
        }
    }
    let _ = decide_decimal(text.lines(), [].into_iter());
}

/// A date is a real day of 1950 to 2099, its ISO form is the same day, and two possible days are day and month exchanged.
pub fn dates(data: &[u8]) {
    let text = text(data);
    let sound = |day: Date| {
        assert!((1950..2100).contains(&day.year()), "{day}");
        assert_eq!(date(&day.to_string(), DayOrder::Unknown), Some(PrintedDate::Day(day)));
    };
    for order in [DayOrder::MonthFirst, DayOrder::DayFirst, DayOrder::Unknown] {
        match date(&text, order) {
            None => {}
            Some(PrintedDate::Day(day)) => sound(day),
            Some(PrintedDate::Either(a, b)) => {
                assert_eq!(order, DayOrder::Unknown, "the document decides");
                sound(a);
                sound(b);
                assert!(a != b && a.year() == b.year(), "{a} {b}");
                assert_eq!((a.month(), a.day()), (b.day(), b.month()));
                assert_eq!(date(&text, DayOrder::MonthFirst), Some(PrintedDate::Day(a)));
                assert_eq!(date(&text, DayOrder::DayFirst), Some(PrintedDate::Day(b)));
            }
        }
    }
    let _ = decide_order(text.lines());
}

/// Folding twice is folding once; a label names known units only, and no more unknown words than there are words.
pub fn labels(data: &[u8]) {
    let text = text(data);
    let folded = fold(&text);
    assert_eq!(fold(&folded), folded, "folding is not final");
    assert!(!folded.chars().any(char::is_control), "{folded:?}");
    let words = pieces(&text);
    assert!(words.iter().all(|w| !w.is_empty()), "{words:?}");
    for context in
        [(false, false), (true, false), (true, true)].map(|(symbols, capitals)| Context { symbols, capitals })
    {
        let read = label(&text, context);
        if let Some((unit, _)) = &read.unit {
            assert_eq!(printed_unit_id(unit), Some(*unit), "{read:?}");
        }
        assert!(read.unknown.len() <= words.len() * 4 + 1, "{read:?}");
        if let (Some(method), Some(analyte)) = (read.method(), read.analyte) {
            assert!(analyte.id().len() * method.id().len() > 0);
        }
        if let Some(year) = read.year {
            assert!((1900..2200).contains(&year), "{read:?}");
        }
        assert_eq!(read, label(&text, context), "read twice, two meanings");
    }
}

/// Eight bytes of a number, then a printed unit: a way to a canonical unit is finite and above nothing, and every
/// conversion comes back.
pub fn units(data: &[u8]) {
    let Some((head, rest)) = data.split_first_chunk::<8>() else { return };
    let unit = text(rest);
    let named = label(&unit, Context { symbols: false, capitals: false }).unit.as_ref().map(|u| u.0);
    for printed in [printed_unit_id(unit.trim()), named].into_iter().flatten() {
        for canonical in Analyte::ALL.iter().map(|a| a.unit()) {
            let Some(way) = conversion(printed, canonical) else { continue };
            assert!(way.factor.is_finite() && way.factor > 0.0, "{way:?}");
            assert!(way.canonical == Some(canonical) || way.rule == Rule::Never, "{way:?}");
        }
        if Unit::from_id(printed).is_some_and(|u| Analyte::ALL.iter().any(|a| a.unit() == u)) {
            let own = Unit::from_id(printed).and_then(|u| conversion(printed, u));
            assert!(own.is_none_or(|way| way.factor == 1.0), "{printed} to itself: {own:?}");
        }
    }
    let value = f64::from_le_bytes(*head);
    if !value.is_finite() || !(1e-100..1e100).contains(&value.abs()) {
        return;
    }
    type Way = fn(f64) -> f64;
    let pairs: [(Way, Way); 8] = [
        (convert::p_to_p2o5, convert::p2o5_to_p),
        (convert::k_to_k2o, convert::k2o_to_k),
        (convert::mg_to_mgo, convert::mgo_to_mg),
        (convert::ca_to_cao, convert::cao_to_ca),
        (convert::s_to_so3, convert::so3_to_s),
        (convert::lb_per_acre_to_lb_per_1000_ft2, convert::lb_per_1000_ft2_to_lb_per_acre),
        (convert::lb_per_acre_to_kg_per_ha, convert::kg_per_ha_to_lb_per_acre),
        (convert::ds_per_m_to_us_per_cm, convert::us_per_cm_to_ds_per_m),
    ];
    let area: (Way, Way) =
        (convert::mg_per_kg_to_lb_per_acre_by_convention, convert::lb_per_acre_to_mg_per_kg_by_convention);
    for (there, back) in pairs.into_iter().chain([area]) {
        let again = back(there(value));
        assert!((again - value).abs() <= value.abs() * 1e-12, "{value} came back as {again}");
    }
}
