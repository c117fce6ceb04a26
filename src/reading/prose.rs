//! Values in sentences: "your soil pH is 6.3", "phosphorus (Bray P-1) was 49 ppm".

use super::cut::cut;
use super::found::Found;
use super::label::label;
use super::layout::{Token, place_of};
use super::notes::method_in;
use super::number::{Decimal, number};
use super::vocabulary::{Context, Meaning, hits_where};
use super::words::List;
use compact_str::CompactString;

/// A reading in a sentence.
#[derive(Debug)]
pub struct Said {
    /// The reading.
    pub found: Found,
    /// The sentence tells of this sample (`Your pH was 6.3`), and not of soils or rates at large.
    pub of_this: bool,
}

/// Readings in the sentences of a page; `tokens` are the words of a paragraph in order.
pub fn read(tokens: &[Token], context: Context, decimal: Decimal) -> Vec<Said> {
    sentences(tokens).into_iter().flat_map(|s| sentence(s, context, decimal)).collect()
}

fn sentences(tokens: &[Token]) -> Vec<&[Token]> {
    let mut out = Vec::new();
    let mut start = 0;
    for (i, t) in tokens.iter().enumerate() {
        let ends = t.text.ends_with(['.', ';', '!', '?'])
            && t.text.chars().filter(|c| c.is_alphanumeric()).count() > 1;
        if ends {
            out.extend(tokens.get(start..=i));
            start = i + 1;
        }
    }
    out.extend(tokens.get(start..));
    out
}

/// The part of a sentence around a word: advice in a comment behind it (`..., which suits most plants`) does not
/// touch a plain statement about this sample.
fn clause(lower: &[CompactString], at: usize) -> std::ops::Range<usize> {
    let opens = |i: &usize| {
        lower.get(*i).is_some_and(|w| w == ";")
            || lower.get(*i).is_some_and(|w| w == ",")
                && lower.get(i + 1).is_some_and(|w| List::Comment.has(w))
    };
    let end = (at..lower.len()).find(opens).unwrap_or(lower.len());
    let start = (0..at).rev().find(opens).map_or(0, |i| i + 1);
    start..end
}

fn advises(lower: &[CompactString]) -> bool {
    // `needs no lime` asks for nothing.
    let none = |at: usize| lower.get(at + 1).is_some_and(|w| matches!(w.as_str(), "no" | "nothing" | "none"));
    lower.iter().enumerate().any(|(at, w)| List::Advice.has(w.trim_end_matches('.')) && !none(at))
}

/// `by the Mehlich 3 test`, `in a 1:1 slurry`: how something was measured, between its name and the verb. The end of
/// such words, where a verb follows them.
fn manner(lower: &[CompactString], at: usize, limit: usize) -> Option<usize> {
    let opens = lower.get(at).is_some_and(|w| List::Manner.has(w));
    opens
        .then(|| (at + 1..limit.min(at + 9)).find(|i| lower.get(*i).is_some_and(|w| List::Verb.has(w))))
        .flatten()
}

