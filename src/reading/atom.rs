//! The contents of a line, piece by piece: numbers, ranges, blanks, and everything else as text.

use super::date::{DayOrder, date};
use super::fold::{folded, is_figure, pieces};
use super::label::{Label, label};
use super::layout::{Line, Phrase, Token, Tokens, place_of};
use super::number::{Decimal, PrintedNumber, first_of_several, is_range, number};
use super::present::is_this_season;
use super::signs;
use super::vocabulary::{Context, Meaning, hits_where, leading_hit};
use crate::place::{Place, Rect};
use regex::Regex;
use std::sync::LazyLock;

/// What a piece of a line is.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A number, perhaps with qualifier and rating.
    Number(PrintedNumber),
    /// Two numbers with a dash: never a result.
    Range,
    /// A mark or word for no value.
    Blank,
    /// Anything else.
    Text,
}

/// A piece of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Atom {
    /// What it is.
    pub kind: Kind,
    /// As printed, folded.
    pub text: String,
    /// Its words.
    pub tokens: Tokens,
    /// Its box.
    pub area: Rect,
    /// Footnote marks beside it.
    pub marks: Vec<String>,
}

impl Atom {
    /// A piece of these words; none without words.
    pub fn new(kind: Kind, tokens: impl Into<Tokens>) -> Option<Self> {
        let tokens = tokens.into();
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        let text = tokens.text().to_owned();
        Some(Self { kind, text, tokens, area, marks: Vec::new() })
    }

    /// What it says as a heading or a name.
    pub fn label(&self, context: Context) -> Label {
        if self.text == self.tokens.text() { self.tokens.label(context) } else { label(&self.text, context) }
    }

    /// True for words that are a unit and nothing else.
    pub fn is_unit(&self, context: Context) -> bool {
        let said = self.label(Context { symbols: false, ..context });
        matches!(self.kind, Kind::Text)
            && said.unit.is_some()
            && said.unknown.is_empty()
            && said.analyte.is_none()
    }

    /// The number, if it is one.
    pub fn number(&self) -> Option<&PrintedNumber> {
        match &self.kind {
            Kind::Number(n) => Some(n),
            _ => None,
        }
    }

    /// Where it stands.
    pub fn place(&self) -> Option<Place> {
        place_of(&self.tokens)
    }

    /// The least confidence of its words.
    pub fn confidence(&self) -> Option<f32> {
        self.tokens.iter().filter_map(|t| t.confidence).reduce(f32::min)
    }
}

static BLANK: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^(?:-+|\.{2,}|n/a|n\.a\.|na|nd|n\.d\.|n/d|nt|n/t|nr|bdl|brl|bql|tr|trace|\*+|pending|qns|none|null|nil|not (?:tested|detected|determined|requested|run|analy[sz]ed|reported)|<\s*(?:mdl|rl|dl|lod|loq)|#+|x)$").ok()
});
static RANGE_WITH_UNIT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^[<>]?\s*[0-9.,]+\s*(?:-|to|bis|à)\s*[0-9.,]+(?:\s+[^\s0-9.,<>]\S*(?:\s+\S+){0,2})?$").ok()
});

/// Two figures with a dash or a word for one between, and up to three words behind.
fn is_range_with_unit(text: &str) -> bool {
    let joined = ["-", "to", "bis", "à"].iter().any(|sign| text.contains(sign));
    joined && RANGE_WITH_UNIT.as_ref().is_some_and(|r| r.is_match(text))
}

/// True for a mark or word that stands for no value.
pub fn is_blank(text: &str) -> bool {
    let text = folded(text);
    // The first letters of all of them; most texts open otherwise.
    let may = text.starts_with(|c: char| "-.*#<nbtpqx".contains(c.to_ascii_lowercase()));
    // Sodium is written `Na`.
    may && text != "Na" && BLANK.as_ref().is_some_and(|r| r.is_match(&text))
}

/// The pieces of a whole line, from left to right.
pub fn atoms(line: &Line, decimal: Decimal) -> Vec<Atom> {
    if line.footnote {
        return line.phrases.iter().filter_map(|p| Atom::new(Kind::Text, p.tokens.clone())).collect();
    }
    let mut out: Vec<Atom> = Vec::new();
    for phrase in &line.phrases {
        let first = out.len();
        for mut atom in phrase_atoms(phrase, decimal) {
            // `13 *`: the sign is the number's, and stands for a note.
            if out.len() > first
                && let (Some(sign), Some(own)) = (signs::alone(&atom.text), out.last_mut())
                && own.number().is_some()
            {
                own.marks.push(sign.to_owned());
                continue;
            }
            atom.marks.clone_from(&phrase.marks);
            // `Boron >   0.35`: the sign may be the number's. In a table file it has a cell of its own.
            let signed = out.last().is_some_and(ends_in_sign);
            if let (Kind::Number(n), true) = (&mut atom.kind, signed) {
                n.odd = n.odd.or(n.qualifier.is_none().then_some(SIGN));
            }
            out.push(atom);
        }
    }
    out
}

