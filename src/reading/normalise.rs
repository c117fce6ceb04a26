//! From what is printed to the contract: analyte, method, canonical unit, the element and never the oxide.

use super::counted_as::form;
use super::found::Found;
use super::label::{Liquid, are_ends_of_a_share};
use super::notes::{Notes, adapt, half_understood, has_methods, method_in};
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Form};
use crate::soil::closure::{Limit, Tolerances};
use crate::soil::convert;
use crate::soil::{Analyte, Basis, Depth, Doubt, Method, Printed, Quantity, Reading, Unit};

/// What the surroundings of a reading say.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a> {
    /// Notes of the report.
    pub notes: &'a Notes,
    /// Sampled layer.
    pub depth: Option<Depth>,
    /// Two pH values of the sample are printed: a note may speak of either.
    pub two_ph: bool,
    /// The sample's table counts what is dissolved in an extract: a volume there is none of soil.
    pub dissolved: bool,
}

/// `pH (a)` over `(a) 1:1 water`: a lone letter behind a name is the mark of a note that stands under that letter.
fn marked_in_brackets(found: &Found, notes: &Notes) -> Option<Found> {
    let [letter] = found.label.unknown.as_slice() else { return None };
    let lone = letter.len() == 1 && letter.bytes().all(|b| b.is_ascii_lowercase());
    if !lone || !found.marks.is_empty() || !notes.marked.contains_key(letter) {
        return None;
    }
    let marks = vec![letter.clone()];
    let mut out = Found { marks, ..found.clone() };
    out.label.unknown.clear();
    Some(out)
}

