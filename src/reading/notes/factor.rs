//! What a report says pounds or kilograms of an area are in parts per million.

use super::said::Notes;
use crate::soil::Depth;
use compact_str::CompactString;
use regex::Regex;
use std::sync::LazyLock;

/// `x 6 for 6-24 in`: a factor and the layer it is for.
static OF_LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?:x|times|\*|×) ?([0-9]+(?:\.[0-9]+)?) (?:for|in|at|of)(?: the)? ([0-9]+(?:\.[0-9]+)?) ?(?:-|to) ?([0-9]+(?:\.[0-9]+)?) ?(?:in\b|inch|")"#,
    )
    .ok()
});

/// `0-6 in: ppm x 1.8`: the layer first.
static LAYER_FIRST: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"([0-9]+(?:\.[0-9]+)?) ?(?:-|to) ?([0-9]+(?:\.[0-9]+)?) ?(?:in\.?|inch|inches|") ?[:=(] ?(?:(?:lbs?/a|lbs?/ac|lbs?/acre|pounds per acre) ?[:=] ?)?(?:ppm|mg/kg)? ?(?:x|times|\*|×) ?([0-9]+(?:\.[0-9]+)?)"#,
    )
    .ok()
});

/// `ppm x 0.3 x thickness of the layer in inches`: a factor for each inch.
static OF_AN_INCH: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?:ppm|mg/kg|parts per million) ?(?:x|times|\*|×) ?([0-9]*\.[0-9]+) ?(?:x|times|\*|×) ?(?:the )?(?:(?:layer|sample|sampling) )?(?:thickness|depth|inches)\b",
    )
    .ok()
});

/// `to a depth of six inches`: how deep the one layer is that a factor stands for.
static SLICE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?:^|[ (])(?:six|seven|eight|[0-9]+(?:[ -][0-9]/[0-9])?)[ -]inch(?:es)?\b").ok()
});

/// The factors that a text states for layers counted in inches.
fn of_layers(text: &str) -> Vec<(Depth, f64)> {
    let number = |c: &regex::Captures<'_>, i: usize| c.get(i).and_then(|m| m.as_str().parse::<f64>().ok());
    let all = |regex: &'static LazyLock<Option<Regex>>| {
        regex.as_ref().map(|r| r.captures_iter(text).collect::<Vec<_>>()).unwrap_or_default()
    };
    let behind = all(&OF_LAYER).into_iter().map(|c| (number(&c, 2), number(&c, 3), number(&c, 1)));
    let first = all(&LAYER_FIRST).into_iter().map(|c| (number(&c, 1), number(&c, 2), number(&c, 3)));
    behind
        .chain(first)
        .filter_map(|(top, bottom, factor)| Some((Depth::inches(top?, bottom?), factor?)))
        .filter(|(_, factor)| (0.5..20.0).contains(factor))
        .collect()
}

/// The factor that a text states for each inch of a layer.
fn of_an_inch(text: &str) -> Option<f64> {
    let found = OF_AN_INCH.as_ref()?.captures(text).filter(|_| text.contains("inch"))?;
    found.get(1)?.as_str().parse().ok()
}

/// True where a text says in words or signs how pounds of an acre and parts per million belong together.
fn relates(lower: &[CompactString]) -> bool {
    let says =
        |words: &[&str]| lower.iter().any(|w| words.contains(&w.trim_end_matches(['.', ',', ')', ':'])));
    let pounds = says(&["lb/acre", "lbs/acre", "lb/a", "lbs/a", "lb/ac", "lbs/ac", "lbs", "pounds", "lb"]);
    pounds
        && says(&[
            "x",
            "*",
            "×",
            "times",
            "multiplied",
            "multiply",
            "twice",
            "divide",
            "divided",
            "factor",
            "double",
        ])
}

/// `1 ppm`, `1 mg/kg` before the word at `at`, and a weight an area behind its number.
fn one_part(lower: &[CompactString], at: usize) -> bool {
    let word = |i: Option<usize>| i.and_then(|i| lower.get(i)).map(CompactString::as_str).unwrap_or_default();
    word(at.checked_sub(2)) == "1"
        && matches!(word(at.checked_sub(1)), "ppm" | "mg/kg")
        && matches!(
            word(at.checked_add(2)).trim_end_matches(['.', ',']),
            "kg/ha" | "lb/acre" | "lbs/acre" | "lb/a" | "lbs/a" | "lb/ac" | "lbs/ac" | "pounds"
        )
}

