//! Values in sentences: "your soil pH is 6.3", "phosphorus (Bray P-1) was 49 ppm".

use super::fold::pieces;
use super::found::Found;
use super::label::label;
use super::layout::{Token, place_of};
use super::number::{Decimal, number};
use super::vocabulary::{Context, Meaning, hits_where};
use crate::soil::Doubt;

/// Words between a name and its value.
const LINKS: &[&str] = &[
    "is", "was", "of", "at", "=", ":", "reads", "read", "measured", "tested", "a", "now", "came", "back",
    "stood", "stands", "found", "as", "value", "level", "to", "be", "about",
];
/// Words that make a sentence speak of a wish, a rule or advice.
const ADVICE: &[&str] = &[
    "target",
    "optimum",
    "optimal",
    "ideal",
    "should",
    "raise",
    "raised",
    "lower",
    "below",
    "above",
    "under",
    "over",
    "between",
    "recommended",
    "recommend",
    "recommends",
    "apply",
    "need",
    "needs",
    "needed",
    "desired",
    "prefer",
    "prefers",
    "best",
    "if",
    "when",
    "until",
    "least",
    "most",
    "last",
    "previous",
    "previously",
    "earlier",
    "former",
    "would",
    "could",
    "aim",
    "goal",
    "range",
    "than",
    "from",
];

/// Readings in the sentences of a page; `tokens` are the words of a paragraph in order.
pub fn read(tokens: &[Token], context: Context, decimal: Decimal) -> Vec<Found> {
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

fn sentence(tokens: &[Token], context: Context, decimal: Decimal) -> Vec<Found> {
    let mut words = Vec::new();
    let mut owner = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        for piece in pieces(&token.text) {
            words.push(piece);
            owner.push(i);
        }
    }
    let lower: Vec<String> = words.iter().map(|w| w.to_lowercase()).collect();
    let advice = lower.iter().any(|w| ADVICE.contains(&w.trim_end_matches('.')));
    let hits =
        hits_where(&words, Context { symbols: false, ..context }, &|m| matches!(m, Meaning::Analyte(..)));
    let mut out = Vec::new();
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
        let name_end = at;
        while at < limit && lower.get(at).is_some_and(|w| LINKS.contains(&w.as_str())) {
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
        let stated = between
            .iter()
            .any(|w| !matches!(w.as_str(), "of" | "at" | "a" | "to" | "be" | "about" | "level"));
        let yours = lower.get(..at).unwrap_or_default().iter().any(|w| {
            matches!(
                w.as_str(),
                "your" | "our" | "this" | "has" | "had" | "shows" | "showed" | "with" | "found"
            )
        });
        if ranged || !(stated || yours) {
            continue;
        }
        let head = words.get(hit.start..name_end).unwrap_or_default().join(" ");
        let tail = words.get(at + 1..(at + 4).min(limit)).unwrap_or_default().join(" ");
        let name = label(&head, Context { symbols: false, ..context });
        let Some(place) =
            owner.get(at).and_then(|i| tokens.get(*i)).and_then(|t| place_of(std::slice::from_ref(t)))
        else {
            continue;
        };
        let mut found = Found {
            unit: name.unit.clone().or_else(|| label(&tail, Context { symbols: false, ..context }).unit),
            label: name,
            number: parsed,
            printed: text,
            place,
            confidence: owner.get(at).and_then(|i| tokens.get(*i)).and_then(|t| t.confidence),
            marks: Vec::new(),
            caption: None,
            doubts: Vec::new(),
        };
        if advice {
            found.doubts.push(Doubt::new(
                "in-a-sentence",
                format!(
                    "`{}` stands in a sentence that gives advice; it is perhaps no result.",
                    found.printed
                ),
            ));
        }
        out.push(found);
    }
    // A sentence of advice speaks of wishes; only plain statements are readings.
    if advice { Vec::new() } else { out }
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
        for text in [
            "Raise the soil pH to 6.5 with lime.",
            "Buffer pH is run only when soil pH is below 6.6.",
            "The optimum pH is 6.5.",
        ] {
            assert_eq!(of(text), [], "{text}");
        }
    }
}
