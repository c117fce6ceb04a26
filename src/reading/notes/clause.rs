//! One clause: the methods and units it gives to the measurements it names.

use super::super::band::behind_number;
use super::super::fold::pieces;
use super::super::label::label;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Context, Hit, Meaning, Role, hits_where};
use super::super::words::List;
use super::excepted::exception_behind;
use super::factor::pounds;
use super::method::says_colour;
use super::pair::pair;
use super::range::range;
use super::said::Notes;
use super::strange::{half_told, numbered_family, strangely_extracted};
use crate::soil::{Analyte, Method};
use compact_str::CompactString;

/// `Unit mg/kg`, and nothing else: with what it excepts it speaks for all results.
fn only_the_unit(words: &[CompactString], units: &[Hit]) -> bool {
    let [unit] = units else { return false };
    let before = words.get(..unit.start).unwrap_or_default().join(" ");
    let before = before.trim_end_matches([':', '=', ' ']);
    let said = label(before, Context { symbols: false, capitals: false });
    said.role == Some(Role::Unit) && said.unknown.is_empty() && unit.end == words.len()
}

/// True for a word of a condition; `all nutrients below were extracted` points at a table, and sets none.
fn is_condition(words: &[CompactString], at: usize) -> bool {
    let word = |i: usize| words.get(i).map(|w| w.to_lowercase()).unwrap_or_default();
    let points = matches!(word(at).as_str(), "below" | "above")
        && matches!(word(at + 1).as_str(), "are" | "were" | "is" | "was" | "have" | "has");
    List::Condition.has(&word(at)) && !points
}

/// Words that stand for several measurements.
fn group(word: &str) -> &'static [Analyte] {
    use Analyte::*;
    match word.trim_end_matches('.') {
        "cations" | "bases" | "cationes" | "kationen" | "cátions" | "catiões" | "cationi" | "basi"
        | "basen" => &[Potassium, Calcium, Magnesium, Sodium],
        "micronutrients" | "micros" | "trace" | "oligoéléments" | "spurenelemente" | "micronutrientes"
        | "oligoelementi" | "microelementi" | "oligoelementos" | "microelementos" | "spoorelementen" => {
            &[Zinc, Iron, Manganese, Copper, Boron]
        }
        "anions" | "anionen" | "aniones" | "ânions" | "anioni" => &[Phosphorus, Sulfur],
        "salts" => &[SolubleSalts],
        _ => &[],
    }
}

/// `Potassium and the metals by AB-DTPA`: those among the micronutrients. `Heavy metals` are others.
fn metals(lower: &[CompactString], at: usize) -> &'static [Analyte] {
    let before = at.checked_sub(1).and_then(|i| lower.get(i)).map(CompactString::as_str);
    let plain =
        before.is_none_or(|w| matches!(w, "," | "the" | "trace" | "micronutrient") || List::And.has(w));
    let named = lower.get(at).is_some_and(|w| w.trim_end_matches('.') == "metals");
    if named && plain { &[Analyte::Zinc, Analyte::Iron, Analyte::Manganese, Analyte::Copper] } else { &[] }
}

/// `except as shown`, `unless otherwise noted`: what goes before holds for all that says nothing else of itself.
fn save_exceptions(words: &[CompactString]) -> bool {
    let lower: Vec<String> = words.iter().map(|w| w.trim_end_matches('.').to_lowercase()).collect();
    matches!(lower.first().map(String::as_str), Some("except" | "unless"))
        && lower.iter().skip(1).take(3).any(|w| List::Marked.has(w))
}

