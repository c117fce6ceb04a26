//! What a heading or a row's name says: analyte, method, unit, form, or that its numbers are no results.

use super::fold::{is_figure, is_punctuation, pieces};
use super::kept::{Kept, kept};
use super::notes::by_colour;
use super::vocabulary::{Context, Field, Form, Hit, Meaning, Role, hits, hits_where};
use super::words::List;
use crate::soil::{Analyte, Method};
use compact_str::{CompactString, format_compact};
use std::cell::RefCell;
use std::ops::{Deref, DerefMut};
use std::rc::Rc;

/// A heading or row name, understood: one answer for all who ask, and a copy of its own for whoever changes it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Label(Rc<Understood>);

/// What a heading or a row's name says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Understood {
    /// The measurement.
    pub analyte: Option<Analyte>,
    /// In which chemical form.
    pub form: Option<Form>,
    /// Methods named, `None` for one outside the contract. Two different ones are a doubt.
    pub methods: Vec<Option<Method>>,
    /// Printed unit id and its letters.
    pub unit: Option<(&'static str, String)>,
    /// Its numbers are never results.
    pub decoy: bool,
    /// A measurement outside the contract.
    pub other: bool,
    /// A share of the exchange complex.
    pub saturation: bool,
    /// A field of the report.
    pub field: Option<Field>,
    /// What the column holds.
    pub role: Option<Role>,
    /// A rating word stands here.
    pub rating: bool,
    /// Words that nothing explains; any of them makes a result doubtful.
    pub unknown: Vec<String>,
    /// A year named: a season's column.
    pub year: Option<i16>,
    /// The liquid named beside a pH or a salt test, its ratio apart.
    pub liquid: Option<Liquid>,
    /// Two different analytes named: no single column.
    pub several: bool,
}

/// What a soil was stirred into for a pH or a salt test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Liquid {
    /// Water alone.
    Water,
    /// A salt solution.
    Salt,
}

impl Liquid {
    fn of(word: &str) -> Option<Self> {
        if List::Water.has(word) {
            return Some(Self::Water);
        }
        List::Salt.has(word).then_some(Self::Salt)
    }
}

impl From<Understood> for Label {
    fn from(understood: Understood) -> Self {
        Self(Rc::new(understood))
    }
}

impl Deref for Label {
    type Target = Understood;

    fn deref(&self) -> &Understood {
        &self.0
    }
}

impl DerefMut for Label {
    fn deref_mut(&mut self) -> &mut Understood {
        Rc::make_mut(&mut self.0)
    }
}

impl Label {
    /// The label as it reads under a group heading that spans it.
    pub fn under(mut self, group: &Label) -> Self {
        // A column with an extract or an amount of its own is no share, however wide a heading spreads.
        let own = self.unit.as_ref().is_some_and(|u| u.0 != "%") || self.methods.iter().any(Option::is_some);
        if group.saturation && group.analyte.is_none() && !own {
            self.saturation = true;
            // The symbols keep their meaning only where they are cations.
            self.compose(true);
        } else if group.unit.as_ref().is_some_and(|u| u.0 == "%") && self.unit.is_none() && !own {
            self.compose(true);
        }
        if self.methods.is_empty()
            && let Some(analyte) = self.analyte
        {
            self.methods.extend(group.methods.iter().filter(|m| m.is_none_or(|m| m.measures(analyte))));
        }
        if self.unit.is_none()
            && let Some(analyte) = self.analyte
            && takes_group_unit(analyte)
        {
            self.unit.clone_from(&group.unit);
        }
        self.decoy |= group.decoy && group.analyte.is_none();
        self
    }
}

impl Understood {
    /// True where the label names one measurement of the contract and nothing speaks against its numbers.
    pub fn is_result(&self) -> bool {
        self.analyte.is_some() && !self.decoy && !self.several
    }

    /// True where it names several measurements, so that a number under it is one of them and nobody knows which.
    pub fn names_several(&self) -> bool {
        self.several
            && self.analyte.is_some()
            && !self.decoy
            && !self.other
            && !self.rating
            && self.role.is_none()
    }

    /// True where anything at all was understood.
    pub fn known(&self) -> bool {
        self.names_column() || self.saturation || self.unit.is_some() || !self.methods.is_empty()
    }

