//! Printed phrase to meaning: an analyte, a method, a unit, a field, a column's role, or a decoy that is never a result.

mod changed;
mod load;
mod tree;

use super::fold::{folded, is_figure, is_punctuation, pieces};
use super::kept::{Kept, kept};
use crate::soil::{Analyte, Method};
use compact_str::CompactString;
pub use load::VocabularyError;
use std::cell::RefCell;
use tree::{Node, Opens, Spelled, VOCABULARY};
pub use tree::{is_word, symbol_in_capitals};

thread_local! {
    static SPELLED: RefCell<Kept<Spelled>> = RefCell::default();
    static OPENS: RefCell<Kept<Opens>> = RefCell::default();
}

/// What a phrase means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// A measurement, perhaps with its method, and the form that the phrase gives it.
    Analyte(Analyte, Option<Method>, Form),
    /// A method by name. `None` is a real method that the contract has no id for.
    Method(Option<Method>),
    /// A printed unit, by its id in `soil/units.csv`.
    Unit(&'static str),
    /// A field of the report.
    Field(Field),
    /// A heading whose numbers are never results.
    Decoy,
    /// A real measurement outside the contract.
    Other,
    /// `% base saturation`: the symbols under it are shares of the exchange complex.
    Saturation,
    /// What a column of a table of analytes holds.
    Role(Role),
    /// A rating word.
    Rating,
    /// A word for a value without a number, or below a limit not printed here.
    Blank,
}

/// In which chemical form a phrase names its analyte.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// The element, or a quantity without the question.
    Plain,
    /// The oxide: P2O5, K2O, CaO, MgO, Na2O.
    Oxide,
    /// A trade word that may mean the oxide or the element (phosphate, potash).
    OxideOrElement,
    /// Ion or element (nitrate, sulfate).
    IonOrElement,
    /// The ion, said so: nitrate as NO3, sulfate as SO4.
    Ion,
    /// By a procedure that the contract has no id for: `Mg (CaCl2)`; what a note says of the others is not said of it.
    Foreign,
    /// Computed from another extractant.
    Equivalent,
    /// In a solution or paste extract: never a soil mg/kg.
    Solution,
    /// A sum over a profile.
    Profile,
    /// Not clear what was measured.
    Unclear,
    /// Clear only where its unit stands by it.
    ByUnit,
}

/// A field of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Field {
    /// The client's name for the sample.
    SampleLabel,
    /// The laboratory's number for the sample.
    LabSample,
    /// Report number.
    Report,
    /// Sampling day.
    SampledOn,
    /// Day of receipt.
    ReceivedOn,
    /// Day of the report.
    ReportedOn,
    /// Upper edge, or the whole depth.
    DepthTop,
    /// Lower edge.
    DepthBottom,
    /// What the edges beside it are counted in.
    DepthUnit,
    /// Whose soil.
    Client,
    /// Whose account: the client's, where nothing else names one.
    Account,
    /// The farm or property: the client, where nothing else names one.
    Farm,
    /// A club, school or firm that a form asks for: the client, where nothing else names one.
    Party,
    /// Who sent the sample or gets the results: the client, where nothing else names one.
    Submitter,
    /// A bed, pitch or bag that a form asks for: the sample's name, where nothing else names it.
    Place,
    /// A day by itself: that of the report, where no day has a name.
    Day,
    /// A day in the laboratory, of the test or of the entry in its books: tells the year, where no other day does.
    Handled,
    /// The laboratory.
    Lab,
    /// What was in the bag: a sample, or a blank or a control of the laboratory's own.
    SampleKind,
    /// A field that is known and passed over (account, county, crop ...).
    Ignored,
}

impl Field {
    /// True for what may name whose soil it is.
    pub fn names_an_owner(self) -> bool {
        matches!(self, Self::Client | Self::Farm | Self::Account | Self::Party | Self::Submitter)
    }
}

/// What a column of a table of analytes holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Names of analytes.
    Analyte,
    /// Results.
    Result,
    /// Units.
    Unit,
    /// Methods.
    Method,
    /// Qualifiers.
    Qualifier,
}

/// A phrase found in a run of pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// What it means.
    pub meaning: Meaning,
    /// First piece.
    pub start: usize,
    /// One past the last piece.
    pub end: usize,
}