/// `Mehlich-3 except Zn (DTPA) and boron`: what is left out has what is said of it there, and nothing of what is said of all.
/// Where a unit alone is said of all, pH has none: nothing is said of how it was measured.
fn excepted(rest: &[CompactString], unit_alone: bool, context: Context, out: &mut Notes) {
    let Some((word, rest)) = rest.split_first() else { return };
    if !List::Excepts.has(&word.to_lowercase()) {
        return;
    }
    let text = rest.join(" ");
    read_clause(&text, context, out);
    let symbols = Context { symbols: true, ..context };
    for hit in hits_where(rest, symbols, &|m| matches!(m, Meaning::Analyte(..))) {
        if let Meaning::Analyte(analyte, None, _) = hit.meaning
            && !out.methods.contains_key(&analyte)
            && !out.outside.contains(&analyte)
            && !out.strange.contains(&analyte)
            && !(unit_alone && analyte == Analyte::Ph)
        {
            out.strange.push(analyte);
        }
    }
}

pub(super) fn read_clause(clause: &str, context: Context, out: &mut Notes) {
    // The letter of `Table B. Micronutrients by DTPA` is no boron.
    let clause = behind_number(clause).unwrap_or(clause);
    let context = context.of(clause);
    let words = pieces(clause);
    for hit in hits_where(&words, context, &|m| matches!(m, Meaning::Method(_) | Meaning::Analyte(..))) {
        match hit.meaning {
            Meaning::Method(method) => out.named.extend(method),
            Meaning::Analyte(analyte, ..) => out.spoken_of.push(analyte),
            _ => {}
        }
    }
    let Some(mut words) = exception_behind(words, context) else { return };
    let end = (0..words.len()).find(|at| is_condition(&words, *at));
    let all_but = end.is_some_and(|end| save_exceptions(words.get(end..).unwrap_or_default()));
    if let Some(rest) = end.and_then(|end| words.get(end..)).filter(|_| !all_but) {
        let told = words.get(..end.unwrap_or_default()).unwrap_or_default();
        let unit_alone = hits_where(told, context, &|m| matches!(m, Meaning::Method(_))).is_empty()
            && !hits_where(told, context, &|m| matches!(m, Meaning::Unit(_))).is_empty();
        excepted(rest, unit_alone, context, out);
    }
    let excepts = end.and_then(|end| words.get(end)).is_some_and(|w| List::Excepts.has(&w.to_lowercase()));
    words.truncate(end.unwrap_or(words.len()));
    let lower: Vec<CompactString> = words.iter().map(|w| w.to_lowercase()).collect();
    let says = |word: &str| lower.iter().any(|w| w.trim_end_matches('.') == word);
    let layers = out.layer_factors.len();
    pounds(&lower, out);
    let by_layers = out.layer_factors.len() > layers;
    // "1:2 soil to water by volume" tells how a slurry is mixed.
    let slurry = says("water") || lower.iter().any(|w| w.contains(':') && w.len() > 2);
    if says("litre") || says("liter") || says("volume") && (says("soil") || says("basis")) && !slurry {
        // "Olsen P: per volume of soil" says nothing of the cations.
        let of: Vec<Analyte> = hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..)))
            .iter()
            .filter_map(|h| if let Meaning::Analyte(a, ..) = h.meaning { Some(a) } else { None })
            .collect();
        match of.is_empty() || says("all") || says("results") || says("nutrients") {
            true => out.per_volume = true,
            false => out.by_volume.extend(of),
        }
    }
    let divides = lower.iter().any(|w| w.starts_with("divid") || matches!(w.as_str(), "÷" | "/"));
    let heavy = says("density")
        || lower.windows(2).any(|w| matches!(w, [a, b] if a == "volume" && b.starts_with("weight")));
    out.volume_to_mass |= divides && heavy;
    let mut units = hits_where(&words, context, &|m| matches!(m, Meaning::Unit(_)));
    // "212 ppm" and "P 25-50 ppm" are amounts; only a unit by itself says how results are printed.
    let amount = |at: usize| {
        at.checked_sub(1)
            .and_then(|i| words.get(i))
            .is_some_and(|w| w.ends_with(|c: char| c.is_ascii_digit()))
    };
    if units.iter().any(|u| amount(u.start)) {
        units.clear();
    }
    // `Gehalte in mg/100 g Boden`.
    let contents = lower.first().is_some_and(|w| List::Contents.has(w))
        && lower.get(1).is_some_and(|w| w == "in" || w == "en");
    let all = contents && hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..))).is_empty()
        || (says("all") || says("results") || says("nutrients") || says("values"))
            && (says("results") || says("nutrients") || says("values") || says("reported"))
        || lower.windows(2).any(|w| matches!(w, [all, what] if all == "all" && List::Nutrients.has(what)))
        || all_but && hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..))).is_empty()
        || excepts && only_the_unit(&words, &units);
    if let [unit] = units.as_slice()
        && let Meaning::Unit(id) = unit.meaning
        && all
        && !says("recommendations")
    {
        out.common_unit =
            Some((id, words.get(unit.start..unit.end).map(|w| w.join(" ")).unwrap_or_default()));
    }
    let subject = |m: &Meaning| matches!(m, Meaning::Analyte(..) | Meaning::Method(_) | Meaning::Other);
    let mut symbols = Context { symbols: true, ..context };
    // In running prose a lone capital is no element unless a list of them is meant.
    symbols.symbols = lower.len() < 40;
    let hits = hits_where(&words, symbols, &subject);
    // "CEC by calc." is computed; calcium is never a procedure.
    let procedure = |start: usize| {
        let by = start
            .checked_sub(1)
            .and_then(|i| lower.get(i))
            .is_some_and(|w| w == "by" || w == ":" || w == "=");
        by && lower.get(start).is_some_and(|w| w.trim_end_matches('.') == "calc")
    };
    let hits: Vec<Hit> = hits
        .into_iter()
        .map(|h| {
            if procedure(h.start) {
                Hit { meaning: Meaning::Method(Some(Method::Summation)), ..h }
            } else {
                h
            }
        })
        .collect();
    let methods: Vec<(usize, Option<Method>)> = hits
        .iter()
        .filter_map(|h| match h.meaning {
            Meaning::Method(m) => Some((h.start, m)),
            Meaning::Analyte(_, Some(m), _) => Some((h.start, Some(m))),
            _ => None,
        })
        .collect();
    let mut analytes: Vec<(usize, Analyte)> = hits
        .iter()
        .filter_map(|h| match h.meaning {
            Meaning::Analyte(a, ..) => Some((h.start, a)),
            _ => None,
        })
        .collect();
    let named = analytes.clone();
    if !units.is_empty() && !all {
        out.unit_elsewhere.extend(named.iter().map(|(_, a)| *a));
    }
    for analyte in numbered_family(&lower, &hits, &named) {
        out.strange.push(analyte);
        if hits.iter().any(|h| matches!(h.meaning, Meaning::Analyte(a, Some(_), _) if a == analyte)) {
            out.methods.insert(analyte, None);
        }
    }
    // "Summed from the cations" says nothing of how these were extracted.
    let summed = methods.iter().find(|(_, m)| *m == Some(Method::Summation)).map(|(at, _)| *at);
    // `Cation method: ammonium acetate` is of the cations, `cation exchange capacity` is not.
    let of_cations = lower.windows(2).position(|w| {
        matches!(w, [a, b] if matches!(a.as_str(), "cation" | "base") && matches!(b.as_str(), "method" | "extract" | "extractant" | "extraction"))
    });
    analytes.extend(of_cations.iter().flat_map(|at| group("cations").iter().map(|a| (*at, *a))));
    for (at, word) in lower.iter().enumerate().filter(|(at, _)| summed.is_none_or(|sum| *at < sum)) {
        analytes.extend(group(word).iter().chain(metals(&lower, at)).map(|a| (at, *a)));
    }
    analytes.sort_by_key(|(at, _)| *at);
    if lower.iter().any(|w| List::NoProcedure.has(w)) {
        return;
    }
    let (all_methods, joined) = joined_reagents(&lower, &hits, methods);
    let mut methods = all_methods.clone();
    methods.dedup_by_key(|(_, m)| *m);
    if joined && methods.is_empty() {
        out.strange.extend(analytes.iter().map(|(_, a)| *a));
    }
    // "Weak Bray P." names what it measures by itself.
    let of_phosphorus: Vec<Method> = methods
        .iter()
        .filter_map(|(_, m)| *m)
        .filter(|m| m.measures(Analyte::Phosphorus) && !m.measures(Analyte::Potassium))
        .collect();
    if let ([method], true) =
        (of_phosphorus.as_slice(), analytes.iter().all(|(_, a)| *a != Analyte::Phosphorus))
    {
        add(out, Analyte::Phosphorus, *method);
    }
    // So does "Sikora buffer".
    let of_buffer: Vec<Method> =
        methods.iter().filter_map(|(_, m)| *m).filter(|m| m.measures(Analyte::BufferPh)).collect();
    let buffer = |a: &Analyte| matches!(a, Analyte::BufferPh | Analyte::LimeIndex);
    if let ([method], true) = (of_buffer.as_slice(), !analytes.iter().any(|(_, a)| buffer(a))) {
        add(out, Analyte::BufferPh, *method);
    }
    out.ranges.extend(range(&lower, &hits, &methods));
    out.half_told.extend(half_told(&words, &methods, &analytes));
    out.strange.extend(strangely_extracted(clause, context));
    let others = others(&lower);
    let of_the_others = others.and_then(|word| of_the_others(&lower, word, &methods, &analytes));
    // What `nutrients other than phosphorus` were taken out with says nothing sure of any of them.
    if others.is_some() && of_the_others.is_none() {
        return;
    }
    let phosphorus = analytes.iter().any(|(_, a)| *a == Analyte::Phosphorus);
    let alone = analytes.iter().all(|(_, a)| *a == Analyte::Phosphorus);
    let coloured = phosphorus && List::Colour.within(&clause.to_lowercase());
    let is_name = |at: usize, analyte: Analyte| {
        let own = words.get(at..at + 1).unwrap_or_default();
        let names = |m: &Meaning| matches!(m, Meaning::Analyte(a, None, _) if *a == analyte);
        !hits_where(own, symbols, &names).is_empty()
    };
    let paired = pair(&lower, &hits, &analytes, &all_methods, &is_name);
    out.outside.extend(paired.outside);
    for analyte in paired.strange {
        if !out.strange.contains(&analyte) {
            out.strange.push(analyte);
        }
    }
    let pairs = paired.known;
    let plain = plainly_said(&lower, &hits);
    for (analyte, method) in &pairs {
        let own = named.iter().any(|(_, a)| a == analyte);
        if own && plain {
            out.by_name.entry(*analyte).or_default().push(*method);
        } else if !own {
            out.by_group.entry(*analyte).or_default().push(*method);
        }
    }
    for (analyte, method) in pairs {
        match (analyte, method) {
            // `P in the Mehlich 3 extract, colorimetric`; among others nobody knows of which that is said.
            (Analyte::Phosphorus, Method::Mehlich3) if coloured => {
                add(out, analyte, Method::Mehlich3Colorimetric);
                if !alone || !says_colour(clause) {
                    add(out, analyte, method);
                }
            }
            _ => add(out, analyte, method),
        }
    }
    out.by_colour |= coloured && alone && methods.is_empty() && says_colour(clause);
    out.strange.extend(untold_slurry(&lower, &methods, &analytes));
    // `P, K and Ca by Mehlich-1 extract` speaks of these alone.
    let of_all = says("cations") || lower.iter().any(|w| List::Nutrients.has(w.trim_end_matches('.')));
    let extracted = ["extractant", "extracted", "extract", "extraction"].iter().any(|w| says(w));
    let nutrients_word = of_all || extracted && analytes.is_empty();
    if let [(_, Some(method))] = methods.as_slice()
        && nutrients_word
        && analytes.iter().all(|(_, a)| method.measures(*a))
        && !lower.iter().any(|w| !group(w).is_empty())
        && method.measures(Analyte::Phosphorus) | method.measures(Analyte::Potassium)
    {
        out.extractant = Some(*method);
    }
    let macronutrients = |m: Method| m.measures(Analyte::Phosphorus) || m.measures(Analyte::Potassium);
    if let ([(_, method)], true) = (methods.as_slice(), extracted && analytes.is_empty())
        && !method.is_some_and(macronutrients)
        && label(clause, context).unknown.is_empty()
    {
        out.alone.push(*method);
    }
    let of_nutrients =
        of_nutrients(&lower, &methods, &analytes).or_else(|| of_extractable_nutrients(&lower, &hits));
    if let Some(method) = of_nutrients.or(of_the_others) {
        out.extractant = Some(method);
    }
    let stated = match units.as_slice() {
        [unit] => Some(unit),
        // "in pounds per acre (2 x ppm)": the factor names the other unit.
        [unit, _] if out.pounds_factor.is_some() => Some(unit),
        [unit, ..] if by_layers => Some(unit),
        _ => None,
    };
    if let Some(unit) = stated
        && let Meaning::Unit(id) = unit.meaning
    {
        let text = words.get(unit.start..unit.end).map(|w| w.join(" ")).unwrap_or_default();
        // `Cations: ammonium acetate, cmol/kg`: a clause that a group opens is of all of it.
        let opens = lower.first().map(|w| group(w)).filter(|_| lower.get(1).is_some_and(|w| w == ":"));
        let opens = opens.unwrap_or_default();
        let opens = if opens.is_empty() { group_of_a_caption(&words, &lower, unit) } else { opens };
        for analyte in named.iter().map(|(_, a)| a).chain(opens) {
            let fits = conversion(id, analyte.unit()).is_some_and(|c| match c.rule {
                Rule::Plain | Rule::Area | Rule::Volume => true,
                Rule::Charge => opens.contains(analyte),
                _ => false,
            });
            if fits {
                out.units.entry(*analyte).or_insert((id, text.trim_end_matches('.').to_owned()));
            }
        }
    }
}