    /// True for words that rate, `High`, `VL`; `Bed A` rates nothing, however much its letter is that of a class.
    pub fn only_rates(&self) -> bool {
        self.rating && self.unknown.is_empty()
    }

    /// True where the label names what stands in a column, and not only how it was measured or counted.
    pub fn names_column(&self) -> bool {
        self.analyte.is_some()
            || self.other
            || self.decoy
            || self.field.is_some()
            || self.role.is_some()
            || self.rating
    }

    /// The one method named, if one is.
    pub fn method(&self) -> Option<Method> {
        let mut named = self.methods.iter().flatten();
        let first = named.next().copied()?;
        named.all(|m| *m == first).then_some(first)
    }
}

thread_local! {
    static LABELS: RefCell<Kept<Label>> = RefCell::default();
}

/// `2024`, `5/2024`: a season's year, by itself or with its month.
pub fn year_of(text: &str) -> Option<i16> {
    let year = match text.split_once('/') {
        Some((month, year)) => {
            month.parse::<u8>().ok().filter(|m| (1..=12).contains(m))?;
            year
        }
        None => text,
    };
    (year.len() == 4).then(|| year.parse().ok()).flatten().filter(|y| (1950..2100).contains(y))
}

/// Understands a heading or row name.
pub fn label(text: &str, context: Context) -> Label {
    if is_figure(text) {
        return of_figure(text);
    }
    kept(&LABELS, text, context, || understand(text, context))
}

/// What [`understand`] says of a figure, which no phrase of the vocabulary is: a year, or a word that nothing explains.
fn of_figure(text: &str) -> Label {
    match year_of(text.trim_matches('.')) {
        Some(year) => Understood { year: Some(year), ..Understood::default() },
        None => Understood { unknown: vec![text.to_owned()], ..Understood::default() },
    }
    .into()
}

/// `Low field`, `High lawn 2`: a piece of ground, however much its first word rates results elsewhere.
pub fn is_ground(words: &[CompactString]) -> bool {
    let lower: Vec<CompactString> = words.iter().map(|w| w.to_lowercase()).collect();
    let degrees = lower.iter().take_while(|w| List::Degree.has(w)).count();
    let counts =
        |w: &CompactString| w.len() <= 2 && w.chars().all(|c| c.is_ascii_digit() || c.is_ascii_uppercase());
    degrees > 0
        && lower.get(degrees).is_some_and(|w| List::Ground.has(w))
        && words.len() <= degrees + 2
        && words.get(degrees + 1).is_none_or(counts)
}

