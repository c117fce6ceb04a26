//! Parts of a note that were not understood, and to which results these may belong.

use super::super::fold::pieces;
use super::super::label::label;
use super::super::vocabulary::{Context, Hit, Meaning, hits_where};
use super::super::words::List;
use crate::soil::{Analyte, Method};
use compact_str::CompactString;

/// The extract of a list in which something stands that is not known, `Mehlich-3 for cations, quibbles and trace elements`:
/// what that stands for was taken out with it, whatever it is.
pub(super) fn half_told(
    words: &[CompactString],
    methods: &[(usize, Option<Method>)],
    analytes: &[(usize, Analyte)],
) -> Option<Method> {
    let [(at, Some(method))] = methods else { return None };
    let is_extract = [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc, Analyte::Sulfur]
        .iter()
        .any(|a| method.measures(*a));
    let parts = |w: &CompactString| matches!(w.as_str(), "," | "and" | "&" | "e" | "et" | "und" | "y" | "en");
    let mut from = 0;
    let mut list: Vec<(bool, bool)> = Vec::new();
    for part in words.split(parts) {
        let end = from + part.len();
        let named = analytes.iter().any(|(i, _)| (from..end).contains(i));
        let said = label(&part.join(" "), Context { symbols: false, capitals: false });
        let plain = |w: &String| {
            let w = w.to_lowercase();
            let w = w.trim_matches(|c: char| !c.is_alphanumeric());
            w.chars().count() < LEAST_LETTERS || List::Procedure.has(w) || List::Title.has(w)
        };
        let strange = !named && said.analyte.is_none() && !said.other && !said.decoy;
        let only_words = (from..end).contains(at) || part.len() <= MOST_WORDS;
        list.push((named, strange && only_words && !said.unknown.iter().all(plain)));
        from = end + 1;
    }
    let beside = |pair: &[(bool, bool)]| matches!(pair, [(true, _), (_, true)] | [(_, true), (true, _)]);
    (is_extract && list.windows(2).any(beside)).then_some(*method)
}

/// `P by Bray method one`, `P: Mehlich, extractant 2`: a family of extracts, and behind its name a number which tells them apart
/// and was not understood. What is named beside it was taken out with one of them.
pub(super) fn numbered_family(
    lower: &[CompactString],
    hits: &[Hit],
    analytes: &[(usize, Analyte)],
) -> Vec<Analyte> {
    let number = |w: &CompactString| {
        let w = w.trim_matches(|c: char| !c.is_alphanumeric());
        matches!(
            w,
            "1" | "2" | "3" | "i" | "ii" | "iii" | "one" | "two" | "three" | "first" | "second" | "third"
        )
    };
    // A family has members that are told apart by a number: `Bray 1`. `P: Bray` names its measurement with it.
    let plain = Context { symbols: false, capitals: false };
    let family = |h: &Hit| {
        let own = match h.meaning {
            Meaning::Method(None) => lower.get(h.start..h.end),
            Meaning::Analyte(_, Some(_), _) => h.end.checked_sub(1).and_then(|at| lower.get(at..h.end)),
            _ => None,
        };
        let Some(own) = own else { return false };
        let unknown = !hits_where(own, plain, &|m| matches!(m, Meaning::Method(None))).is_empty();
        let member = |number: &str| {
            let words: Vec<CompactString> = own.iter().cloned().chain([number.into()]).collect();
            let hits = hits_where(&words, plain, &|m| matches!(m, Meaning::Method(_)));
            hits.iter().any(|h| matches!(h.meaning, Meaning::Method(Some(_))))
        };
        unknown && ["1", "2", "3"].iter().any(|n| member(n))
    };
    let told = hits.iter().any(|hit| {
        let next = hits.iter().map(|h| h.start).filter(|at| *at >= hit.end).min().unwrap_or(lower.len());
        let end = next.min(hit.end + MOST_WORDS + 1);
        family(hit) && lower.get(hit.end..end).is_some_and(|w| w.iter().any(number))
    });
    if told { analytes.iter().map(|(_, a)| *a).collect() } else { Vec::new() }
}

/// Shorter words of a list are signs of its own.
const LEAST_LETTERS: usize = 4;

/// More words between two commas are a part of a sentence.
const MOST_WORDS: usize = 3;

/// `S - phosphoric something 0,01 mol/L`: what is named in front was taken out with something that is not known.
pub(super) fn strangely_extracted(clause: &str, context: Context) -> Vec<Analyte> {
    let cut = [" - ", " – ", ": ", " = "].iter().filter_map(|sign| clause.split_once(*sign)).next();
    let Some((front, how)) = cut else { return Vec::new() };
    let how_words = pieces(how);
    let plain = Context { symbols: false, ..context };
    let named = |of: &dyn Fn(&Meaning) -> bool| !hits_where(&how_words, plain, of).is_empty();
    let strength = |pair: &[CompactString]| {
        matches!(pair, [n, unit] if n.starts_with(|c: char| c.is_ascii_digit())
            && matches!(unit.trim_end_matches('.'), "mol/L" | "mol/l" | "M" | "N" | "molar" | "normal"))
    };
    let extract = how_words.iter().any(|w| EXTRACT.iter().any(|stem| w.to_lowercase().starts_with(stem)));
    // `A phosphate of calcium 0,01 mol/L` names a salt, `extract of phosphorus` what was sought.
    let strong = how_words.windows(2).any(strength);
    let known = named(&|m| matches!(m, Meaning::Method(_) | Meaning::Other))
        || !strong && named(&|m| matches!(m, Meaning::Analyte(..)));
    if known || !(strong || extract) {
        return Vec::new();
    }
    hits_where(&pieces(front), context, &|m| matches!(m, Meaning::Analyte(..)))
        .iter()
        .filter_map(|h| if let Meaning::Analyte(a, ..) = h.meaning { Some(a) } else { None })
        .collect()
}

/// How words for an extract begin.
const EXTRACT: [&str; 4] = ["extra", "extrak", "ekstra", "estra"];