/// Which readings of short phrases the place allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Context {
    /// One-letter symbols (P K S B H) may be elements.
    pub symbols: bool,
    /// The document shouts: `CA` may be calcium.
    pub capitals: bool,
}

/// How many contexts there are.
pub const CONTEXTS: usize = 4;

/// More words than a code or a name has.
const SHOUTED_WORDS: usize = 4;

impl Context {
    /// Its place among all contexts, from 0.
    pub fn place(self) -> usize {
        usize::from(self.symbols) + 2 * usize::from(self.capitals)
    }

    /// A sentence in capitals alone writes `CA` for calcium, whatever the rest of the document does.
    pub fn of(self, text: &str) -> Self {
        let capitals = text.split_whitespace().count() >= SHOUTED_WORDS
            && text.contains(char::is_uppercase)
            && !text.contains(char::is_lowercase);
        Self { capitals: self.capitals || capitals, ..self }
    }
}

/// What a text is looked at for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sought {
    /// A unit.
    Unit,
    /// A field of the report.
    Field,
    /// A method.
    Method,
    /// What a column holds.
    Role,
}

impl Sought {
    /// True for a meaning of this kind.
    pub fn is(self, meaning: &Meaning) -> bool {
        match self {
            Self::Unit => matches!(meaning, Meaning::Unit(_)),
            Self::Field => matches!(meaning, Meaning::Field(_)),
            Self::Method => matches!(meaning, Meaning::Method(_)),
            Self::Role => matches!(meaning, Meaning::Role(_)),
        }
    }
}

/// Follows every spelling of the next piece; brackets, commas, colons and dashes between words are optional.
fn walk(
    node: &Node,
    words: &[Spelled],
    start: usize,
    at: usize,
    context: Context,
    accept: &dyn Fn(&Meaning) -> bool,
    best: &mut Option<Hit>,
) {
    let symbol = at == start + 1 && words.get(start).is_some_and(|word| word.letter);
    // `Mg (kg per hectare)` holds no `mg kg`: a unit reaches over no bracket that it leaves open.
    let open = words.get(start..at).is_some_and(|run| run.iter().map(|w| w.bracket).sum::<i32>() > 0)
        || at > start + 1 && words.get(start).is_some_and(|w| w.magnesium);
    for meaning in &node.meanings {
        if !accept(meaning) || (symbol && !context.symbols) || open && matches!(meaning, Meaning::Unit(_)) {
            continue;
        }
        if best.is_none_or(|b| at - start > b.end - b.start) {
            *best = Some(Hit { meaning: *meaning, start, end: at });
        }
    }
    let Some(word) = words.get(at) else { return };
    if at > start && word.separator {
        walk(node, words, start, at + 1, context, accept, best);
    }
    for child in word.keys.iter().flatten().filter_map(|key| node.children.get(key)) {
        walk(child, words, start, at + 1, context, accept, best);
    }
}

/// True where some phrase of the vocabulary may begin with this piece.
fn begins(word: &Spelled) -> bool {
    !word.separator && word.keys.iter().flatten().any(|key| VOCABULARY.root.children.contains_key(key))
}

/// Every spelling that a word may stand for. One letter is an element or not where the phrase is followed, not here.
fn spelled(word: &str, context: Context) -> Spelled {
    kept(&SPELLED, word, Context { symbols: false, ..context }, || VOCABULARY.spelled(word, context))
}

/// True where a phrase of this meaning may begin with the first piece of a text; most texts need no closer look.
pub fn may_open(text: &str, sought: Sought, context: Context) -> bool {
    let text = folded(text);
    // Nothing is cut across a space, so the first word alone gives the first piece.
    let first = text.split(' ').next().unwrap_or_default();
    // Of these, methods alone begin with a bare figure: `1 N ammonium acetate`.
    if sought != Sought::Method && is_figure(first) {
        return false;
    }
    let opens = kept(&OPENS, first, Context { symbols: false, ..context }, || opens(first, context));
    match sought {
        Sought::Unit => opens.unit,
        Sought::Field => opens.field,
        Sought::Method => opens.method,
        Sought::Role => opens.role,
    }
}