/// `2,24`; three figures behind the comma may be thousands.
fn decimal_comma(word: &str) -> Option<f64> {
    let (whole, part) = word.split_once(',')?;
    let figures = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    (figures(whole) && figures(part) && part.len() != 3).then(|| format!("{whole}.{part}").parse().ok())?
}

/// "Pounds an acre are parts per million times two", "lb/A = ppm x 2", "kg/ha are mg/kg times 1.95".
pub(super) fn pounds(lower: &[CompactString], out: &mut Notes) {
    let text = lower.join(" ");
    let million = ["parts per million", "ppm", "mg/kg"].iter().any(|w| text.contains(w));
    if !million {
        return;
    }
    let layers = of_layers(&text);
    let inch = of_an_inch(&text);
    if inch.is_some() || !layers.is_empty() {
        out.inch_factor = inch.or(out.inch_factor);
        out.layer_factors.extend(layers);
        return;
    }
    let before = out.pounds_factor;
    one_factor(lower, &text, out);
    let other = before.is_some_and(|before| out.pounds_factor != Some(before));
    let unread = out.pounds_factor.is_none() && out.hectare_factor.is_none() && relates(lower);
    out.pounds_unread |= other || unread;
}

/// One factor for all layers.
fn one_factor(lower: &[CompactString], text: &str, out: &mut Notes) {
    let numeral = |word: &str| match word.trim_end_matches(['.', ',', ')']) {
        "two" | "twice" => Some(2.0),
        w => w.parse::<f64>().ok().or_else(|| decimal_comma(w)),
    };
    let by = |i: usize| {
        let word = lower.get(i).map(CompactString::as_str).unwrap_or_default();
        let next = lower.get(i + 1).map(CompactString::as_str).unwrap_or_default();
        let before =
            i.checked_sub(1).and_then(|j| lower.get(j)).map(CompactString::as_str).unwrap_or_default();
        match word {
            "times" | "x" | "*" | "×" => numeral(next).or_else(|| numeral(before)),
            "multiplied" => lower.get(i + 2).and_then(|w| numeral(w)),
            "twice" => Some(2.0),
            // `1 mg/kg = 2 kg/ha`: one part is so many pounds or kilograms.
            "=" | "equals" | "is" if i >= 2 && one_part(lower, i) => numeral(next),
            _ => None,
        }
    };
    let stated = (0..lower.len()).find_map(|i| Some((i, by(i)?)));
    let Some((at, factor)) = stated.filter(|(_, f)| (0.5..20.0).contains(f)) else { return };
    // `ppm x 1.4 x 3`: of several factors one is not the whole.
    let times = |i: usize| {
        lower.get(i).is_some_and(|w| matches!(w.as_str(), "x" | "*" | "×" | "times")) && by(i).is_some()
    };
    if (0..lower.len()).filter(|i| times(*i)).any(|i| times(i + 2)) {
        return;
    }
    // `ppm x 1.33 for turf and x 2 for fields`: of two factors nobody knows which is this sample's.
    let hectares = text.contains("hectare") || text.contains("kg/ha");
    if !hectares
        && (0..lower.len()).filter_map(by).any(|other| (0.5..20.0).contains(&other) && other != factor)
    {
        return;
    }
    // "ppm x 0.3 x inches of the layer" is a rule for layers, not one factor.
    let slice = SLICE.as_ref().is_some_and(|r| r.is_match(text));
    if (text.contains("inches") || text.contains("depth of")) && !slice {
        return;
    }
    // Where both are spoken of, the factor belongs to the one beside it.
    let distance = |words: &[&str]| {
        let said = |w: &CompactString| words.iter().any(|unit| w.contains(unit));
        lower.iter().enumerate().filter(|(_, w)| said(w)).map(|(i, _)| i.abs_diff(at)).min()
    };
    match (distance(&["pound", "lb"]), distance(&["hectare", "kg/ha"])) {
        (Some(pounds), hectares) if hectares.is_none_or(|h| pounds < h) => out.pounds_factor = Some(factor),
        (_, Some(_)) => out.hectare_factor = Some(factor),
        _ => {}
    }
}
