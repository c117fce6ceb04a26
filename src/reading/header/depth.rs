//! The sampled layer as printed.

use super::super::fold::{fold, is_punctuation, pieces};
use crate::soil::Depth;
use compact_str::CompactString;
use regex::Regex;
use std::sync::LazyLock;

/// The unit a depth heading names.
pub fn depth_unit(text: &str) -> Option<&'static str> {
    let words: Vec<CompactString> = pieces(text).into_iter().map(|w| w.to_lowercase()).collect();
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.trim_end_matches('.')));
    // `in water 1:1` measures nothing.
    let inches = words.iter().enumerate().any(|(i, w)| {
        w.trim_end_matches('.') == "in" && words.get(i + 1).is_none_or(|next| is_punctuation(next))
    });
    if has(&["cm", "centimetres", "centimeters"]) {
        Some("cm")
    } else if has(&["mm", "millimetres", "millimeters"]) {
        Some("mm")
    } else if inches || has(&["inch", "inches", "\""]) {
        Some("in")
    } else {
        None
    }
}

static INCHES: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?im) inch|inches| in$|\(in\)|depth in\W*$|depth in\W{2}|lbs?\.?/a|(?:/|\bper|\ban|#) ?acre|\bacre(?:-inch| furrow)",
    )
    .ok()
});

/// True for a report that counts in inches, or in rates of an acre. An acre in a name, `Long Acre`, counts nothing.
pub fn speaks_inches(text: &str) -> bool {
    INCHES.as_ref().is_some_and(|r| r.is_match(text))
}

pub static DEPTH_VALUE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r#"(?i)^[^0-9]{0,12}?([0-9]+(?:[.,][0-9]+)?)\s*("|in\b\.?|inch(?:es)?|cm|mm)?\s*(?:(?:-|to|bis|à|a)\s*([0-9]+(?:[.,][0-9]+)?))?\s*("|in\b|inch|cm|mm|zoll|pouces|pulgadas)?"#).ok()
});

/// A depth; a single number is from the surface down. Without a unit, inches only where the report speaks in them.
pub fn depth(top: &str, bottom: Option<&str>, inches_spoken: bool) -> Option<Depth> {
    let read = |text: &str| -> Option<(f64, Option<f64>, Option<String>)> {
        let folded = fold(text);
        let c = DEPTH_VALUE.as_ref()?.captures(&folded)?;
        // `inches 5` is the end of one column and the figure of the next.
        let before = folded.get(..c.get(1)?.start())?;
        if depth_unit(before).is_some() {
            return None;
        }
        let number = |i: usize| c.get(i).and_then(|m| m.as_str().replace(',', ".").parse::<f64>().ok());
        let unit = c.get(4).or(c.get(2)).map(|m| m.as_str().to_lowercase());
        Some((number(1)?, number(3), unit))
    };
    let (first, second, unit) = read(top)?;
    let (from, to, unit) = match bottom.and_then(read) {
        Some((end, _, end_unit)) => (first, end, unit.or(end_unit)),
        None => match second {
            Some(second) => (first, second, unit),
            None => (0.0, first, unit),
        },
    };
    let layer = match unit.as_deref() {
        Some("cm") => Some(Depth { top_cm: from, bottom_cm: to }),
        Some("mm") => Some(Depth { top_cm: from / 10.0, bottom_cm: to / 10.0 }),
        Some(_) => Some(Depth::inches(from, to)),
        // `6.8` alone is a value of another column.
        None => {
            let whole = from.fract() == 0.0 && to.fract() == 0.0;
            (inches_spoken && whole).then(|| Depth::inches(from, to))
        }
    };
    layer.filter(|layer| layer.top_cm < layer.bottom_cm && layer.bottom_cm <= DEEPEST_CM)
}

/// Nobody takes a soil sample for nutrients from deeper: common practice, no source.
const DEEPEST_CM: f64 = 400.0;

static SAID: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?im)(?:^|[.;:] ?|  )(?:all )?(?:(?:sampling|sample|sampled|soil) )?(?:depths?|layers?)(?: (?:is|are|was|were|given|stated|printed|shown|reported|expressed))* in (cm|centimet(?:re|er)s|mm|millimet(?:re|er)s|inches)\b",
    )
    .ok()
});

/// The unit that a sentence gives to the depths of the whole report, `Depth in mm.`; none where two sentences give two.
pub fn depth_unit_said(text: &str) -> Option<&'static str> {
    let mut units = SAID.as_ref()?.captures_iter(text).filter_map(|c| depth_unit(c.get(1)?.as_str()));
    let first = units.next()?;
    units.all(|other| other == first).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_between_two_others_is_no_unit() {
        for (text, unit) in [
            ("Depth (in)", Some("in")),
            ("Depth, in.", Some("in")),
            ("Depth in inches", Some("in")),
            ("pHw in water 1:1", None),
            ("Depth in the ground", None),
        ] {
            assert_eq!(depth_unit(text), unit, "{text}");
        }
    }

    #[test]
    fn an_acre_in_a_name_speaks_of_no_inches() {
        for text in
            ["Depth (in)", "0-6 in\npH", "P lb/acre", "per acre", "Lime, tons/acre", "K lbs/A", "6 inches"]
        {
            assert!(speaks_inches(text), "{text}");
        }
        for text in ["Long Acre", "Forty acre field", "Acreage Farms Ltd", "Depth 0-20", "12 acres", "in\tcm"]
        {
            assert!(!speaks_inches(text), "{text}");
        }
        for text in ["Depth in mm.", "Depth in cm", "Depth in the ground"] {
            assert!(!speaks_inches(text), "{text}");
        }
    }

    #[test]
    fn a_sentence_gives_the_depths_of_a_report_their_unit() {
        for (text, unit) in [
            ("Lemon 5\nDepth in mm. Clay by hydrometer.", Some("mm")),
            ("Clay by hydrometer. Depths are given in cm.", Some("cm")),
            ("Sampling depth in inches", Some("in")),
            ("Depth in mm.\nDepth in cm.", None),
            ("Rooting depth in cm", None),
            ("Depth in water 1:1", None),
        ] {
            assert_eq!(depth_unit_said(text), unit, "{text}");
        }
    }

    #[test]
    fn a_layer_is_as_deep_as_its_unit_says() {
        assert_eq!(depth("300-600 mm", None, false), Some(Depth { top_cm: 30.0, bottom_cm: 60.0 }));
        assert_eq!(depth("0-300", None, true), None);
    }
}