/// Said of a number behind a sign that is no part of it.
const SIGN: &str = "a sign for less or more stands before it";

/// True for words on paper that end in a sign for less or more.
fn ends_in_sign(atom: &Atom) -> bool {
    matches!((&atom.kind, atom.place()), (Kind::Text, Some(Place::Page { .. }))) && is_signed(&atom.text)
}

/// True where a text ends in a sign for less or more, which belongs to what comes behind.
pub fn is_signed(text: &str) -> bool {
    text.ends_with(['<', '>', '≤', '≥'])
}

/// The pieces of one phrase. Only a phrase that starts with a number is taken apart: a name such as
/// `North 40` is text whole.
pub fn phrase_atoms(phrase: &Phrase, decimal: Decimal) -> Vec<Atom> {
    let text = phrase.text();
    let whole = |kind| Atom::new(kind, phrase.tokens.clone()).into_iter().collect();
    // What is told below of signs and letters is told of no bare figure, which most phrases are.
    let bare = is_figure(text);
    let figured = !bare && text.starts_with(|c: char| c.is_ascii_digit() || "<>.,".contains(c));
    if figured && (is_range(text) || is_range_with_unit(text)) {
        return whole(Kind::Range);
    }
    if !bare && is_blank(text) {
        return whole(Kind::Blank);
    }
    // `16 March 2024` is a day and no 16, `0.5 M NaHCO3, pH 8.5` an extract and no 0.5.
    if !bare
        && text.contains(char::is_alphabetic)
        && (text.split(' ').count() <= 4 && date(text, DayOrder::Unknown).is_some()
            || opens_with_method(text)
            || is_this_season(text)
            || is_solution(text))
    {
        return whole(Kind::Text);
    }
    if (phrase.tokens.len() == 1 || tight(&phrase.tokens))
        && let Some(n) = number(text, decimal)
    {
        return whole(Kind::Number(n));
    }
    if phrase.tokens.len() == 1 {
        return cell_atoms(phrase, text, decimal);
    }
    let starts_with_number = phrase.tokens.first().is_some_and(|t| number(&t.text, decimal).is_some())
        || figured && range_at(&phrase.tokens, 0).is_some()
        || phrase.tokens.first().is_some_and(|t| matches!(t.text.as_str(), "<" | ">" | "≤" | "≥"))
        || number(&joined(&phrase.tokens, 0, 2), decimal).is_some_and(|n| n.rating.is_some());
    if !starts_with_number {
        return whole(Kind::Text);
    }
    apart(&phrase.tokens, decimal)
}

/// `2 M KCl`, `0.05 N HCl`: how strong an extract is, and no value, whatever the reagent.
fn is_solution(text: &str) -> bool {
    const STRENGTHS: &[&str] = &["M", "N", "mM", "mol/L", "mol/l", "mol/dm3"];
    let mut words = text.split(' ');
    let (Some(figure), Some(strength), Some(reagent)) = (words.next(), words.next(), words.next()) else {
        return false;
    };
    let formula = reagent.chars().filter(|c| c.is_ascii_uppercase() || c.is_ascii_digit()).count() > 1
        && reagent.starts_with(|c: char| c.is_ascii_uppercase())
        && reagent.contains(|c: char| c.is_ascii_lowercase() || c.is_ascii_digit());
    figure.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        && STRENGTHS.contains(&strength)
        && formula
}

/// A procedure whose name begins with a figure, from the start of the text.
fn opens_with_method(text: &str) -> bool {
    let context = Context { symbols: false, capitals: false };
    text.starts_with(|c: char| c.is_ascii_digit())
        && leading_hit(&pieces(text), context, &|m| matches!(m, Meaning::Method(_)))
            .is_some_and(|hit| hit.end > 1)
}

fn joined(tokens: &[Token], from: usize, to: usize) -> String {
    super::layout::joined(tokens.get(from..to.min(tokens.len())).unwrap_or_default())
}

/// True where the words stand as close as the parts of one number.
fn tight(tokens: &[Token]) -> bool {
    tokens.iter().zip(tokens.iter().skip(1)).all(|(a, b)| b.area.x0 - a.area.x1 < 0.4 * a.size)
}

