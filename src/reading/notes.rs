//! Captions and footnotes: which method, and which unit, they give to which analytes.

use super::fold::{fold, pieces};
use super::titled::Titled;
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Hit, Meaning, hits_where};
use crate::soil::{Analyte, Method};
use regex::Regex;
use std::collections::HashMap;
use std::sync::LazyLock;

/// What the notes of a document (or page) say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Notes {
    /// Method by analyte; `None` where two notes disagree.
    pub methods: HashMap<Analyte, Option<Method>>,
    /// A method named for all extracted nutrients ("Extractant: Mehlich 3").
    pub extractant: Option<Method>,
    /// Unit by analyte.
    pub units: HashMap<Analyte, (&'static str, String)>,
    /// "All results in ppm unless noted".
    pub common_unit: Option<(&'static str, String)>,
    /// The report states that pounds per acre are parts per million times this.
    pub pounds_factor: Option<f64>,
    /// The report states that kilograms per hectare are parts per million times this.
    pub hectare_factor: Option<f64>,
    /// "Results per litre of soil".
    pub per_volume: bool,
    /// Rating letters that a legend explains.
    pub letters: Vec<String>,
    /// Footnotes by their mark.
    pub marked: HashMap<String, String>,
    /// "A zero means that the test was not ordered."
    pub zero_is_blank: bool,
    /// Methods named anywhere in them, for whatever.
    pub named: Vec<Method>,
    /// What they speak of by name.
    pub spoken_of: Vec<Analyte>,
    /// What the titles of the report say.
    pub titled: Titled,
}

impl Notes {
    /// An extract of several nutrients that they name and give to none of them, which may be this analyte's.
    pub fn extract_of_nothing(&self, analyte: Analyte) -> Option<Method> {
        let extract = |m: &Method| m.measures(Analyte::Phosphorus) && m.measures(Analyte::Potassium);
        let given = |m: &Method| {
            self.extractant == Some(*m) || self.methods.values().any(|v| v.is_none() || *v == Some(*m))
        };
        let lost = self.named.iter().find(|m| extract(m) && !given(m) && m.measures(analyte));
        lost.filter(|_| self.extractant.is_none() && self.marked.is_empty()).copied()
    }

    /// True where they name a method that could be this analyte's, or speak of it at all. In a picture, where marks
    /// and half words get lost, a method that was not found may then stand there all the same.
    pub fn may_hide_a_method(&self, analyte: Analyte) -> bool {
        let has_methods = Method::ALL.iter().any(|m| *m != Method::Unstated && m.measures(analyte));
        has_methods && self.spoken_of.contains(&analyte)
            || self.named.iter().any(|method| adapt(*method, analyte).is_some())
    }
}

/// True for a sentence that takes zeros for tests not made.
fn zero_is_blank(text: &str) -> bool {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let Some(at) = words.iter().position(|w| matches!(*w, "zero" | "zeros" | "zeroes" | "0")) else {
        return false;
    };
    let mut after = words.iter().skip(at + 1).take(8);
    after.any(|w| matches!(*w, "means" | "mean" | "indicates" | "indicate" | "denotes" | "stands"))
        && after.any(|w| matches!(*w, "not" | "no"))
}

/// The methods a text beside an analyte names, as far as they can measure it.
pub fn method_in(text: &str, analyte: Analyte, context: Context) -> Vec<Option<Method>> {
    let words = pieces(text);
    let context = Context { symbols: false, ..context };
    let mut out = Vec::new();
    for hit in hits_where(&words, context, &|m| method_of(*m, analyte).is_some()) {
        out.extend(method_of(hit.meaning, analyte));
    }
    out.dedup();
    out
}

/// The method that a phrase gives to an analyte: by name, or because the phrase names this analyte with a method.
fn method_of(meaning: Meaning, analyte: Analyte) -> Option<Option<Method>> {
    match meaning {
        Meaning::Method(Some(m)) => adapt(m, analyte).map(Some),
        Meaning::Analyte(a, Some(m), _) if a == analyte => Some(Some(m)),
        _ => None,
    }
}

/// The contract's method for an analyte under a name that several procedures share: a 1:1 slurry is `water-1:1`
/// for pH and `ec-1:1` for salts; "Mehlich" is a buffer for a buffer pH.
pub fn adapt(method: Method, analyte: Analyte) -> Option<Method> {
    if method.measures(analyte) {
        return Some(method);
    }
    let other = match (method, analyte) {
        (Method::Water1to1, Analyte::SolubleSalts) => Method::Ec1to1,
        (Method::Water1to2, Analyte::SolubleSalts) => Method::Ec1to2,
        (Method::Ec1to1, Analyte::Ph) => Method::Water1to1,
        (Method::Ec1to2, Analyte::Ph) => Method::Water1to2,
        _ => return None,
    };
    Some(other)
}

/// A line of text outside the tables.
#[derive(Debug, Clone, Default)]
pub struct NoteLine {
    /// Its words.
    pub text: String,
    /// Opens with a small raised sign.
    pub footnote: bool,
    /// A table stands between it and the line before.
    pub apart: bool,
}

/// Reads the notes in the lines of text that no table has taken.
pub fn notes(lines: &[NoteLine], context: Context) -> Notes {
    let mut out = Notes::default();
    let text = paragraphs(lines);
    for line in &text {
        out.zero_is_blank |= zero_is_blank(line);
        out.marked.extend(marked(line));
    }
    for line in lines.iter().filter(|l| l.footnote) {
        out.marked.extend(lettered(&fold(&line.text)));
    }
    for (letter, note) in super::lettered::lettered(lines) {
        out.marked.entry(letter).or_insert(note);
    }
    for clause in text.iter().flat_map(|t| clauses(t)) {
        read_clause(&clause, context, &mut out);
    }
    out
}

/// `1 one part soil, one part water 2 Sikora buffer 3 ...`: numbered footnotes, one or many a line. Numbers count
/// up, so that a figure inside a note opens no other.
fn marked(line: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let words: Vec<&str> = line.split(' ').collect();
    let mut expected: Option<u32> = None;
    for (i, word) in words.iter().enumerate() {
        let bare = word.trim_matches(|c| matches!(c, '(' | ')' | '.' | ':'));
        let number = bare.parse::<u32>().ok().filter(|n| *n < 30 && bare.len() <= 2 && !word.ends_with(','));
        let sign = (i == 0 || word.len() <= 3)
            && !word.is_empty()
            && word.chars().all(|c| matches!(c, '*' | '†' | '‡'));
        let opens = match number {
            Some(n) => (i == 0 && n >= 1) || expected == Some(n),
            None => sign,
        };
        if opens && i + 1 < words.len() {
            expected = number.map(|n| n + 1).or(expected);
            out.push((bare.to_owned(), String::new()));
        } else if let Some((_, text)) = out.last_mut() {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(word);
        } else {
            return out;
        }
    }
    out
}

/// `a 1:1 soil:water. b Walkley-Black. c ...`: footnotes under raised letters that follow the alphabet.
fn lettered(line: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let mut expected: Option<char> = None;
    for word in line.split(' ') {
        let mut chars = word.chars();
        let lone = chars.next().filter(|c| c.is_ascii_lowercase() && chars.next().is_none());
        match (lone, expected) {
            (Some(c), None) if out.is_empty() => {
                expected = char::from_u32(u32::from(c) + 1);
                out.push((c.to_string(), String::new()));
            }
            (Some(c), Some(next)) if c == next => {
                expected = char::from_u32(u32::from(c) + 1);
                out.push((c.to_string(), String::new()));
            }
            _ => match out.last_mut() {
                Some((_, text)) => {
                    text.push(' ');
                    text.push_str(word);
                }
                None => return out,
            },
        }
    }
    out
}

/// A few words in each of three columns or more: a line of a table.
fn is_of_a_table(text: &str) -> bool {
    let mut columns = text.split("  ").filter(|c| !c.is_empty()).map(|c| c.split(' ').count());
    text.contains("  ") && columns.clone().count() > 2 && columns.all(|words| words <= 3)
}

/// Footnotes wrap: a line that ends without a full stop goes on in the next.
fn paragraphs(lines: &[NoteLine]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut open = false;
    for line in lines {
        let (footnote, table) = (line.footnote || line.apart, is_of_a_table(&line.text));
        let line = fold(&line.text);
        match out.last_mut() {
            Some(last) if open && !footnote && !table => {
                last.push(' ');
                last.push_str(&line);
            }
            _ => out.push(line.clone()),
        }
        open = !table && line.split(' ').count() > 6 && !line.ends_with(['.', '!', '?']);
    }
    out
}

/// Clauses end at semicolons and at full stops that end a sentence.
fn clauses(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut current = String::new();
    let chars: Vec<char> = text.chars().collect();
    for (i, c) in chars.iter().enumerate() {
        let next = chars.get(i + 1).copied();
        let after = chars.get(i + 2).copied();
        let before_word: String = current.chars().rev().take_while(|c| c.is_alphabetic()).collect();
        let ends = match c {
            ';' => true,
            // `O.M.` and `Sat. paste` are no ends: a sentence ends after a longer word, before a capital.
            '.' => {
                next.is_none_or(|n| n == ' ')
                    && (before_word.chars().count() > 3
                        || current.ends_with(|c: char| c.is_ascii_digit() || c == ')'))
                    && after.is_none_or(|a| {
                        a.is_uppercase() || a.is_ascii_digit() || a == 'p' && chars.get(i + 3) == Some(&'H')
                    })
            }
            _ => false,
        };
        if ends {
            out.push(std::mem::take(&mut current));
        } else {
            current.push(*c);
        }
    }
    out.push(current);
    out.retain(|c| !c.trim().is_empty());
    out
}

/// Words after which a clause speaks of when, not of how.
const CONDITIONS: &[&str] = &["below", "above", "when", "if", "only", "unless", "except", "where"];
/// True for a word of a condition; `all nutrients below were extracted` points at a table, and sets none.
fn is_condition(words: &[String], at: usize) -> bool {
    let word = |i: usize| words.get(i).map(|w| w.to_lowercase()).unwrap_or_default();
    let points = matches!(word(at).as_str(), "below" | "above")
        && matches!(word(at + 1).as_str(), "are" | "were" | "is" | "was" | "have" | "has");
    CONDITIONS.contains(&word(at).as_str()) && !points
}

/// Words that make a clause advice or arithmetic instead of a procedure.
const ADVICE: &[&str] = &[
    "should",
    "recommend",
    "recommended",
    "recommendation",
    "recommendations",
    "ranges",
    "needs",
    "last",
    "former",
    "apply",
    "raise",
    "optimum",
    "target",
    "desired",
    "deficient",
    "converted",
    "equivalent",
    "equivalents",
];

/// Words that stand for several measurements.
fn group(word: &str) -> &'static [Analyte] {
    use Analyte::*;
    match word.trim_end_matches('.') {
        "cations" | "bases" | "cationes" | "kationen" => &[Potassium, Calcium, Magnesium, Sodium],
        "micronutrients" | "micros" | "trace" | "oligoéléments" | "spurenelemente" | "micronutrientes" => {
            &[Zinc, Iron, Manganese, Copper, Boron]
        }
        "salts" => &[SolubleSalts],
        _ => &[],
    }
}