fn understand(text: &str, context: Context) -> Label {
    let words = shares(parted_at_dashes(pieces(text), context));
    if is_ground(&words) {
        let unknown = words.into_iter().map(String::from).collect();
        return Understood { unknown, ..Understood::default() }.into();
    }
    let mut out = Label::default();
    let mut explained = vec![false; words.len()];
    let mut percent = false;
    let (mut buffer, mut ph) = (false, false);
    let mut symbol_alone = true;
    let mut wished = false;
    let found = hits(&words, context);
    // `pH (KCl) 1:2.5`: a ratio alone tells how much of the salt solution that is named beside it.
    let in_salt = |h: &Hit| match h.meaning {
        Meaning::Method(m) | Meaning::Analyte(_, m, _) => matches!(m, Some(Method::Kcl | Method::Cacl2)),
        _ => false,
    };
    let salt = found.iter().any(in_salt);
    let ratio = |h: &Hit| h.end == h.start + 1 && words.get(h.start).is_some_and(|w| w.contains(':'));
    let mut unit_ends = None;
    for hit in found {
        for mark in explained.iter_mut().take(hit.end).skip(hit.start) {
            *mark = true;
        }
        match hit.meaning {
            // `CEC calc.` is computed; only by itself is `Calc.` calcium.
            Meaning::Analyte(analyte, None, _)
                if out.analyte.is_some_and(|a| a != analyte)
                    && abbreviates(&words, hit.start, hit.end, out.analyte) =>
            {
                out.methods.push(Some(Method::Summation));
            }
            // `ammonium acetate, pH 7` is how the extract is buffered, and no measurement.
            Meaning::Analyte(Analyte::Ph, None, _)
                if buffered(&out.methods, words.get(hit.end).map(CompactString::as_str)) =>
            {
                explained.get_mut(hit.end).into_iter().for_each(|mark| *mark = true);
            }
            // `Ca % of CEC` is a share of the capacity, and no second measurement.
            Meaning::Analyte(Analyte::Cec, None, _)
                if out.analyte.is_some_and(|a| shared(a, percent || out.saturation))
                    && behind_of(words.get(..hit.start).unwrap_or_default()) =>
            {
                out.saturation = true;
            }
            Meaning::Analyte(analyte, method, form) => {
                symbol_alone &= one_letter(&words, hit.start, hit.end);
                buffer |= analyte == Analyte::BufferPh;
                ph |= analyte == Analyte::Ph;
                // `Nitrate nitrogen as NO3` is said to be both.
                if form == Form::IonOrElement
                    && out.analyte == Some(analyte)
                    && out.form == Some(Form::Plain)
                    && counted_as(words.get(..hit.start).unwrap_or_default())
                {
                    out.unknown.push("the ion or the element in it".to_owned());
                }
                let named = out.analyte == Some(analyte) && hit.end == words.len();
                out.add_analyte(analyte, form);
                // `Nitrates, mg/kg NO3`: what is named and then counted in milligrams of its ion.
                if named
                    && form == Form::IonOrElement
                    && unit_ends == Some(hit.start)
                    && out.form != Some(Form::Ion)
                {
                    out.form = Some(match out.form {
                        Some(Form::IonOrElement) => Form::Ion,
                        _ => Form::IonOrElement,
                    });
                }
                out.methods.extend(method.map(Some));
            }
            Meaning::Method(_) if salt && ratio(&hit) => {}
            Meaning::Method(method) => out.methods.push(method),
            // `P mg/l (Index)`: the index stands in brackets behind the value, as in the heading.
            Meaning::Unit("index") if in_brackets(&words, &hit) && counted_otherwise(&words, context) => {}
            // `pH Index` counts on a scale of the laboratory's own.
            Meaning::Unit("index") => out.decoy = true,
            Meaning::Unit(unit) => {
                percent |= unit == "%";
                unit_ends = Some(hit.end);
            }
            Meaning::Field(field) => out.field = out.field.or(Some(field)),
            Meaning::Decoy => out.decoy = true,
            // `CEC sum of bases` is computed; only by itself is the sum of bases a measurement of its own.
            Meaning::Other if out.analyte == Some(Analyte::Cec) && summed(&words, hit.start, hit.end) => {
                out.methods.push(Some(Method::Summation));
            }
            Meaning::Other => {
                symbol_alone &= one_letter(&words, hit.start, hit.end);
                out.other = true;
            }
            Meaning::Saturation => out.saturation = true,
            Meaning::Role(role) => out.role = out.role.or(Some(role)),
            Meaning::Rating => {
                out.rating = true;
                wished |= words.get(hit.start..hit.end).unwrap_or_default().concat().len() > LETTERS;
            }
            Meaning::Blank => {}
        }
    }
    // `Nitrate as NO3 - N` is said to be both.
    if out.form == Some(Form::Ion) && out.other {
        out.unknown.push("the ion and the element in it".to_owned());
    }
    // `Optimum pH`, `Organic matter, adequate`: what is wished for, and not what was found.
    if out.analyte.is_some() && wished {
        out.unknown.push("a rating in the name".to_owned());
    }
    // A unit may stand inside a longer phrase ("OM %"), so units are looked for on their own; the first counts.
    let mut units = hits_where(&words, context, &|m| matches!(m, Meaning::Unit(_)));
    if !out.decoy {
        units.retain(|hit| hit.meaning != Meaning::Unit("index"));
    }
    out.unit = units.first().and_then(|hit| match hit.meaning {
        Meaning::Unit(unit) => Some((unit, words.get(hit.start..hit.end)?.join(" "))),
        _ => None,
    });
    // Two units in one name are those of two columns; `ppm (mg/kg)` is one.
    let two = units.iter().skip(1).find(|hit| units.first().is_some_and(|one| one.meaning != hit.meaning));
    if let Some(hit) = two {
        out.unknown.extend(words.get(hit.start..hit.end).map(|w| w.join(" ")));
    }
    if buffer && ph && out.several {
        out.analyte = Some(Analyte::BufferPh);
        out.several = false;
    }
    // `Lime by SMP buffer`: how something else was found.
    if out.other && out.analyte == Some(Analyte::BufferPh) {
        out.analyte = None;
        out.form = None;
    }
    let stirred = matches!(out.analyte, Some(Analyte::Ph | Analyte::BufferPh | Analyte::SolubleSalts));
    for (word, explained) in words.iter().zip(&explained) {
        let bare = word.trim_matches('.').to_lowercase();
        let liquid = if stirred { Liquid::of(&bare) } else { None };
        if liquid.is_some() {
            out.liquid = liquid;
            if liquid == Some(Liquid::Water) {
                continue;
            }
        }
        if *explained || is_punctuation(word) || List::Filler.has(&bare) {
            continue;
        }
        match year_of(&bare) {
            Some(year) => out.year = Some(year),
            None => out.unknown.push(word.to_string()),
        }
    }
    // `pH in 1:5`: what the soil was stirred into stands in words that went elsewhere.
    let into = |w: &[CompactString]| matches!(w, [word, ratio] if List::TellsIn.has(&word.to_lowercase()) && ratio.contains(':') && ratio.len() > 1);
    if stirred && out.liquid.is_none() && words.windows(2).any(into) {
        out.unknown.push("in what".to_owned());
    }
    // `Sulfur (phosphate extr.)` is sulfur all the same, by a procedure that is not known.
    if out.several
        && let Some((outer, inner)) = bracket(text)
    {
        let mut named = understand(&outer, context);
        if named.is_result() && !named.other {
            named.unknown.push(inner);
            return named;
        }
    }
    // `Blueberry S` is a place, not sulfur: a lone letter among unknown words names nothing.
    if symbol_alone && !out.unknown.is_empty() {
        out.analyte = None;
        out.form = None;
        out.other = false;
        out.several = false;
    }
    // `Organic matter (C x 1.72)` is organic matter, reckoned from carbon.
    if out.analyte == Some(Analyte::OrganicMatter)
        && out.unknown.iter().all(|w| List::FromCarbon.has(&w.to_lowercase().replace(',', ".")))
    {
        out.unknown.clear();
    }
    out.compose(percent);
    // `M3-P color` beside `M3-P ICP` is another measurement.
    if out.analyte == Some(Analyte::Phosphorus) && out.methods == [Some(Method::Mehlich3)] {
        out.methods = by_colour(std::mem::take(&mut out.methods), text);
    }
    out
}