/// A reading of the contract, with doubts where print leaves more than one way to read it.
pub fn normalise(found: &Found, around: Around<'_>) -> Option<Reading> {
    let lettered = marked_in_brackets(found, around.notes);
    let found = lettered.as_ref().unwrap_or(found);
    let mut analyte = found.label.analyte?;
    // A cation in percent is its share of the exchange complex, wherever the unit stands.
    let percent = found.unit.as_ref().is_some_and(|unit| unit.0 == "%");
    if percent && matches!(found.label.form, None | Some(Form::Plain)) {
        analyte = analyte.saturation().unwrap_or(analyte);
    }
    if found.number.value == 0.0 && around.notes.zero_is_blank {
        return None;
    }
    let mut doubts = found.doubts.clone();
    let mut witnesses = Vec::new();
    let mut number = found.number.value;
    if analyte == Analyte::BufferPh && number > 14.0 {
        analyte = Analyte::LimeIndex;
    } else if analyte == Analyte::LimeIndex && number <= 14.0 {
        analyte = Analyte::BufferPh;
    }
    let explained = found.number.rating.as_ref().is_some_and(|l| around.notes.letters.contains(l))
        || found.sign().is_some_and(|sign| around.notes.marked.contains_key(sign));
    if let Some(odd) = found.number.odd.filter(|_| !explained) {
        doubts.push(Doubt::new("odd-number", format!("`{}`: {odd}.", found.printed)));
    }
    // `Calcium (60 to 70)` under `Base saturation, %`.
    let wished = percent && analyte.is_share() && are_ends_of_a_share(&found.label.unknown);
    if !found.label.unknown.is_empty() && !wished {
        doubts.push(Doubt::new(
            "name-not-understood",
            format!(
                "The name of this result holds words that are not known: {}.",
                found.label.unknown.join(", ")
            ),
        ));
    }
    let method = match method(found, analyte, around, &mut doubts) {
        // `Phosphorus by colorimetry` in a note, and the extract elsewhere.
        Method::Mehlich3 if analyte == Analyte::Phosphorus && around.notes.by_colour => {
            Method::Mehlich3Colorimetric
        }
        method => method,
    };
    if method == Method::Unstated && !found.label.methods.is_empty() {
        witnesses.push(OTHER_METHOD.to_owned());
    }
    // A mark whose footnote was not found may hide the method, or a reason not to trust the value.
    let hidden = found.marks.iter().find(|m| !around.notes.marked.contains_key(*m));
    let own = found.label.methods.iter().any(Option::is_some);
    if let Some(mark) = hidden.filter(|_| method == Method::Unstated || !own) {
        doubts.push(Doubt::new(
            "mark-unexplained",
            format!("A mark `{mark}` stands beside this result, and its footnote was not found."),
        ));
    }
    if method == Method::Unstated
        && found.label.methods.is_empty()
        && found.caption.is_none()
        && !around.notes.outside.contains(&analyte)
        && let Some(lost) =
            around.notes.extract_of_nothing(analyte).filter(|m| in_liquid(*m, found.label.liquid))
    {
        doubts.push(Doubt::new(
            "method-unread",
            format!("The report names {} and does not surely say for which of its results.", lost.id()),
        ));
    }
    if method == Method::Unstated
        && found.label.methods.is_empty()
        && found.caption.is_none()
        && around.notes.strange.contains(&analyte)
    {
        doubts.push(Doubt::new(
            "method-unread",
            format!("A note says in words that are not known how {} was extracted.", analyte.name()),
        ));
    }
    let unit = found.unit.clone().or_else(|| noted_unit(analyte, around.notes));
    if unit.is_none() && found.label.form == Some(Form::ByUnit) {
        doubts.push(name_unclear(&found.printed));
    }
    // `Effective CEC, by calculation`: the sum of what is exchangeable, and no other capacity.
    let summed = analyte == Analyte::Cec && method == Method::Summation;
    let said = found.label.form.filter(|f| !(summed && *f == Form::Unclear));
    let form = form(analyte, said, unit.as_ref().map(|u| u.1.as_str()), &mut doubts);
    number = element(analyte, number, form, &found.printed, &mut doubts);
    let (value, basis) = convert(analyte, number, unit.as_ref(), around, &mut doubts, &mut witnesses);
    if value == 0.0 && zero_is_impossible(analyte) && found.number.qualifier.is_none() {
        doubts
            .push(Doubt::new("zero", format!("{} cannot be 0; it was perhaps not tested.", analyte.name())));
    }
    if found.confidence.is_some()
        && method == Method::Unstated
        && (found.label.methods.iter().any(Option::is_none) || around.notes.may_hide_a_method(analyte))
    {
        doubts.push(Doubt::new(
            "method-unsure",
            format!(
                "A method is named for {}, but part of its name may be lost in the picture.",
                analyte.name()
            ),
        ));
    }
    if let Some(confidence) = found.confidence {
        if confidence < SURE_RECOGNITION {
            let divided = confidence > DIVIDED_RECOGNITION;
            doubts.push(Doubt::new(
                if divided { "recognition-divided" } else { "recognition-unsure" },
                format!("`{}` was read from a picture and the reading is not sure.", found.printed),
            ));
        } else if confidence < SEEN_IN_THE_INK {
            witnesses.push("two recognitions agree".to_owned());
        } else {
            witnesses.push("recognitions and the ink agree".to_owned());
        }
    }
    Some(Reading {
        analyte,
        method,
        quantity: Quantity { value, unit: analyte.unit(), qualifier: found.number.qualifier, basis },
        printed: Printed { value: found.printed.clone(), unit: unit.map(|u| u.1).unwrap_or_default() },
        place: found.place,
        witnesses,
        doubts,
    })
}

/// Recognition confidence (0 to 100) below which two passes did not agree or the engine itself was unsure.
pub(super) const SURE_RECOGNITION: f32 = 60.0;

/// Recognition confidence above which two recognitions and the ink agreed against others: chemistry may settle it.
const DIVIDED_RECOGNITION: f32 = 50.0;

/// Said of a result beside which a procedure is named that the contract has no name for.
pub const OTHER_METHOD: &str = "a procedure of its own is named";