/// A cell such as `39 ppm` or `<0.5 mg/kg` holds a number and its unit.
fn cell_atoms(phrase: &Phrase, text: &str, decimal: Decimal) -> Vec<Atom> {
    let Some(token) = phrase.tokens.first() else { return Vec::new() };
    let part = |text: &str| Token { text: text.into(), ..token.clone() };
    let words: Vec<&str> = text.split(' ').collect();
    if words.len() > 1
        && let Some(several) = first_of_several(text, decimal)
    {
        return Atom::new(Kind::Number(several), phrase.tokens.clone()).into_iter().collect();
    }
    for count in [2, 1] {
        let head = words.iter().take(count).copied().collect::<Vec<_>>().join(" ");
        let tail = words.iter().skip(count).copied().collect::<Vec<_>>().join(" ");
        if tail.is_empty() || words.len() > 5 {
            continue;
        }
        if let Some(n) =
            number(&head, decimal).filter(|n| count == 1 || n.rating.is_some() || n.qualifier.is_some())
        {
            let first = Atom::new(Kind::Number(n), vec![part(&head)]);
            let second = Atom::new(Kind::Text, vec![part(&tail)]);
            return first.into_iter().chain(second).collect();
        }
    }
    Atom::new(Kind::Text, phrase.tokens.clone()).into_iter().collect()
}

/// `3 334`: a group of three digits set close behind one to three.
fn spaced_thousand(tokens: Option<&[Token]>) -> bool {
    let Some([a, b]) = tokens else { return false };
    let digits = |t: &Token| t.text.chars().all(|c| c.is_ascii_digit());
    digits(a) && digits(b) && a.text.len() <= 3 && b.text.len() == 3 && tight(&[a.clone(), b.clone()])
}

/// Words that belong to a procedure's name: the `7.0` of `ammonium acetate, pH 7.0` is no value.
fn procedures(tokens: &[Token]) -> Vec<usize> {
    let mut words = Vec::new();
    let mut owner = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        for piece in pieces(&token.text) {
            words.push(piece);
            owner.push(i);
        }
    }
    let context = Context { symbols: false, capitals: false };
    hits_where(&words, context, &|m| matches!(m, Meaning::Method(_)))
        .iter()
        .filter(|h| h.end > h.start + 1)
        .flat_map(|h| owner.get(h.start..h.end).unwrap_or_default().to_vec())
        .collect()
}

/// How many words from here are a range: `48 to 63` set close behind a value. A layer (`0 to 6 in`) is none.
fn range_at(tokens: &[Token], at: usize) -> Option<usize> {
    let between =
        tokens.get(at + 1).is_some_and(|t| matches!(t.text.as_str(), "-" | "\u{2013}" | "to" | "bis" | "à"));
    let count = if between { 3 } else { 1 };
    let layer = tokens
        .get(at + count)
        .is_some_and(|t| matches!(t.text.trim_end_matches('.'), "in" | "inch" | "inches" | "cm" | "\""));
    (at + count <= tokens.len() && !layer && is_range(&joined(tokens, at, at + count))).then_some(count)
}

/// Words from here that are numbers with slashes between, `6.3 / 6.1`, the first of them, and how many words they are.
fn slashed(tokens: &[Token], at: usize, decimal: Decimal) -> Option<(PrintedNumber, usize)> {
    let mut count = 1;
    while let Some([a, b]) = tokens.get(at + count - 1..=at + count)
        && (a.text.ends_with('/') || b.text.starts_with('/'))
    {
        count += 1;
    }
    // One word may be a number of the laboratory's, `606/1`.
    (count > 1)
        .then(|| first_of_several(&joined(tokens, at, at + count), decimal))
        .flatten()
        .map(|n| (n, count))
}