/// True for a share of the exchange capacity, and for a cation that is counted `in_percent`.
fn shared(analyte: Analyte, in_percent: bool) -> bool {
    analyte.is_share() || in_percent && (analyte == Analyte::Acidity || analyte.saturation().is_some())
}

/// True where words end in one that makes what follows the whole of a share: `% of`, `% of the`.
fn behind_of(words: &[CompactString]) -> bool {
    let of = |w: &CompactString| List::Of.has(&w.to_lowercase());
    let article = |w: &&CompactString| List::Article.has(&w.to_lowercase());
    words.iter().rev().find(|w| !article(w)).is_some_and(of)
}

/// True where words end in one that tells as what something is counted.
fn counted_as(words: &[CompactString]) -> bool {
    words.last().is_some_and(|w| List::CountedAs.has(&w.to_lowercase()))
}

/// Ratings of no more letters (`O`, `VH`) may be part of a name that is cut short: `M.O.`.
const LETTERS: usize = 2;

/// `DTPA-Zn`, `Nitrate-nitrogen`, `LAB-ID`: two words that a dash joins, where the vocabulary knows these and not the
/// whole. A field's name is known by both of them together: `Field-2` is the name of a field, and none for one.
fn parted_at_dashes(words: Vec<CompactString>, context: Context) -> Vec<CompactString> {
    if !words.iter().any(|w| w.contains('-')) {
        return words;
    }
    let known = |words: &[CompactString]| {
        let found = hits(words, context);
        let said = |m: &Meaning| matches!(m, Meaning::Analyte(..) | Meaning::Method(_));
        let asks = |h: &Hit| matches!(h.meaning, Meaning::Field(_)) && h.end - h.start == words.len();
        !found.is_empty()
            && found.iter().all(|h| said(&h.meaning) || asks(h))
            && found.iter().map(|h| h.end - h.start).sum::<usize>() == words.len()
    };
    words
        .into_iter()
        .flat_map(|word| {
            let halves: Option<Vec<CompactString>> =
                word.split_once('-').map(|(a, b)| vec![a.into(), b.into()]);
            let apart = halves.filter(|halves| halves.iter().all(|h| !h.is_empty()));
            match apart {
                Some(halves) if hits(std::slice::from_ref(&word), context).is_empty() && known(&halves) => {
                    halves
                }
                _ => vec![word],
            }
        })
        .collect()
}