/// Recognition confidence from which the ink was seen to hold these figures and this point.
const SEEN_IN_THE_INK: f32 = 85.0;

fn name_unclear(printed: &str) -> Doubt {
    Doubt::new("name-unclear", format!("What `{printed}` measures is not clear from its name."))
}

fn zero_is_impossible(analyte: Analyte) -> bool {
    use Analyte::*;
    matches!(
        analyte,
        Ph | BufferPh
            | OrganicMatter
            | Potassium
            | Calcium
            | Magnesium
            | Cec
            | LimeIndex
            | BulkDensity
            | SatCa
    )
}

/// The method from the name or row; else from a note on this analyte; else the extractant named for all.
fn method(found: &Found, analyte: Analyte, around: Around<'_>, doubts: &mut Vec<Doubt>) -> Method {
    let notes = around.notes;
    let mut named: Vec<Method> = Vec::new();
    let context = Context { symbols: false, capitals: false };
    let marks = || found.marks.iter().map(String::as_str).chain(found.sign());
    let by_mark = marks()
        .filter_map(|mark| notes.marked.get(mark))
        .flat_map(|text| method_in(text, analyte, context))
        .collect::<Vec<_>>();
    for m in found.label.methods.iter().chain(&by_mark).flatten() {
        if let Some(m) = adapt(*m, analyte)
            && !named.contains(&m)
        {
            named.push(m);
        }
    }
    // `Mehlich 3 (colorimetric)` names both: the narrower one is meant.
    if named.contains(&Method::Mehlich3Colorimetric) {
        named.retain(|m| *m != Method::Mehlich3);
    }
    // `pH (SMP)` is the end of a buffer pH whose first word stands elsewhere.
    let buffer = |m: &Method| m.measures(Analyte::BufferPh);
    if analyte == Analyte::Ph && found.label.methods.iter().flatten().any(buffer) {
        doubts.push(Doubt::new(
            "method-unclear",
            "The method named beside this pH is that of a buffer pH.".to_owned(),
        ));
    }
    // `(c) Bray no. 9`: a note on how this was measured that is not understood hides the method.
    let unread = |mark: &str| notes.marked.get(mark).is_some_and(|note| half_understood(note, context));
    let of_others = notes.but_marked && marks().next().is_some();
    if named.is_empty() && has_methods(analyte) && (of_others || marks().any(unread)) {
        doubts.push(Doubt::new(
            "method-unread",
            format!("A note says in words that are not known how {} was measured.", analyte.name()),
        ));
    }
    let outside = found.label.methods.iter().any(Option::is_none);
    match named.as_slice() {
        // `NH4OAc-EDTA`: two reagents make an extract of their own.
        [one] if outside && is_extract(*one) => {
            let sentence = format!("Beside {} another procedure is named for this result.", one.id());
            doubts.push(Doubt::new("method-unclear", sentence));
            return *one;
        }
        [one] => return *one,
        [] if outside => return Method::Unstated,
        // `By Mehlich 3 unless marked` is not said of what is marked.
        [] if of_others => return Method::Unstated,
        [] => {}
        several => {
            let words = several.iter().map(|m| m.id()).collect::<Vec<_>>().join(" and ");
            doubts.push(Doubt::new(
                "method-unclear",
                format!("Two methods are named for one result: {words}."),
            ));
            return Method::Unstated;
        }
    }
    // `Potassium (Colwell)`: an extract that its own name tells of, and that is known for other nutrients alone. What is
    // said of the rest is not said of it.
    let own = found.label.methods.iter().flatten().any(|m| adapt(*m, analyte).is_none());
    if own && analyte.unit() == Unit::MgPerKg {
        return Method::Unstated;
    }
    if matches!(found.label.form, Some(Form::Equivalent | Form::Solution | Form::Foreign)) {
        return Method::Unstated;
    }
    match notes.methods.get(&analyte) {
        // "pHs is measured in CaCl2" says nothing of the water pH beside it, and the other way round.
        Some(Some(m)) if !in_liquid(*m, found.label.liquid) => {
            if !around.two_ph {
                doubts.push(Doubt::new(
                    "method-unclear",
                    format!("The name of this result and a note ({}) speak of different liquids.", m.id()),
                ));
            }
            Method::Unstated
        }
        Some(Some(m)) => *m,
        // `pH in water 1:5; pH in 1 M KCl`, and a column that says in which of the two it was stirred.
        Some(None) => notes.by_liquid(analyte, found.label.liquid).unwrap_or_else(|| {
            doubts.push(Doubt::new(
                "method-unclear",
                "Two notes name different methods for this result.".to_owned(),
            ));
            Method::Unstated
        }),
        // What is said of all is not said of what a note speaks of by itself.
        None if notes.outside.contains(&analyte) || notes.strange.contains(&analyte) => {
            if let Some(over) = found.caption.and_then(|m| adapt(m, analyte)) {
                let sentence = format!(
                    "A note and the caption of its table ({}) say differently how this was measured.",
                    over.id()
                );
                doubts.push(Doubt::new("method-unclear", sentence));
            }
            Method::Unstated
        }
        None => found
            .caption
            .and_then(|m| adapt(m, analyte))
            .or(notes.extractant.filter(|m| m.measures(analyte)))
            .or_else(|| titled(analyte, notes, doubts))
            .unwrap_or(Method::Unstated),
    }
}