fn sentence(tokens: &[Token], context: Context, decimal: Decimal) -> Vec<Said> {
    let cut = cut(tokens);
    let words = &cut.pieces;
    let lower: Vec<CompactString> = words.iter().map(|w| w.to_lowercase()).collect();
    let advice = advises(&lower);
    let plain = Context { symbols: false, ..context };
    let hits = hits_where(words, plain, &|m| matches!(m, Meaning::Analyte(..)));
    let mut out: Vec<Said> = Vec::new();
    let mut last = None;
    let analyte = |n: usize| {
        hits.get(n).and_then(|h| if let Meaning::Analyte(a, ..) = h.meaning { Some(a) } else { None })
    };
    for (n, hit) in hits.iter().enumerate() {
        // "Phosphorus (Bray P-1)" names one measurement twice.
        if n > 0 && analyte(n) == analyte(n - 1) {
            continue;
        }
        let next = (n + 1..hits.len()).find(|m| analyte(*m) != analyte(n));
        let limit = next.and_then(|m| hits.get(m)).map_or(words.len(), |h| h.start);
        let mut at = hit.end;
        let mut linked = false;
        // A bracket between name and value may hold the method.
        if words.get(at).is_some_and(|w| w == "(") {
            at = (at..limit).find(|i| words.get(*i).is_some_and(|w| w == ")")).map_or(limit, |i| i + 1);
        }
        // "Magnesium (ammonium acetate) 96 ppm": nothing stands between.
        let bracketed = at > hit.end && words.get(at).is_some_and(|w| number(w, decimal).is_some());
        let listed = (last.is_some_and(|end| goes_on(words, end, hit.start, plain)))
            && words.get(at).is_some_and(|w| number(w, decimal).is_some());
        linked |= bracketed || listed;
        at = manner(&lower, at, limit).unwrap_or(at);
        let name_end = at;
        while at < limit && lower.get(at).is_some_and(|w| List::Link.has(w)) {
            linked = true;
            at += 1;
        }
        let value =
            words.get(at).map(|w| w.trim_end_matches(['.', ',']).to_owned()).filter(|_| linked && at < limit);
        let Some((text, parsed)) = value.and_then(|t| number(&t, decimal).map(|n| (t, n))) else { continue };
        // "Organic matter of 3 to 5 %" and "3-5 %" are ranges.
        let ranged = words.get(at + 1).is_some_and(|w| matches!(w.as_str(), "to" | "-" | "and" | "or"))
            && words.get(at + 2).is_some_and(|w| number(w.trim_end_matches(['.', ',']), decimal).is_some());
        // "Organic matter of 3 % holds water" speaks of soils at large; a statement has a verb, or speaks of yours.
        let between = lower.get(name_end..at).unwrap_or_default();
        let stated = between.iter().any(|w| !List::BareLink.has(w));
        let yours = lower.get(..at).unwrap_or_default().iter().any(|w| List::Yours.has(w));
        if ranged || !(stated || yours || bracketed || listed) {
            continue;
        }
        let said = words.get(hit.start..name_end).unwrap_or_default();
        // "By the same test": the method of the statement before.
        let same = said.iter().any(|w| w.eq_ignore_ascii_case("same"));
        let head: Vec<&str> =
            said.iter().map(CompactString::as_str).filter(|w| !w.eq_ignore_ascii_case("same")).collect();
        let tail = words.get(at + 1..(at + 4).min(limit)).unwrap_or_default().join(" ");
        let unit = label(&tail, plain).unit.clone();
        if (bracketed || listed) && unit.is_none() {
            continue;
        }
        let mut name = label(&head.join(" "), plain);
        // "0.21 mmhos/cm (1:2)": the method behind the unit.
        let behind = words
            .get(at + 1..limit.min(at + 10))
            .and_then(|w| Some(w.split_at_checked(w.iter().position(|p| p == "(").filter(|p| *p <= 3)?)?.1))
            .and_then(|w| w.get(..w.iter().position(|p| p == ")")?))
            .map(|w| w.join(" "));
        if let (Some(text), Some(a), true) = (behind, name.analyte, name.methods.is_empty()) {
            name.methods.extend(method_in(&text, a, plain));
        }
        if same && let Some(last) = out.last() {
            name.methods.extend(last.found.label.methods.iter().copied());
        }
        let owner = cut.owner(at).and_then(|i| tokens.get(i));
        let Some(place) = owner.and_then(|t| place_of(std::slice::from_ref(t))) else { continue };
        let around = lower.get(clause(&lower, at)).unwrap_or_default();
        let of_this = around.iter().any(|w| List::OfThis.has(w));
        // A sentence of advice speaks of wishes; only plain statements are readings.
        if advice && (!of_this || advises(around)) {
            continue;
        }
        let found = Found {
            unit: name.unit.clone().or(unit),
            label: name,
            number: parsed,
            printed: text,
            place,
            confidence: owner.and_then(|t| t.confidence),
            marks: Vec::new(),
            caption: None,
            doubts: Vec::new(),
        };
        out.push(Said { found, of_this });
        last = Some(at + 1);
    }
    out
}