fn apart(tokens: &[Token], decimal: Decimal) -> Vec<Atom> {
    let mut out: Vec<Atom> = Vec::new();
    let mut text: Vec<Token> = Vec::new();
    let mut at = 0;
    let procedure = procedures(tokens);
    while at < tokens.len() {
        if procedure.contains(&at) {
            text.extend(tokens.get(at).cloned());
            at += 1;
            continue;
        }
        if let Some(count) = range_at(tokens, at) {
            out.extend(Atom::new(Kind::Text, std::mem::take(&mut text)));
            out.extend(tokens.get(at..at + count).and_then(|t| Atom::new(Kind::Range, t.to_vec())));
            at += count;
            continue;
        }
        let mut taken = slashed(tokens, at, decimal);
        // `< 0.5`, `VH 112`, `12 M` take two words.
        for count in [2, 1] {
            // The `M` of `98 M III` is the first word of an extract and rates nothing.
            if taken.is_some() || at + count > tokens.len() || count == 2 && procedure.contains(&(at + 1)) {
                continue;
            }
            let candidate = joined(tokens, at, at + count);
            let thousand = count == 2 && spaced_thousand(tokens.get(at..at + count));
            if let Some(n) = number(&candidate, decimal)
                && (count == 1 || n.qualifier.is_some() || n.rating.is_some() || thousand)
                && !(count == 2
                    && !thousand
                    && number(&joined(tokens, at, at + 1), decimal).is_some()
                    && n.rating.is_none())
            {
                taken = Some((n, count));
                break;
            }
        }
        if let Some((n, count)) = taken {
            out.extend(Atom::new(Kind::Text, std::mem::take(&mut text)));
            out.extend(tokens.get(at..at + count).and_then(|t| Atom::new(Kind::Number(n), t.to_vec())));
            at += count;
        } else if let Some(token) = tokens.get(at) {
            if is_blank(&token.text) && token.text != "x" {
                out.extend(Atom::new(Kind::Text, std::mem::take(&mut text)));
                out.extend(Atom::new(Kind::Blank, vec![token.clone()]));
            } else {
                text.push(token.clone());
            }
            at += 1;
        }
    }
    out.extend(Atom::new(Kind::Text, text));
    out
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn kinds(text: &str) -> Vec<String> {
        let page = layout(&typed(&[text]));
        atoms(&page.lines[0], Decimal::Point)
            .iter()
            .map(|a| match &a.kind {
                Kind::Number(n) => format!("n:{}", n.value),
                Kind::Range => "range".to_owned(),
                Kind::Blank => "blank".to_owned(),
                Kind::Text => format!("t:{}", a.text),
            })
            .collect()
    }

    #[test]
    fn names_stay_whole_and_numbers_come_apart() {
        assert_eq!(kinds("North 40  614  6.5 6.92"), ["t:North 40", "n:614", "n:6.5", "n:6.92"]);
        assert_eq!(kinds("pH  39 ppm  26 - 54  Optimum"), ["t:pH", "n:39", "t:ppm", "range", "t:Optimum"]);
        assert_eq!(kinds("Zn  < 0.5  --  VH 112"), ["t:Zn", "n:0.5", "blank", "n:112"]);
    }

    #[test]
    fn a_sign_at_the_end_of_a_name_may_be_the_numbers() {
        let odd = |text: &str| {
            let page = layout(&typed(&[text]));
            let found = atoms(&page.lines[0], Decimal::Point);
            found.last().and_then(Atom::number).is_some_and(|n| n.odd.is_some())
        };
        assert!(odd("Boron >   0.35") && odd("Boron   <   0.35"));
        assert!(!odd("Boron   <0.35") && !odd("Boron   0.35"));
    }

    #[test]
    fn a_range_close_behind_a_value_is_no_value() {
        assert_eq!(kinds("60 48 to 63"), ["n:60", "range"]);
        assert_eq!(kinds("6.8 3.7 - 10.1"), ["n:6.8", "range"]);
        assert_eq!(kinds("6.1 3.4-6.6"), ["n:6.1", "range"]);
        assert_eq!(kinds("4.5-10.4 6.6"), ["range", "n:6.6"]);
        assert_eq!(kinds("4.5-10.4 mg/kg"), ["range"]);
    }

    #[test]
    fn how_strong_an_extract_is_is_no_value() {
        assert_eq!(kinds("P  2 M NaBr"), ["t:P", "t:2 M NaBr"]);
        assert_eq!(kinds("P  0.05 N HBr"), ["t:P", "t:0.05 N HBr"]);
        assert_eq!(kinds("Zn  4.1 M High"), ["t:Zn", "n:4.1", "t:High"]);
    }

    #[test]
    fn the_first_letter_of_an_extract_rates_no_value() {
        assert_eq!(kinds("Mg  98 M III"), ["t:Mg", "n:98", "t:M III"]);
        assert_eq!(kinds("Mg  98 M mg/kg"), ["t:Mg", "n:98", "t:mg/kg"]);
    }

    #[test]
    fn numbers_with_a_slash_between_are_one_that_is_odd() {
        let odd = |text: &str| {
            let page = layout(&typed(&[text]));
            let found = atoms(&page.lines[0], Decimal::Point);
            found.iter().filter_map(Atom::number).map(|n| (n.value, n.odd.is_some())).collect::<Vec<_>>()
        };
        assert_eq!(odd("North 40  6.3 / 6.1  137 / 116"), [(6.3, true), (137.0, true)]);
        assert_eq!(odd("North 40  6.3 /6.1  137 /116 /9"), [(6.3, true), (137.0, true)]);
        assert_eq!(odd("North 40  606/1  6.3"), [(6.3, false)]);
    }

    #[test]
    fn two_tight_columns_are_no_thousand() {
        assert_eq!(kinds("6 120"), ["n:6", "n:120"]);
    }
}