/// True for what takes nutrients out of the soil, and not for a way to measure what was taken out.
fn is_extract(method: Method) -> bool {
    [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc, Analyte::Boron]
        .iter()
        .any(|a| method.measures(*a))
}

/// The method that the titles of the report name.
fn titled(analyte: Analyte, notes: &Notes, doubts: &mut Vec<Doubt>) -> Option<Method> {
    notes.titled.method(analyte).unwrap_or_else(|unclear| {
        let named = unclear.0.iter().map(|m| m.id()).collect::<Vec<_>>().join(" and ");
        doubts.push(Doubt::new(
            "method-unclear",
            format!("A title names {named}, and it is not clear whether that is the method of this result."),
        ));
        None
    })
}

/// True unless a method stirs the soil into another liquid than the name says.
fn in_liquid(method: Method, liquid: Option<Liquid>) -> bool {
    let salt = matches!(method, Method::Cacl2 | Method::Kcl);
    match liquid {
        Some(Liquid::Water) => !salt,
        Some(Liquid::Salt) => salt,
        None => true,
    }
}

fn noted_unit(analyte: Analyte, notes: &Notes) -> Option<(&'static str, String)> {
    if let Some(unit) = notes.units.get(&analyte) {
        return Some(unit.clone());
    }
    // A unit for all results reaches only what is measured in such a unit.
    notes.common_unit.clone().filter(|(id, _)| {
        analyte.unit() == Unit::MgPerKg
            && conversion(id, Unit::MgPerKg).is_some()
            && !notes.unit_elsewhere.contains(&analyte)
    })
}