/// `Phosphorus was 21 ppm, potassium 119 ppm and zinc 3 ppm`: between the value before and the next name stand its unit,
/// a comma and an `and`, and nothing else.
fn goes_on(words: &[CompactString], from: usize, to: usize, context: Context) -> bool {
    let between = words.get(from..to).unwrap_or_default();
    let joint = |w: &str| matches!(w.to_lowercase().as_str(), "," | "and");
    let unit: Vec<&str> = between.iter().map(CompactString::as_str).filter(|w| !joint(w)).collect();
    let said = label(&unit.join(" "), context);
    between.iter().any(|w| joint(w))
        && said.unit.is_some()
        && said.unknown.is_empty()
        && said.analyte.is_none()
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;
    use crate::soil::{Analyte, Method};

    fn of(text: &str) -> Vec<(Option<Analyte>, f64, Option<Method>, Option<&'static str>)> {
        let page = layout(&typed(&[text]));
        let tokens: Vec<Token> = page.lines[0].phrases.iter().flat_map(|p| p.tokens.clone()).collect();
        read(&tokens, Context { symbols: false, capitals: false }, Decimal::Point)
            .into_iter()
            .map(|said| said.found)
            .map(|f| (f.label.analyte, f.number.value, f.label.method(), f.unit.map(|u| u.0)))
            .collect()
    }

    #[test]
    fn statements_are_readings_and_advice_is_not() {
        assert_eq!(of("Your soil pH is 6.3 and organic matter is 3.6 %.").len(), 2);
        assert_eq!(
            of("Phosphorus (Bray P-1) was 49 ppm."),
            [(Some(Analyte::Phosphorus), 49.0, Some(Method::BrayP1), Some("mg/kg"))]
        );
        assert_eq!(of("The pH of your soil is 5.8; shrubs like it between 6.0 and 6.8.")[0].1, 5.8);
        assert_eq!(
            of("Calcium (Mehlich 3) 960 ppm and salts are low at 0.21 mmhos/cm (1:2)."),
            [
                (Some(Analyte::Calcium), 960.0, Some(Method::Mehlich3), Some("mg/kg")),
                (Some(Analyte::SolubleSalts), 0.21, Some(Method::Ec1to2), Some("dS/m"))
            ]
        );
        assert_eq!(
            of("Your soil pH is 6.6, which suits most shrubs."),
            [(Some(Analyte::Ph), 6.6, None, None)]
        );
        assert_eq!(
            of(
                "Potassium by the Mehlich 3 test was 205 ppm and calcium by the same test was 1480 ppm; both are high."
            ),
            [
                (Some(Analyte::Potassium), 205.0, Some(Method::Mehlich3), Some("mg/kg")),
                (Some(Analyte::Calcium), 1480.0, Some(Method::Mehlich3), Some("mg/kg"))
            ]
        );
        assert_eq!(
            of("Phosphorus was 21 ppm, potassium 119 ppm and magnesium 84 ppm."),
            [
                (Some(Analyte::Phosphorus), 21.0, None, Some("mg/kg")),
                (Some(Analyte::Potassium), 119.0, None, Some("mg/kg")),
                (Some(Analyte::Magnesium), 84.0, None, Some("mg/kg"))
            ]
        );
        assert_eq!(of("The soil pH is 6.8 and needs no lime."), [(Some(Analyte::Ph), 6.8, None, None)]);
        assert_eq!(of("The soil pH is 5.8 and needs lime."), []);
        for text in [
            "Raise the soil pH to 6.5 with lime.",
            "Buffer pH is run only when soil pH is below 6.6.",
            "The optimum pH is 6.5.",
            "Your target pH is 6.5, which suits most plants.",
            "The best pH is 6.5, which suits most plants.",
            "If your pH is 5.5, apply lime.",
        ] {
            assert_eq!(of(text), [], "{text}");
        }
    }
}