/// `Table 1. Phosphorus and cations (mg/kg)`: the group right before a unit in brackets that ends the clause, where the clause
/// counts none of it together, and tells of nothing wanted.
fn group_of_a_caption(words: &[CompactString], lower: &[CompactString], unit: &Hit) -> &'static [Analyte] {
    let ends =
        matches!(words.get(unit.end..), Some([]) | Some([_])) && words.get(unit.end).is_none_or(|w| w == ")");
    let before = unit.start.checked_sub(2).and_then(|at| lower.get(..=at));
    let Some([told @ .., named]) = before.filter(|_| ends) else { return &[] };
    let bracketed = unit.start.checked_sub(1).and_then(|at| words.get(at)).is_some_and(|w| w == "(");
    let context = Context { symbols: false, capitals: false };
    let said = label(&told.join(" "), context);
    let whole = told.iter().any(|w| List::Of.has(w));
    if bracketed && !whole && !said.decoy && !said.rating { group(named) } else { &[] }
}

/// So near behind an amount stands what it is an amount of.
const MOST_BETWEEN: usize = 3;

/// pH, where a clause says in words how much water the soil was stirred into, and not in words that are known: `in half its
/// weight of water`.
fn untold_slurry(
    lower: &[CompactString],
    methods: &[(usize, Option<Method>)],
    analytes: &[(usize, Analyte)],
) -> Option<Analyte> {
    let [(_, Analyte::Ph)] = analytes else { return None };
    let bare = |w: &CompactString| w.trim_end_matches('.').to_owned();
    let amount = |w: &CompactString| {
        matches!(
            bare(w).as_str(),
            "part" | "parts" | "weight" | "weights" | "volume" | "volumes" | "times" | "amount"
        )
    };
    // `nine parts of distilled water`.
    let told = lower.iter().enumerate().any(|(at, w)| {
        amount(w) && lower.iter().skip(at + 1).take(MOST_BETWEEN).any(|w| List::Water.has(&bare(w)))
    });
    (told && methods.is_empty()).then_some(Analyte::Ph)
}