/// The element out of the oxide; names that may mean either wait for a person.
fn element(analyte: Analyte, number: f64, form: Option<Form>, printed: &str, doubts: &mut Vec<Doubt>) -> f64 {
    let oxide = |number: f64| match analyte {
        Analyte::Phosphorus => Some(convert::p2o5_to_p(number)),
        Analyte::Potassium => Some(convert::k2o_to_k(number)),
        Analyte::Calcium => Some(convert::cao_to_ca(number)),
        Analyte::Magnesium => Some(convert::mgo_to_mg(number)),
        Analyte::Sodium => Some(convert::na2o_to_na(number)),
        _ => None,
    };
    let either = |doubts: &mut Vec<Doubt>, sentence: String, other: Option<f64>| {
        let mut doubt = Doubt::new("form-unclear", sentence);
        doubt.alternatives.push(format!("{printed} as the element"));
        doubt.alternatives.extend(other.map(|o| format!("{o:.4} if the other form was meant")));
        doubts.push(doubt);
    };
    match form.unwrap_or(Form::Plain) {
        Form::Plain | Form::Foreign | Form::ByUnit => number,
        Form::Oxide => oxide(number).unwrap_or(number),
        Form::Ion => match analyte {
            Analyte::NitrateN => convert::no3_to_n(number),
            Analyte::Sulfur => convert::so4_to_s(number),
            Analyte::AmmoniumN => convert::nh4_to_n(number),
            _ => number,
        },
        Form::OxideOrElement => {
            either(
                doubts,
                format!("The name of `{printed}` may mean the oxide or the element."),
                oxide(number),
            );
            number
        }
        Form::IonOrElement => {
            let other = match analyte {
                Analyte::NitrateN => Some(convert::no3_to_n(number)),
                Analyte::Sulfur => Some(convert::so4_to_s(number)),
                Analyte::AmmoniumN => Some(convert::nh4_to_n(number)),
                _ => None,
            };
            either(doubts, format!("The name of `{printed}` may mean the ion or the element in it."), other);
            number
        }
        Form::Equivalent => {
            doubts.push(Doubt::new(
                "computed",
                format!("`{printed}` was computed from another extractant, not measured."),
            ));
            number
        }
        Form::Solution => {
            doubts.push(Doubt::new(
                "solution",
                format!("`{printed}` is a concentration in a paste or solution, not in soil."),
            ));
            number
        }
        Form::Profile => {
            doubts.push(Doubt::new(
                "profile",
                format!("`{printed}` is a sum over a profile; its layers are needed."),
            ));
            number
        }
        Form::Unclear => {
            doubts.push(name_unclear(printed));
            number
        }
    }
}

/// Milligrams of exchangeable aluminum in a centimole of charge a kilogram: the ion is Al3+, the standard atomic weight
/// 26.982 (IUPAC, from memory), ten times a third of it.
const ALUMINUM_MG_PER_CMOL: f64 = 89.94;

fn aluminum(analyte: Analyte) -> Option<f64> {
    (analyte == Analyte::Aluminum).then_some(ALUMINUM_MG_PER_CMOL)
}