/// `L = low, M = medium`: the letters a legend explains.
pub fn legend(text: &str) -> Vec<String> {
    static LEGEND: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"\b(VL|L|ML|M|MH|H|VH|EH|O)\s*(?:=|:|-|,|is|means|for|stands for)?\s*(?i:very |extremely |medium )?(?i:low|medium|high|optimum)").ok()
    });
    LEGEND
        .as_ref()
        .map(|r| r.captures_iter(text).filter_map(|c| c.get(1)).map(|m| m.as_str().to_owned()).collect())
        .unwrap_or_default()
}

/// `except as shown`, `unless otherwise noted`: what goes before holds for all that says nothing else of itself.
fn save_exceptions(words: &[String]) -> bool {
    let lower: Vec<String> = words.iter().map(|w| w.trim_end_matches('.').to_lowercase()).collect();
    matches!(lower.first().map(String::as_str), Some("except" | "unless"))
        && lower.iter().skip(1).take(3).any(|w| {
            matches!(w.as_str(), "shown" | "noted" | "stated" | "indicated" | "marked" | "given" | "printed")
        })
}

fn read_clause(clause: &str, context: Context, out: &mut Notes) {
    let context = context.of(clause);
    let mut words = pieces(clause);
    for hit in hits_where(&words, context, &|m| matches!(m, Meaning::Method(_) | Meaning::Analyte(..))) {
        match hit.meaning {
            Meaning::Method(method) => out.named.extend(method),
            Meaning::Analyte(analyte, ..) => out.spoken_of.push(analyte),
            _ => {}
        }
    }
    let end = (0..words.len()).find(|at| is_condition(&words, *at));
    let all_but = end.is_some_and(|end| save_exceptions(words.get(end..).unwrap_or_default()));
    words.truncate(end.unwrap_or(words.len()));
    let lower: Vec<String> = words.iter().map(|w| w.to_lowercase()).collect();
    let says = |word: &str| lower.iter().any(|w| w.trim_end_matches('.') == word);
    pounds(&lower, out);
    // "1:2 soil to water by volume" tells how a slurry is mixed.
    let slurry = says("water") || lower.iter().any(|w| w.contains(':') && w.len() > 2);
    if says("litre") || says("liter") || says("volume") && (says("soil") || says("basis")) && !slurry {
        out.per_volume = true;
    }
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
    let all = (says("all") || says("results") || says("nutrients") || says("values"))
        && (says("results") || says("nutrients") || says("values") || says("reported"))
        || all_but && hits_where(&words, context, &|m| matches!(m, Meaning::Analyte(..))).is_empty();
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
    let mut methods: Vec<(usize, Option<Method>)> = hits
        .iter()
        .filter_map(|h| match h.meaning {
            Meaning::Method(m) => Some((h.start, m)),
            Meaning::Analyte(_, Some(m), _) => Some((h.start, Some(m))),
            _ => None,
        })
        .collect();
    methods.dedup_by_key(|(_, m)| *m);
    let mut analytes: Vec<(usize, Analyte)> = hits
        .iter()
        .filter_map(|h| match h.meaning {
            Meaning::Analyte(a, ..) => Some((h.start, a)),
            _ => None,
        })
        .collect();
    let named = analytes.clone();
    // "Summed from the cations" says nothing of how these were extracted.
    let summed = methods.iter().any(|(_, m)| *m == Some(Method::Summation));
    for (at, word) in lower.iter().enumerate().filter(|_| !summed) {
        analytes.extend(group(word).iter().map(|a| (at, *a)));
    }
    analytes.sort_by_key(|(at, _)| *at);
    if lower.iter().any(|w| ADVICE.contains(&w.as_str())) {
        return;
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
    for (analyte, method) in pair(&analytes, &methods) {
        add(out, analyte, method);
    }
    // `P, K and Ca by Mehlich-1 extract` speaks of these alone.
    let of_all = ["nutrients", "nutrient", "elements", "cations", "minerals"].iter().any(|w| says(w));
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
    if let Some(method) = of_nutrients(&lower, &methods, &analytes) {
        out.extractant = Some(method);
    }
    let stated = match units.as_slice() {
        [unit] => Some(unit),
        // "in pounds per acre (2 x ppm)": the factor names the other unit.
        [unit, _] if out.pounds_factor.is_some() => Some(unit),
        _ => None,
    };
    if let Some(unit) = stated
        && let Meaning::Unit(id) = unit.meaning
    {
        let text = words.get(unit.start..unit.end).map(|w| w.join(" ")).unwrap_or_default();
        for (_, analyte) in &named {
            let fits = conversion(id, analyte.unit())
                .is_some_and(|c| matches!(c.rule, Rule::Plain | Rule::Area | Rule::Volume));
            if fits {
                out.units.entry(*analyte).or_insert((id, text.trim_end_matches('.').to_owned()));
            }
        }
    }
}

/// `All nutrients were extracted with Mehlich 3, organic matter was found by loss on ignition`: of several methods the
/// one right behind the nutrients is theirs, where the others measure no nutrient.
fn of_nutrients(
    lower: &[String],
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

/// `A, B and C by M`, `M: A, B, C`, `A by M, B by N`: an analyte goes with the next method behind it that can
/// measure it, before another analyte list starts anew; else with the one in front.
fn pair(analytes: &[(usize, Analyte)], methods: &[(usize, Option<Method>)]) -> Vec<(Analyte, Method)> {
    let mut out = Vec::new();
    for (at, analyte) in analytes {
        let fits = |m: &Option<Method>| m.and_then(|m| adapt(m, *analyte));
        let behind: Vec<Method> =
            methods.iter().filter(|(i, _)| i >= at).filter_map(|(_, m)| fits(m)).collect();
        let front: Vec<Method> =
            methods.iter().filter(|(i, _)| i < at).filter_map(|(_, m)| fits(m)).collect();
        if let Some(method) = behind.first().or(front.last()) {
            out.push((*analyte, *method));
        }
    }
    out
}

fn add(out: &mut Notes, analyte: Analyte, method: Method) {
    out.methods
        .entry(analyte)
        .and_modify(|kept| *kept = kept.filter(|m| *m == method))
        .or_insert(Some(method));
}

/// `1 ppm`, `1 mg/kg` before the word at `at`, and a weight an area behind its number.
fn one_part(lower: &[String], at: usize) -> bool {
    let word = |i: Option<usize>| i.and_then(|i| lower.get(i)).map(String::as_str).unwrap_or_default();
    word(at.checked_sub(2)) == "1"
        && matches!(word(at.checked_sub(1)), "ppm" | "mg/kg")
        && matches!(
            word(at.checked_add(2)).trim_end_matches(['.', ',']),
            "kg/ha" | "lb/acre" | "lbs/acre" | "lb/a" | "lbs/a" | "lb/ac" | "lbs/ac" | "pounds"
        )
}

/// "Pounds an acre are parts per million times two", "lb/A = ppm x 2", "kg/ha are mg/kg times 1.95".
fn pounds(lower: &[String], out: &mut Notes) {
    let text = lower.join(" ");
    let million = ["parts per million", "ppm", "mg/kg"].iter().any(|w| text.contains(w));
    if !million {
        return;
    }
    let numeral = |word: &str| match word.trim_end_matches(['.', ',', ')']) {
        "two" | "twice" => Some(2.0),
        w => w.parse::<f64>().ok(),
    };
    let by = |i: usize| {
        let word = lower.get(i).map(String::as_str).unwrap_or_default();
        let next = lower.get(i + 1).map(String::as_str).unwrap_or_default();
        let before = i.checked_sub(1).and_then(|j| lower.get(j)).map(String::as_str).unwrap_or_default();
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
    // "ppm x 0.3 x inches of the layer" is a rule for layers, not one factor.
    if text.contains("inches") || text.contains("depth of") {
        return;
    }
    // Where both are spoken of, the factor belongs to the one beside it.
    let distance = |words: &[&str]| {
        let said = |w: &String| words.iter().any(|unit| w.contains(unit));
        lower.iter().enumerate().filter(|(_, w)| said(w)).map(|(i, _)| i.abs_diff(at)).min()
    };
    match (distance(&["pound", "lb"]), distance(&["hectare", "kg/ha"])) {
        (Some(pounds), hectares) if hectares.is_none_or(|h| pounds < h) => out.pounds_factor = Some(factor),
        (_, Some(_)) => out.hectare_factor = Some(factor),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const C: Context = Context { symbols: true, capitals: false };

    fn of(text: &str) -> Notes {
        notes(&[NoteLine { text: text.to_owned(), footnote: false, apart: false }], C)
    }

    #[test]
    fn a_line_behind_a_table_is_no_end_of_a_line_before_it() {
        let line = |text: &str, apart| NoteLine { text: text.to_owned(), footnote: false, apart };
        let notes = |apart| {
            notes(
                &[
                    line("Table 1. Available nutrients, kg/ha (except where shown)", false),
                    line("kg/ha = mg/kg x 2.6", apart),
                ],
                C,
            )
        };
        assert_eq!((notes(true).hectare_factor, notes(false).hectare_factor), (Some(2.6), None));
    }

    #[test]
    fn one_part_that_is_so_many_kilograms_is_a_factor() {
        let stated = of("1 mg/kg = 2 kg/ha for a layer of 15 cm.");
        assert_eq!((stated.hectare_factor, stated.pounds_factor), (Some(2.0), None));
        assert_eq!(of("Apply 1 kg/ha of boron").hectare_factor, None);
        let beside = of("Na 36 pound per acre in the extract kg/ha = ppm x 2.24");
        assert_eq!((beside.hectare_factor, beside.pounds_factor), (Some(2.24), None));
    }

    #[test]
    fn the_heading_of_a_table_goes_on_in_no_note() {
        let lines = [
            "Analysis  Result  Unit  Detection limit  Desired Range",
            "pH by equal parts of soil and water; organic matter by Walkley-Black.",
        ];
        let lines = lines.map(|t| NoteLine { text: t.to_owned(), footnote: false, apart: false });
        assert_eq!(notes(&lines, C).methods.get(&Analyte::Ph), Some(&Some(Method::Water1to1)));
    }

    #[test]
    fn a_sentence_on_zeros_makes_them_blanks() {
        assert!(zero_is_blank("A zero means that the test was not ordered."));
        assert!(zero_is_blank("0 indicates no test"));
        assert!(!zero_is_blank("Sampling depth 0 to 6 inches. Results mean nothing for potting mix."));
    }

    #[test]
    fn half_a_method_or_one_of_another_is_a_place_where_a_method_may_hide() {
        let half = of("Soil pH 1:1 water. P, K, Ca and Mg by Mehlich");
        assert_eq!(half.methods.get(&Analyte::Potassium), None);
        assert!(half.may_hide_a_method(Analyte::Potassium) && !half.may_hide_a_method(Analyte::Zinc));
        assert!(!half.may_hide_a_method(Analyte::SatK));
        assert!(of("Mehlich 3, by ICP").may_hide_a_method(Analyte::Calcium));
        // Where marks are lost, one note runs into the next.
        assert!(of("read when soil pH is under 7.0 Mehlich 3 by ICP").may_hide_a_method(Analyte::Calcium));
        assert!(!of("Samples are kept for thirty days.").may_hide_a_method(Analyte::Calcium));
    }

    #[test]
    fn a_buffer_named_alone_is_that_of_the_buffer_ph() {
        let n = of("Methods: pH in water 1:1; Sikora buffer; P, K by Mehlich-3.");
        assert_eq!(n.methods.get(&Analyte::BufferPh), Some(&Some(Method::Sikora)));
        assert_eq!(n.methods.get(&Analyte::Ph), Some(&Some(Method::Water1to1)));
        let n = of("SMP buffer; Sikora buffer");
        assert_eq!(n.methods.get(&Analyte::BufferPh), Some(&None));
    }

    #[test]
    fn a_footnote_gives_each_list_its_method() {
        let n = of(
            "Procedures: pH in water 1:1; buffer pH by SMP; P1 = weak Bray; K, Mg, Ca by neutral ammonium acetate; Zn, Mn, Fe, Cu by DTPA; O.M. by loss on ignition; C.E.C. is the sum of cations.",
        );
        let method = |a| n.methods.get(&a).copied().flatten();
        assert_eq!(method(Analyte::Ph), Some(Method::Water1to1));
        assert_eq!(method(Analyte::BufferPh), Some(Method::Smp));
        assert_eq!(method(Analyte::Phosphorus), Some(Method::BrayP1));
        assert_eq!(method(Analyte::Potassium), Some(Method::AmmoniumAcetate));
        assert_eq!(method(Analyte::Calcium), Some(Method::AmmoniumAcetate));
        assert_eq!(method(Analyte::Iron), Some(Method::Dtpa));
        assert_eq!(method(Analyte::OrganicMatter), Some(Method::LossOnIgnition));
        assert_eq!(method(Analyte::Cec), Some(Method::Summation));
    }

    #[test]
    fn an_extract_of_a_list_is_of_no_other() {
        let n = of("Procedures: pH by 1:1 H2O; P, K, Ca by Mehlich-1 extract.");
        assert_eq!(n.extractant, None);
        assert_eq!(n.methods.get(&Analyte::Calcium), Some(&Some(Method::Mehlich1)));
    }

    #[test]
    fn an_extractant_for_all_reaches_only_what_it_measures() {
        let n = of(
            "Extractant: Mehlich 3 (ICP). pH in a 1:1 water slurry. Salts in a saturated paste extract. CEC is summed from the bases and acidity.",
        );
        assert_eq!(n.extractant, Some(Method::Mehlich3));
        assert_eq!(n.methods.get(&Analyte::Ph).copied().flatten(), Some(Method::Water1to1));
        assert_eq!(n.methods.get(&Analyte::SolubleSalts).copied().flatten(), Some(Method::SaturatedPaste));
        assert_eq!(n.methods.get(&Analyte::Cec).copied().flatten(), Some(Method::Summation));
    }

    #[test]
    fn conditions_are_no_procedures_and_factors_are_stated() {
        let n = of("Buffer pH is run only when soil pH is below 6.6 in 1:1 water.");
        assert!(n.methods.is_empty());
        assert_eq!(of("Pounds an acre are parts per million times two.").pounds_factor, Some(2.0));
        assert_eq!(of("All results in ppm.").common_unit.map(|u| u.0), Some("mg/kg"));
    }

    #[test]
    fn raised_letters_open_footnotes_in_the_order_of_the_alphabet() {
        let line = "a one part soil, a part water. b Olsen bicarbonate. c DTPA.".to_owned();
        let n = notes(&[NoteLine { text: line, footnote: true, apart: false }], C);
        assert_eq!(n.marked.get("b").map(|t| t.trim()), Some("Olsen bicarbonate."));
        assert_eq!(n.marked.get("a").map(|t| t.trim()), Some("one part soil, a part water."));
    }

    #[test]
    fn a_note_in_capitals_names_elements_in_a_document_that_is_not() {
        let n = of("P, K, CA AND MG IN PPM");
        for analyte in [Analyte::Phosphorus, Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium] {
            assert_eq!(n.units.get(&analyte).map(|u| u.0), Some("mg/kg"), "{analyte}");
        }
        let n = of("ALL RESULTS IN MG/KG EXCEPT PH AND O.M.");
        assert_eq!(n.common_unit.map(|u| u.0), Some("mg/kg"));
        assert!(n.units.is_empty());
    }

    #[test]
    fn shouted_notes_name_method_and_unit() {
        let n = notes(
            &[NoteLine {
                text: "P, K, CA, MG, ZN, MN: MEHLICH-1 EXTRACT, POUNDS PER ACRE.".to_owned(),
                footnote: false,
                apart: false,
            }],
            Context { symbols: true, capitals: true },
        );
        assert_eq!(n.methods.get(&Analyte::Calcium).copied().flatten(), Some(Method::Mehlich1));
        assert_eq!(n.units.get(&Analyte::Manganese).map(|u| u.0), Some("lb/acre"));
    }
}