/// `Ca / CEC` as one word, as it is also printed: the share of the exchange capacity that a cation takes.
fn shares(words: Vec<CompactString>) -> Vec<CompactString> {
    const CATIONS: &[&str] = &["Ca", "Mg", "K", "Na", "H", "CaO", "MgO", "K2O", "Na2O"];
    const CAPACITIES: &[&str] = &["CEC", "CIC", "CTC", "CSC", "KAK"];
    let Some(at) = words.iter().position(|w| w == "/") else { return words };
    let capacity = words.get(at + 1).is_some_and(|w| CAPACITIES.contains(&w.as_str()));
    match words.split_at(at) {
        ([before @ .., cation], [_, named, after @ ..]) if capacity && CATIONS.contains(&cation.as_str()) => {
            let share = format_compact!("{cation}/{named}");
            before.iter().cloned().chain([share]).chain(after.iter().cloned()).collect()
        }
        _ => words,
    }
}

/// True for words that are all that stands between brackets.
fn in_brackets(words: &[CompactString], hit: &Hit) -> bool {
    let is = |at: Option<usize>, sign: &str| at.and_then(|i| words.get(i)).is_some_and(|w| w == sign);
    is(hit.start.checked_sub(1), "(") && is(Some(hit.end), ")")
}

/// True where a unit of an amount is named besides an index.
fn counted_otherwise(words: &[CompactString], context: Context) -> bool {
    let units = hits_where(words, context, &|m| matches!(m, Meaning::Unit(_)));
    units.iter().any(|hit| hit.meaning != Meaning::Unit("index"))
}

/// `60`, `70` of `Calcium (60 to 70)`, `under`, `3` of `Sodium (under 3)`: the ends of what is wished for of a share.
pub fn are_ends_of_a_share(words: &[String]) -> bool {
    let limit =
        |w: &&String| matches!(w.to_lowercase().as_str(), "under" | "over" | "below" | "above" | "<" | ">");
    let (limits, ends): (Vec<&String>, Vec<&String>) = words.iter().partition(limit);
    let share =
        |w: &&String| w.trim_end_matches('%').parse::<f64>().is_ok_and(|v| (0.0..=100.0).contains(&v));
    ends.iter().all(share) && matches!((limits.len(), ends.len()), (1, 1) | (0, 2))
}

/// A text without its one bracket, and the words in it.
fn bracket(text: &str) -> Option<(String, String)> {
    let (before, rest) = text.split_once('(')?;
    let (inner, after) = rest.split_once(')')?;
    let one = !after.contains(['(', ')']) && !inner.contains('(') && !before.trim().is_empty();
    one.then(|| (format!("{before} {after}"), inner.trim().to_owned()))
}

/// True for the pH of an extract of nutrients, behind its name: neutral ammonium acetate, bicarbonate at 8.5. At another pH
/// it is another extract.
pub fn buffered(methods: &[Option<Method>], figure: Option<&str>) -> bool {
    let Some(Some(method)) = methods.last() else { return false };
    let figure = figure.map(|f| f.replace(',', ".")).unwrap_or_default();
    match method {
        Method::AmmoniumAcetate => matches!(figure.as_str(), "7" | "7.0"),
        Method::Olsen | Method::Colwell => figure == "8.5",
        Method::Morgan | Method::ModifiedMorgan => figure == "4.8",
        _ => false,
    }
}