fn convert(
    analyte: Analyte,
    number: f64,
    unit: Option<&(&'static str, String)>,
    around: Around<'_>,
    doubts: &mut Vec<Doubt>,
    witnesses: &mut Vec<String>,
) -> (f64, Option<Basis>) {
    let canonical = analyte.unit();
    let mass = matches!(canonical, Unit::MgPerKg).then_some(if around.notes.is_by_volume(analyte) {
        Basis::Volume
    } else {
        Basis::Mass
    });
    let Some((id, text)) = unit else {
        missing_unit(analyte, number, doubts);
        return (number, mass);
    };
    if canonical == Unit::One {
        // `me/100 g` over what seems to be a buffer pH: the name is perhaps the end of another.
        if conversion(id, canonical).is_none() {
            doubts.push(Doubt::new("unit-odd", format!("`{text}` is no unit for {}.", analyte.name())));
        }
        return (number, None);
    }
    let Some(way) = conversion(id, canonical) else {
        doubts.push(Doubt::new("unit-odd", format!("`{text}` is no unit for {}.", analyte.name())));
        return (number, mass);
    };
    witnesses.push(format!("unit stated: {text}"));
    if matches!(way.rule, Rule::Charge | Rule::ChargeVolume) && charges_unsaid(analyte, text) {
        doubts.push(Doubt::new(
            "unit-charge",
            format!("`{text}` may count {} or its charges, and does not say which.", analyte.name()),
        ));
    }
    match way.rule {
        Rule::Plain => (number * way.factor, mass),
        Rule::Area => (pounds(analyte, number, way.factor, around, doubts), mass),
        Rule::Volume | Rule::ChargeVolume => {
            if around.dissolved {
                doubts.push(Doubt::new(
                    "solution",
                    format!(
                        "`{text}` beside a paste extract may count what is in the solution, not in soil."
                    ),
                ));
            }
            if around.notes.volume_to_mass {
                doubts.push(Doubt::new(
                    "unit-volume",
                    format!(
                        "The report tells how to reckon a mass from `{text}` with the weight of the soil's volume, and that was not done."
                    ),
                ));
            }
            let weight = if way.rule == Rule::Volume { Some(1.0) } else { analyte.mg_per_cmol() };
            (weighed(analyte, number * way.factor, weight, text, doubts), Some(Basis::Volume))
        }
        Rule::Charge => (weighed(analyte, number * way.factor, analyte.mg_per_cmol(), text, doubts), mass),
        Rule::AreaMetric if around.notes.of_hectares().is_some() => {
            (number / around.notes.of_hectares().unwrap_or(1.0), mass)
        }
        Rule::AreaMetric => {
            let mut doubt = Doubt::new(
                "unit-area",
                format!(
                    "`{text}` needs the depth and density that the laboratory reckons with, and the report does not state them."
                ),
            );
            doubt.alternatives.push(format!(
                "{:.1} mg/kg by the convention of two million pounds an acre",
                number * way.factor
            ));
            doubts.push(doubt);
            (number * way.factor, mass)
        }
        Rule::Unusual => {
            doubts.push(Doubt::new("unit-odd", format!("{} in `{text}` is unusual.", analyte.name())));
            (number * way.factor, mass)
        }
        Rule::Solution => {
            doubts
                .push(Doubt::new("solution", format!("`{text}` counts what is in a solution, not in soil.")));
            (number, mass)
        }
        Rule::Hold => {
            doubts.push(Doubt::new(
                "unit-hold",
                format!("`{text}` cannot be converted for {} without more than is printed.", analyte.name()),
            ));
            (number, mass)
        }
        Rule::Never => {
            doubts.push(Doubt::new(
                "unit-no-result",
                format!("`{text}` is the unit of a recommendation or an index, not of a result."),
            ));
            (number, mass)
        }
    }
}

/// `mmol/kg` of calcium counts the ion or its charges, and half as much is meant by one as by the other; `mmolc/kg`,
/// `mmol(+)/kg` and `meq/kg` say charges. Of an ion of one charge both are the same.
fn charges_unsaid(analyte: Analyte, unit: &str) -> bool {
    let unit = unit.to_lowercase();
    let ions =
        unit.strip_prefix("mmol").is_some_and(|rest| rest.starts_with(['/', ' ']) && !rest.contains('+'));
    ions && matches!(analyte, Analyte::Calcium | Analyte::Magnesium | Analyte::Aluminum)
}

/// A number times the weight of what it counts; none is known of what bears no charge.
fn weighed(analyte: Analyte, number: f64, weight: Option<f64>, unit: &str, doubts: &mut Vec<Doubt>) -> f64 {
    let Some(weight) = weight.or_else(|| aluminum(analyte)) else {
        doubts.push(Doubt::new(
            "unit-odd",
            format!("{} has no charge that `{unit}` could count.", analyte.name()),
        ));
        return number;
    };
    number * weight
}

/// Inches of soil that weigh two million pounds an acre by the convention.
const PLOUGH_LAYER_INCHES: f64 = 6.0;

/// Factors of an inch nearer than this are one.
const SAME_FACTOR: f64 = 0.02;

/// Edges of layers nearer than this, in cm, are one.
const SAME_CM: f64 = 0.3;

/// Pounds per acre: by the convention of two million pounds for a plough layer, or where the report states it. What
/// moves with water is counted by the layer's own depth, and a shallow core by nobody's convention.
pub(super) fn pounds(
    analyte: Analyte,
    number: f64,
    factor: f64,
    around: Around<'_>,
    doubts: &mut Vec<Doubt>,
) -> f64 {
    if around.notes.pounds_unread {
        doubts.push(Doubt::new(
            "pounds-factor",
            "The report states how pounds per acre are reckoned, and that is not understood.".to_owned(),
        ));
    }
    if let Some(stated) = around.notes.pounds_factor {
        return number / stated;
    }
    let own = |(layer, _): &&(Depth, f64)| {
        around.depth.is_some_and(|d| {
            (d.top_cm - layer.top_cm).abs() < SAME_CM && (d.bottom_cm - layer.bottom_cm).abs() < SAME_CM
        })
    };
    let mut of_layer = around.notes.layer_factors.iter().filter(own).map(|(_, factor)| *factor);
    if let Some(stated) = of_layer.next()
        && of_layer.all(|other| other == stated)
    {
        return number / stated;
    }
    let inches = around.depth.map(|d| d.thickness_inches());
    if let (Some(stated), Some(inches)) = (around.notes.inch_factor, inches) {
        return number / (stated * inches);
    }
    // Factors of other layers alone, and by another weight of soil than the convention's: this layer's is not known.
    let apart = |(layer, stated): &(Depth, f64)| {
        (stated / layer.thickness_inches() - 1.0 / factor / PLOUGH_LAYER_INCHES).abs() > SAME_FACTOR
    };
    if around.notes.inch_factor.is_some() || around.notes.layer_factors.iter().any(apart) {
        doubts.push(Doubt::new(
            "pounds-factor",
            "The report states by layers how pounds per acre are reckoned, and not for this one.".to_owned(),
        ));
    }
    let by_convention = number * factor;
    let moves =
        matches!(analyte, Analyte::NitrateN | Analyte::AmmoniumN | Analyte::Chloride | Analyte::Sulfur);
    let in_convention = inches.is_none_or(|i| {
        i >= limit(Limit::PoundsConventionFromInches) && i <= limit(Limit::PoundsConventionToInches)
    });
    let certain = if analyte == Analyte::Sulfur || !moves {
        in_convention
    } else {
        inches.is_some_and(|i| {
            i >= limit(Limit::PoundsConventionFromInches) && i <= limit(Limit::PoundsMobileToInches)
        })
    };
    if !certain {
        let mut doubt = Doubt::new(
            "pounds-depth",
            "Pounds per acre depend on the layer; the report does not say which layer it reckons with."
                .to_owned(),
        );
        doubt.alternatives.push(format!("{by_convention} mg/kg by the convention for a plough layer"));
        if let Some(inches) = inches {
            doubt.alternatives.extend(
                convert::lb_per_acre_to_mg_per_kg_at_depth_in(number, inches)
                    .map(|v| format!("{v:.1} mg/kg for the sampled {inches:.0} inches")),
            );
        }
        doubts.push(doubt);
    }
    by_convention
}

/// A limit of the built-in table; a damaged table makes every comparison false, and so holds.
fn limit(limit: Limit) -> f64 {
    Tolerances::built_in().map_or(f64::NAN, |t| t.limit(limit))
}

fn missing_unit(analyte: Analyte, number: f64, doubts: &mut Vec<Doubt>) {
    let canonical = analyte.unit();
    let plain = match canonical {
        Unit::One => return,
        // A share can only be a percentage; organic matter in g/kg would be ten times larger.
        Unit::Percent => {
            analyte != Analyte::OrganicMatter || number < limit(Limit::OrganicMatterWithoutUnitBelow)
        }
        _ => false,
    };
    if plain {
        return;
    }
    let mut doubt =
        Doubt::new("unit-missing", format!("The report does not say in which unit {} is.", analyte.name()));
    if canonical == Unit::MgPerKg {
        doubt.alternatives = vec![
            format!("{number} mg/kg if parts per million"),
            format!("{} mg/kg if pounds per acre", number / 2.0),
        ];
    }
    doubts.push(doubt);
}