/// What the phrases mean that may begin with the first piece of a word.
fn opens(word: &str, context: Context) -> Opens {
    let pieces = pieces(word);
    let Some(first) = pieces.first().map(|piece| spelled(piece, context)).filter(|w| !w.separator) else {
        return Opens::default();
    };
    let each = first.keys.iter().flatten().filter_map(|key| VOCABULARY.opens.get(key));
    each.fold(Opens::default(), |all, one| Opens {
        unit: all.unit || one.unit,
        field: all.field || one.field,
        method: all.method || one.method,
        role: all.role || one.role,
    })
}

/// The phrase that a run of pieces opens with, as [`hits_where`] finds it.
pub fn leading_hit(
    words: &[CompactString],
    context: Context,
    accept: &dyn Fn(&Meaning) -> bool,
) -> Option<Hit> {
    if !begins(&spelled(words.first()?, context)) {
        return None;
    }
    let spelled: Vec<Spelled> = words.iter().map(|word| spelled(word, context)).collect();
    hit_at(words, &spelled, 0, context, accept)
}

/// The longest phrase from this piece on. Trailing separators swallowed while looking on are no part of it.
fn hit_at(
    words: &[CompactString],
    spelled: &[Spelled],
    at: usize,
    context: Context,
    accept: &dyn Fn(&Meaning) -> bool,
) -> Option<Hit> {
    if spelled.get(at)?.separator {
        return None;
    }
    let mut best = None;
    walk(&VOCABULARY.root, spelled, at, at, context, accept, &mut best);
    let hit: Hit = best?;
    let mut end = hit.end;
    while end > hit.start + 1 && words.get(end - 1).is_some_and(|w| is_punctuation(w)) {
        end -= 1;
    }
    Some(changed::beside(Hit { end, ..hit }, words))
}

/// The phrases in a run of pieces, longest first from the left, never overlapping.
pub fn hits(words: &[CompactString], context: Context) -> Vec<Hit> {
    hits_where(words, context, &|_| true)
}