/// The method of a capacity that a line tells to be a sum.
pub(super) fn sums(line: &str, context: Context, out: &mut Notes) {
    if line.split(';').any(|part| is_sum_of_the_complex(part, context)) {
        add(out, Analyte::Cec, Method::Summation);
    }
}

/// `T-value = S-value + exchangeable acidity`, `CEC = Ca + Mg + K + Na + H`: the capacity and nothing else on the left, and on
/// the right a sum each part of which is known.
fn is_sum_of_the_complex(text: &str, context: Context) -> bool {
    let Some((whole, parts)) = text.split_once('=') else { return false };
    let context = Context { symbols: true, ..context };
    let said = label(whole.trim(), context);
    let parts: Vec<&str> = parts.trim().trim_end_matches('.').split('+').map(str::trim).collect();
    let known = |part: &&str| {
        let said = label(part, context);
        (said.analyte.is_some_and(|a| a != Analyte::Cec) || said.other) && said.unknown.is_empty()
    };
    said.analyte == Some(Analyte::Cec)
        && said.unknown.is_empty()
        && said.methods.is_empty()
        && parts.len() > 1
        && parts.iter().all(known)
}

/// `All nutrients were extracted with Mehlich 3, organic matter was found by loss on ignition`: of several methods the
/// one right behind the nutrients is theirs, where the others measure no nutrient.
fn of_nutrients(
    lower: &[CompactString],
    methods: &[(usize, Option<Method>)],
    analytes: &[(usize, Analyte)],
) -> Option<Method> {
    let word = lower.iter().position(|w| matches!(w.as_str(), "nutrients" | "elements" | "minerals"))?;
    let (at, method) = methods.iter().find(|(at, _)| *at > word)?;
    let method = method.filter(|m| m.measures(Analyte::Phosphorus) && m.measures(Analyte::Potassium))?;
    let nutrient = |m: &Option<Method>| {
        m.is_none_or(|m| m.measures(Analyte::Phosphorus) || m.measures(Analyte::Potassium))
    };
    let others = methods.iter().filter(|(i, _)| i != at).all(|(_, m)| !nutrient(m));
    let before = !lower.get(..word)?.iter().any(|w| matches!(w.as_str(), "other" | "some" | "minor"));
    let between = analytes.iter().any(|(i, _)| i < at);
    (methods.len() > 1 && others && before && !between).then_some(method)
}