/// True for `calc.` beside what is summed from other results.
fn abbreviates(words: &[CompactString], start: usize, end: usize, named: Option<Analyte>) -> bool {
    let word = words.get(start).map(|w| w.trim_end_matches('.').to_lowercase());
    end == start + 1 && word.as_deref() == Some("calc") && named == Some(Analyte::Cec)
}

/// True where these words also name the summation of what else was measured.
fn summed(words: &[CompactString], start: usize, end: usize) -> bool {
    let words = words.get(start..end).unwrap_or_default();
    let context = Context { symbols: false, capitals: false };
    hits_where(words, context, &|m| *m == Meaning::Method(Some(Method::Summation)))
        .iter()
        .any(|h| h.start == 0 && h.end == words.len())
}

fn one_letter(words: &[CompactString], start: usize, end: usize) -> bool {
    end == start + 1 && words.get(start).is_some_and(|w| w.chars().count() == 1)
}

impl Understood {
    fn add_analyte(&mut self, analyte: Analyte, form: Form) {
        match self.analyte {
            None => {
                self.analyte = Some(analyte);
                self.form = Some(form);
            }
            Some(before) if before == analyte => {
                if form != Form::Plain {
                    // "Potassium (K2O)": the formula tells the form; "phosphate (P2O5)": likewise.
                    let said = analyte == Analyte::NitrateN && form == Form::IonOrElement;
                    if form == Form::Oxide || self.form == Some(Form::Plain) && !said {
                        self.form = Some(form);
                    }
                } else if analyte == Analyte::NitrateN && self.form == Some(Form::IonOrElement) {
                    // `Nitrate NO3-N`: the second says which.
                    self.form = Some(form);
                }
            }
            Some(_) => self.several = true,
        }
    }

    /// A cation in percent, or under a saturation heading, is its share of the exchange complex.
    fn compose(&mut self, percent: bool) {
        let Some(analyte) = self.analyte else { return };
        let share = match analyte {
            Analyte::Acidity => Some(Analyte::SatH),
            a => a.saturation(),
        };
        if let Some(share) = share
            && (self.saturation || percent)
        {
            self.analyte = Some(share);
            self.form = Some(Form::Plain);
            if are_ends_of_a_share(&self.unknown) {
                self.unknown.clear();
            }
        }
    }
}

