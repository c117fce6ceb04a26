//! What a report says pounds or kilograms of an area are in parts per million.

use super::super::fold::pieces;
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

/// `to a depth of six inches`, `(plow layer, 0-6.5 inches)`: how deep the one layer is that a factor stands for.
static SLICE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?:^|[ (])(?:six|seven|eight|(?:0 ?(?:-|to) ?)?[0-9]+(?:\.[0-9]+)?(?:[ -][0-9]/[0-9])?)[ -]inch(?:es)?\b",
    )
    .ok()
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
    let stated = stated(lower, &text);
    let before = out.pounds_factor;
    match stated.pounds {
        Said::Once(factor) => out.pounds_factor = Some(factor),
        Said::Twice => out.pounds_unread = true,
        Said::Nothing => {}
    }
    out.pounds_unread |= before.is_some_and(|before| out.pounds_factor != Some(before));
    let heard =
        out.pounds_factor.is_some() || out.hectare_factor.is_some() || stated.hectares != Said::Nothing;
    out.pounds_unread |= !heard && relates(lower);
    match stated.hectares {
        Said::Once(factor) if out.hectare_factor.is_none_or(|before| before == factor) => {
            out.hectare_factor = Some(factor);
        }
        Said::Once(_) | Said::Twice => out.hectare_unread = true,
        Said::Nothing => {}
    }
}

/// True for a line that opens with an equation of weights and parts, `1 ppm = 2.24 kg/ha`: it tells how results are reckoned,
/// whatever is named behind it.
pub fn opens_with_a_factor(text: &str) -> bool {
    let (front, _) = text.split_once('=').unwrap_or_default();
    let front = front.trim().to_lowercase();
    let one = matches!(front.as_str(), "1 ppm" | "1 mg/kg");
    let Some(equation) = text.split(['(', ';']).next().filter(|_| one) else { return false };
    let lower: Vec<CompactString> = pieces(equation).iter().map(|w| w.to_lowercase()).collect();
    stated(&lower, &lower.join(" ")) != Stated::default()
}

/// What a text says a weight of an area is in parts per million.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Said {
    #[default]
    Nothing,
    Once(f64),
    /// In two ways, or so that nobody knows what belongs together.
    Twice,
}

impl Said {
    fn and(self, factor: f64) -> Self {
        match self {
            Self::Nothing => Self::Once(factor),
            Self::Once(before) if before == factor => self,
            _ => Self::Twice,
        }
    }
}

/// The factors that a text states for all layers.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Stated {
    pounds: Said,
    hectares: Said,
}

/// Which weight of an area a word names.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Weight {
    Pounds,
    Hectares,
}

fn weight(word: &str) -> Option<Weight> {
    if word.contains("pound") || word.contains("lb") {
        Some(Weight::Pounds)
    } else if word.contains("hectare") || word.contains("kg/ha") {
        Some(Weight::Hectares)
    } else {
        None
    }
}

/// The factors for all layers.
fn stated(lower: &[CompactString], text: &str) -> Stated {
    let numeral = |word: &str| match word.trim_end_matches(['.', ',', ';', ')']) {
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
    let mut stated = Stated::default();
    let factors: Vec<(usize, f64)> = (0..lower.len()).filter_map(|i| Some((i, by(i)?))).collect();
    let Some((at, factor)) = factors.first().copied().filter(|(_, f)| (0.5..20.0).contains(f)) else {
        return stated;
    };
    // `ppm x 1.4 x 3`: of several factors one is not the whole.
    let times = |i: usize| {
        lower.get(i).is_some_and(|w| matches!(w.as_str(), "x" | "*" | "×" | "times")) && by(i).is_some()
    };
    if (0..lower.len()).filter(|i| times(*i)).any(|i| times(i + 2)) {
        return stated;
    }
    // "ppm x 0.3 x inches of the layer" is a rule for layers, not one factor.
    let slice = SLICE.as_ref().is_some_and(|r| r.is_match(text));
    if (text.contains("inches") || text.contains("depth of")) && !slice {
        return stated;
    }
    let weights: Vec<(usize, Weight)> =
        lower.iter().enumerate().filter_map(|(i, w)| Some((i, weight(w)?))).collect();
    let others: Vec<(usize, f64)> = factors.into_iter().filter(|(_, f)| (0.5..20.0).contains(f)).collect();
    if others.iter().any(|(_, other)| *other != factor) {
        return several(&weights, &others);
    }
    // Where both are spoken of, the factor belongs to the one beside it.
    let distance = |of: Weight| weights.iter().filter(|(_, w)| *w == of).map(|(i, _)| i.abs_diff(at)).min();
    match (distance(Weight::Pounds), distance(Weight::Hectares)) {
        (Some(pounds), hectares) if hectares.is_none_or(|h| pounds < h) => {
            stated.pounds = Said::Once(factor);
        }
        (_, Some(_)) => stated.hectares = Said::Once(factor),
        _ => {}
    }
    stated
}

/// `lb/acre = ppm x 2, kg/ha = ppm x 2.24`: the weights are named before their factors, or all behind them, and each
/// factor is of the one it follows, or goes before. `ppm x 1.33 for turf and x 2 for fields`: of two factors for one
/// weight nobody knows which is this sample's.
fn several(weights: &[(usize, Weight)], factors: &[(usize, f64)]) -> Stated {
    let mut stated = Stated::default();
    let named_first = match (weights.first(), factors.first()) {
        (Some((weight, _)), Some((factor, _))) => weight < factor,
        _ => return stated,
    };
    let at = |k: Option<usize>| k.and_then(|k| factors.get(k)).map(|(at, _)| *at);
    for (k, (here, factor)) in factors.iter().enumerate() {
        let reach = if named_first {
            at(k.checked_sub(1)).unwrap_or(0)..*here
        } else {
            *here..at(Some(k + 1)).unwrap_or(usize::MAX)
        };
        let mut own = weights.iter().filter(|(i, _)| reach.contains(i)).map(|(_, weight)| *weight);
        match own.next() {
            Some(Weight::Pounds) if own.all(|w| w == Weight::Pounds) => {
                stated.pounds = stated.pounds.and(*factor);
            }
            Some(Weight::Hectares) if own.all(|w| w == Weight::Hectares) => {
                stated.hectares = stated.hectares.and(*factor);
            }
            _ => {
                let spoken = |of: Weight| weights.iter().any(|(_, w)| *w == of);
                let doubt = |of| if spoken(of) { Said::Twice } else { Said::Nothing };
                return Stated { pounds: doubt(Weight::Pounds), hectares: doubt(Weight::Hectares) };
            }
        }
    }
    stated
}