/// Where in a clause `nutrients other than` stands.
fn others(lower: &[CompactString]) -> Option<usize> {
    lower.windows(3).position(|w| {
        let [word, a, b] = w else { return false };
        matches!(word.as_str(), "nutrients" | "elements" | "minerals" | "cations" | "results" | "values")
            && matches!((a.as_str(), b.as_str()), ("other", "than") | ("apart", "from"))
    })
}

/// `Mehlich-3 extractable nutrients, pH in 1:1 soil:water`: what stands right before the nutrients is theirs, where the other
/// methods measure none.
fn of_extractable_nutrients(lower: &[CompactString], hits: &[Hit]) -> Option<Method> {
    let word = lower.windows(2).position(|w| {
        matches!(w, [a, b] if a == "extractable" && matches!(b.as_str(), "nutrients" | "elements" | "minerals"))
    })?;
    let of = |h: &Hit| if let Meaning::Method(m) = h.meaning { Some(m) } else { None };
    let nutrient = |m: Method| {
        [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc, Analyte::Boron]
            .iter()
            .any(|a| m.measures(*a))
    };
    let method = hits.iter().find(|h| h.end == word).and_then(of)??;
    let others = hits.iter().filter(|h| h.end != word).filter_map(of);
    let lone = others.into_iter().all(|m| m.is_some_and(|m| !nutrient(m)));
    // `Some Mehlich-3 extractable nutrients`, `Mehlich-3 extractable nutrients other than`, and what is told of one of them.
    let some =
        lower.iter().any(|w| matches!(w.as_str(), "other" | "some" | "minor" | "apart" | "except" | "but"));
    let own = hits.iter().any(|h| matches!(h.meaning, Meaning::Analyte(a, ..) if method.measures(a)));
    (lone && !some && !own && method.measures(Analyte::Phosphorus) && method.measures(Analyte::Potassium))
        .then_some(method)
}