/// As [`hits`], but only meanings that `accept` takes: a method may hide in words that a longer phrase covers.
pub fn hits_where(words: &[CompactString], context: Context, accept: &dyn Fn(&Meaning) -> bool) -> Vec<Hit> {
    let mut out = Vec::new();
    let spelled: Vec<Spelled> = words.iter().map(|word| spelled(word, context)).collect();
    let mut at = 0;
    while at < spelled.len() {
        match hit_at(words, &spelled, at, context, accept) {
            Some(hit) => {
                out.push(hit);
                at = hit.end.max(at + 1);
            }
            None => at += 1,
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::load::{each_phrase, load};
    use super::tree::{phrase_pieces, without_accents};
    use super::*;

    #[test]
    fn no_phrase_is_a_bare_figure_and_methods_alone_open_with_one() {
        let mut figures = Vec::new();
        load(|phrase, meaning| {
            let pieces = phrase_pieces(phrase);
            let opens = pieces.first().is_some_and(|piece| super::super::fold::is_figure(piece));
            let other = [Sought::Unit, Sought::Field, Sought::Role].iter().any(|sought| sought.is(&meaning));
            if opens && (pieces.len() == 1 || other) {
                figures.push(phrase.to_owned());
            }
        })
        .unwrap();
        assert_eq!(figures, [""; 0], "`label`, `leading_field` and `may_open` pass figures over");
    }

    #[test]
    fn the_leading_phrase_is_the_first_of_all_where_that_stands_at_the_start() {
        let contexts = [true, false].map(|symbols| Context { symbols, capitals: false });
        for text in [
            "Sample ID: B1",
            "mg/kg (ppm)",
            ": Sample",
            "Mehlich 3, ppm",
            "North 40",
            "",
            "lb per acre of K",
            "(%) Ca",
            "Calcium carbonate equivalent",
            "P, Olsen, -",
            "12 M",
            "ppm %",
        ] {
            for context in contexts {
                let words = pieces(text);
                let all = hits(&words, context);
                let first = all.first().filter(|hit| hit.start == 0).copied();
                assert_eq!(leading_hit(&words, context, &|_| true), first, "{text}");
                for sought in [Sought::Unit, Sought::Field, Sought::Method] {
                    let hit = leading_hit(&words, context, &|m| sought.is(m));
                    assert!(hit.is_none() || may_open(text, sought, context), "{text}");
                }
            }
        }
    }

    #[test]
    fn a_unit_reaches_over_no_bracket_that_it_leaves_open() {
        let units = |text: &str| {
            let words = super::super::fold::pieces(text);
            let context = Context { symbols: true, capitals: false };
            hits_where(&words, context, &|m| matches!(m, Meaning::Unit(_)))
                .iter()
                .map(|h| h.meaning)
                .collect::<Vec<_>>()
        };
        assert_eq!(units("Extractable Mg (kg per hectare)"), [Meaning::Unit("kg/ha")]);
        assert_eq!(units("CEC, mmol(c)/kg"), [Meaning::Unit("mmol/kg")]);
    }

    fn meanings(text: &str) -> Vec<Meaning> {
        hits(&pieces(text), Context { symbols: true, capitals: false })
            .into_iter()
            .map(|h| h.meaning)
            .collect()
    }

    #[test]
    fn both_files_load_and_every_contract_analyte_has_a_phrase() {
        let mut seen = std::collections::HashSet::new();
        let count = load(|_, m| {
            if let Meaning::Analyte(a, ..) = m {
                seen.insert(a);
            }
        })
        .unwrap();
        assert!(count > 1_500);
        for analyte in Analyte::ALL {
            assert!(seen.contains(analyte), "{analyte} has no phrase");
        }
    }

    #[test]
    fn a_phrase_without_a_source_is_refused() {
        for (file, good, bad) in [
            ("columns.csv", "role,phrase,source\nunit,Unit,[cp]", "role,phrase,source\nunit,Unit,"),
            ("vocabulary.csv", "a,b,c,d,source\nph,,pH,,[MOD]", "a,b,c,d,source\nph,,pH,, "),
        ] {
            assert_eq!(each_phrase((file, good), &mut |_, _| ()), Ok(1));
            let error = each_phrase((file, bad), &mut |_, _| ()).unwrap_err();
            assert!(error.line == 2 && error.problem.contains("has no source"), "{error}");
        }
    }

    #[test]
    fn a_phrase_is_known_without_its_accents_too() {
        let method = Meaning::Method(Some(Method::AmmoniumAcetate));
        assert_eq!(meanings("acetato amónico"), [method]);
        assert_eq!(meanings("acetato amonico"), [method]);
        assert!(is_word("amonico") && !is_word("amonic"));
        assert_eq!(without_accents("µS/cm"), None);
    }

    #[test]
    fn the_longest_phrase_wins() {
        assert_eq!(meanings("Phosphorus (P)"), [Meaning::Analyte(Analyte::Phosphorus, None, Form::Plain)]);
        assert_eq!(
            meanings("Olsen P"),
            [Meaning::Analyte(Analyte::Phosphorus, Some(Method::Olsen), Form::Plain)]
        );
        assert_eq!(meanings("P Index"), [Meaning::Decoy]);
        assert_eq!(meanings("Ca:Mg"), [Meaning::Other]);
    }

    #[test]
    fn case_tells_symbols_from_words() {
        assert_eq!(meanings("Mg"), [Meaning::Analyte(Analyte::Magnesium, None, Form::Plain)]);
        assert_eq!(meanings("Mo"), [Meaning::Other]);
        assert_eq!(meanings("mg/kg"), [Meaning::Unit("mg/kg")]);
        assert_eq!(meanings("N.A."), [Meaning::Analyte(Analyte::Acidity, None, Form::Plain)]);
    }

    #[test]
    fn one_letter_symbols_need_an_element_context() {
        let none = hits(&pieces("P"), Context { symbols: false, capitals: false });
        assert_eq!(none, []);
    }

    #[test]
    fn units_and_methods_stand_beside_names() {
        assert_eq!(
            meanings("Calcium, lb/acre"),
            [Meaning::Analyte(Analyte::Calcium, None, Form::Plain), Meaning::Unit("lb/acre")]
        );
        assert_eq!(
            meanings("K Mehlich-3 (ppm)"),
            [
                Meaning::Analyte(Analyte::Potassium, None, Form::Plain),
                Meaning::Method(Some(Method::Mehlich3)),
                Meaning::Unit("mg/kg")
            ]
        );
    }
}