/// pH, indices and ratios have no unit, and percentages and charges do not share a nutrient group's.
fn takes_group_unit(analyte: Analyte) -> bool {
    use crate::soil::Unit;
    matches!(analyte.unit(), Unit::MgPerKg | Unit::CentimolePerKg | Unit::Percent)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADING: Context = Context { symbols: true, capitals: false };

    fn read(text: &str) -> (Option<Analyte>, Option<Method>, Option<&'static str>) {
        let l = label(text, HEADING);
        (l.analyte, l.method(), l.unit.as_ref().map(|u| u.0))
    }

    #[test]
    fn names_methods_and_units_compose() {
        assert_eq!(
            read("P Mehlich-3 (ppm)"),
            (Some(Analyte::Phosphorus), Some(Method::Mehlich3), Some("mg/kg"))
        );
        assert_eq!(
            read("Organic matter (LOI), %"),
            (Some(Analyte::OrganicMatter), Some(Method::LossOnIgnition), Some("%"))
        );
        assert_eq!(read("pH (1:1 water)"), (Some(Analyte::Ph), Some(Method::Water1to1), None));
        assert_eq!(read("EC 1:1 dS/m"), (Some(Analyte::SolubleSalts), Some(Method::Ec1to1), Some("dS/m")));
        assert_eq!(read("Soil Buffer pH").0, Some(Analyte::BufferPh));
        assert_eq!(read("Exchangeable acidity, meq/100 g"), (Some(Analyte::Acidity), None, Some("cmol/kg")));
    }

    #[test]
    fn a_ratio_beside_a_salt_is_that_of_its_solution() {
        for text in ["pH (KCl) 1:2.5", "pH KCl 1:2,5"] {
            let said = label(text, HEADING);
            assert_eq!(said.methods, [Some(Method::Kcl)], "{text}");
        }
        assert_eq!(label("pH (H2O) 1:2.5", HEADING).method(), Some(Method::Water1to2_5));
    }

    #[test]
    fn a_ph_in_what_stands_elsewhere_is_not_known() {
        let unknown = |text: &str| label(text, Context { symbols: true, capitals: false }).unknown.clone();
        assert_eq!(unknown("pH in 1:5"), ["in what"]);
        for text in ["pH 1:5", "pH in 1:5 CaCl2", "pH in 1:1 water", "pH in water 1:2.5"] {
            assert_eq!(unknown(text), [""; 0], "{text}");
        }
    }

    #[test]
    fn two_units_in_one_name_are_those_of_two_columns() {
        assert!(!label("% K (M3) lb/A", HEADING).unknown.is_empty());
        assert!(label("K ppm (mg/kg)", HEADING).unknown.is_empty());
    }

    #[test]
    fn a_figure_says_what_the_long_way_says() {
        for text in ["6.5", "12", "2024", ".4", "7.", "1949", "1.2.3", "0012", "..5.."] {
            for symbols in [true, false] {
                let context = Context { symbols, capitals: symbols };
                assert_eq!(label(text, context), understand(text, context), "{text}");
            }
        }
    }

    #[test]
    fn cations_in_percent_are_saturations() {
        for (text, analyte) in [
            ("%K sat.", Analyte::SatK),
            ("K (% of CEC)", Analyte::SatK),
            ("Calcium, % of CEC", Analyte::SatCa),
            ("Saturation % K", Analyte::SatK),
            ("% Mg", Analyte::SatMg),
            ("Base saturation - Ca", Analyte::SatCa),
            ("K sat %", Analyte::SatK),
            ("Magnesium saturation, %", Analyte::SatMg),
            ("%H", Analyte::SatH),
            ("Ca / CEC", Analyte::SatCa),
            ("K/CEC (%)", Analyte::SatK),
        ] {
            let l = label(text, HEADING);
            assert_eq!((l.analyte, l.several), (Some(analyte), false), "{text}");
        }
        assert!(label("Ca CEC", HEADING).several);
        assert_eq!(label("KUK / CEC", HEADING).analyte, Some(Analyte::Cec));
        let group = label("% Base Saturation", HEADING);
        assert_eq!(label("Ca", HEADING).under(&group).analyte, Some(Analyte::SatCa));
    }

    #[test]
    fn forms_and_decoys_are_seen() {
        assert_eq!(label("Nitrate NO3-N", HEADING).form, Some(Form::Plain));
        assert_eq!(label("NO3-N nitrate", HEADING).form, Some(Form::Plain));
        assert_eq!(label("Nitrate (NO3)", HEADING).form, Some(Form::IonOrElement));
        assert_eq!(label("Potassium (K2O)", HEADING).form, Some(Form::Oxide));
        assert_eq!(label("Nitrate, as NO3", HEADING).form, Some(Form::Ion));
        for of_nitrogen in ["Nitrate as NO3-N", "Nitrate as NO3 - N", "Nitrate as NO3 N"] {
            let l = label(of_nitrogen, HEADING);
            assert!(l.form != Some(Form::Ion) || !l.unknown.is_empty(), "{of_nitrogen}: {l:?}");
        }
        assert!(label("Sand (0.05-2.0 mm)", HEADING).unknown.is_empty());
        assert!(!label("Sand (0.5-1.0 mm)", HEADING).unknown.is_empty());
        assert!(label("Optimum Range", HEADING).decoy);
        assert!(!label("P Index", HEADING).is_result());
        assert_eq!(label("Phosphorus deficiency risk", HEADING).unknown, ["deficiency", "risk"]);
        assert_eq!(label("Calcium carbonate", HEADING).analyte, None);
    }

    #[test]
    fn words_joined_by_a_dash_are_known_where_each_is() {
        assert_eq!(read("DTPA-Zn"), (Some(Analyte::Zinc), Some(Method::Dtpa), None));
        assert_eq!(read("K-M3 ppm"), (Some(Analyte::Potassium), Some(Method::Mehlich3), Some("mg/kg")));
        assert_eq!(read("Nitrate-nitrogen").0, Some(Analyte::NitrateN));
        assert_eq!(label("Zn-quibble", HEADING).analyte, None);
        for (text, field) in [
            ("LAB-ID", Field::LabSample),
            ("Lab-No", Field::LabSample),
            ("SAMPLE-ID", Field::SampleLabel),
            ("Field-ID", Field::SampleLabel),
        ] {
            assert_eq!(label(text, HEADING).field, Some(field), "{text}");
        }
        for name in ["Field-2", "Lab-quibble", "Lawn-ID", "Lab-pH"] {
            assert_eq!(label(name, HEADING).field, None, "{name}");
        }
    }

    #[test]
    fn a_buffer_by_its_name_is_a_measurement() {
        for (text, method) in [
            ("Woodruff Buffer", Method::Woodruff),
            ("Adams-Evans Buffer", Method::AdamsEvans),
            ("Adams Evans buffer pH", Method::AdamsEvans),
            ("Moore-Sikora buffer", Method::MooreSikora),
            ("pH tampon SMP", Method::Smp),
            ("tampon SMP", Method::Smp),
            ("pH (tampon SMP)", Method::Smp),
        ] {
            let l = label(text, HEADING);
            assert_eq!((l.analyte, l.method()), (Some(Analyte::BufferPh), Some(method)), "{text}");
            assert!(l.unknown.is_empty() && !l.several, "{text}: {l:?}");
        }
        assert_eq!(
            read("CEC estimée meq/100 g"),
            (Some(Analyte::Cec), Some(Method::Summation), Some("cmol/kg"))
        );
        assert_eq!(read("ECe(paste)").1, Some(Method::SaturatedPaste));
        // What is reckoned from it is no reading of it.
        for text in ["Lime by Adams-Evans buffer", "Lime (SMP buffer)", "Lime requirement (Woodruff buffer)"]
        {
            assert!(!label(text, HEADING).is_result(), "{text}");
        }
    }

    #[test]
    fn a_rating_in_a_name_makes_it_doubtful() {
        for text in ["Optimum pH", "Organic matter, adequate", "pH (sufficient)"] {
            assert!(!label(text, HEADING).unknown.is_empty(), "{text}");
        }
    }

    #[test]
    fn a_sum_beside_the_cec_is_its_method_and_foreign_brackets_are_no_extractant_of_the_note() {
        assert_eq!(
            read("CIC sum of bases meq 100g"),
            (Some(Analyte::Cec), Some(Method::Summation), Some("cmol/kg"))
        );
        assert!(label("Sum of bases", HEADING).other);
        assert_eq!(label("Mg (CaCl2)", HEADING).form, Some(Form::Foreign));
    }

    #[test]
    fn the_ph_of_an_extract_is_no_measurement() {
        for text in [
            "Complejo de cambio (acetato amónico 1 N, pH 7)",
            "Kationen, Ammoniumacetat pH 7,0",
            "NH4OAc 1 N, pH 7",
        ] {
            let l = label(text, HEADING);
            assert_eq!((l.analyte, l.method()), (None, Some(Method::AmmoniumAcetate)), "{text}");
        }
        assert_eq!(label("CaCl2, pH 7", HEADING).analyte, Some(Analyte::Ph));
        assert_eq!(label("Ammonium acetate, pH 6", HEADING).analyte, Some(Analyte::Ph));
    }

    #[test]
    fn another_measurement_in_brackets_is_a_procedure_that_is_not_known() {
        let l = label("Sulfur (phosphate extr.), mg/kg", HEADING);
        assert!(l.is_result() && l.analyte == Some(Analyte::Sulfur) && !l.unknown.is_empty(), "{l:?}");
        assert_eq!(l.unit.as_ref().map(|u| u.0), Some("mg/kg"));
        assert!(label("Calcium (Ca) Magnesium (Mg)", HEADING).several);
    }

    #[test]
    fn a_group_unit_never_reaches_ph() {
        let group = label("Mehlich 3 extractable, ppm", HEADING);
        let ph = label("pH", HEADING).under(&group);
        assert_eq!((ph.unit.clone(), ph.methods.len()), (None, 0));
        let k = label("K", HEADING).under(&group);
        assert_eq!((k.method(), k.unit.as_ref().map(|u| u.0)), (Some(Method::Mehlich3), Some("mg/kg")));
    }
}