/// `Boron: hot water`, `P by Olsen`: measurements and methods, and nothing else but words that join them.
fn plainly_said(lower: &[CompactString], hits: &[Hit]) -> bool {
    let joins = |w: &str| {
        matches!(w, "by" | "in" | "with" | "and" | "is" | "was" | "are" | "were" | "the" | "using" | "from")
            || w.starts_with("extract")
            || w.chars().all(|c| !c.is_alphanumeric())
            || List::Procedure.has(w)
    };
    let within = |at: usize| hits.iter().any(|h| (h.start..h.end).contains(&at));
    lower.iter().enumerate().all(|(at, w)| within(at) || joins(w.trim_end_matches('.')))
}

/// `Nutrients other than nitrate were extracted with Mehlich 3`: the extract is of all the rest, where it takes out none of
/// what it leaves to others; what it could take out is perhaps left out, or perhaps not.
fn of_the_others(
    lower: &[CompactString],
    word: usize,
    methods: &[(usize, Option<Method>)],
    analytes: &[(usize, Analyte)],
) -> Option<Method> {
    let [(at, Some(method))] = methods else { return None };
    let extract = method.measures(Analyte::Phosphorus) && method.measures(Analyte::Potassium);
    let rest = lower.get(word + 3..*at)?;
    let end = rest
        .iter()
        .position(|w| matches!(w.as_str(), "are" | "were" | "is" | "was" | "by" | "in" | "with"))?;
    let names = rest.get(..end)?.split(|w| matches!(w.as_str(), "," | "and" | "or" | "&"));
    let mut left = names.filter(|name| !name.is_empty()).map(|name| {
        let said = label(&name.join(" "), Context { symbols: false, capitals: false });
        said.analyte.filter(|_| said.unknown.is_empty())
    });
    // What is left out in words that are not known may be anything.
    let others = left.all(|analyte| analyte.is_some_and(|a| !method.measures(a)));
    (extract && others && end > 0 && analytes.iter().all(|(i, _)| i < at)).then_some(*method)
}

/// `acetato de amónio com EDTA`, `boiling water with CaCl2`: two reagents that a word joins make an extract of their own, of
/// which neither is the name. The methods without such pairs, and whether one was among them.
fn joined_reagents(
    lower: &[CompactString],
    hits: &[Hit],
    methods: Vec<(usize, Option<Method>)>,
) -> (Vec<(usize, Option<Method>)>, bool) {
    let joins = |w: &CompactString| {
        matches!(w.as_str(), "with" | "com" | "con" | "mit" | "avec" | "met" | "+" | "plus")
    };
    let of = |h: &Hit| if let Meaning::Method(m) = h.meaning { Some(m) } else { None };
    let takes = |m: Option<Method>| {
        m.is_none_or(|m| {
            [Analyte::Phosphorus, Analyte::Potassium, Analyte::Boron, Analyte::Zinc]
                .iter()
                .any(|a| m.measures(*a))
        })
    };
    let pairs: Vec<usize> = hits
        .windows(2)
        .filter_map(|pair| {
            let [a, b] = pair else { return None };
            let (first, second) = (of(a)?, of(b)?);
            let between = lower.get(a.end..b.start)?;
            let salt = matches!(second, Some(Method::Cacl2 | Method::Kcl));
            let one = matches!(between, [word] if joins(word))
                || salt && between.len() <= MOST_BETWEEN && between.last().is_some_and(joins);
            (one && first.is_some() && first != second && takes(first) && (takes(second) || salt))
                .then_some([a.start, b.start])
        })
        .flatten()
        .collect();
    let left = methods.into_iter().filter(|(at, _)| !pairs.contains(at)).collect();
    (left, !pairs.is_empty())
}

fn add(out: &mut Notes, analyte: Analyte, method: Method) {
    out.given.entry(analyte).or_default().push(method);
    out.methods
        .entry(analyte)
        .and_modify(|kept| *kept = kept.filter(|m| *m == method))
        .or_insert(Some(method));
}
