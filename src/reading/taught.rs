//! What a person taught for the form of a laboratory, and how it applies: as one more witness, never against chemistry.
//!
//! A form is known by its own features, the headings and field names it prints, together with the laboratory's name:
//! never by a file, and never by the name alone.

use super::header::leading_field;
use super::label::label;
use super::layout::Layout;
use super::normalise::{Around, pounds};
use super::notes::Notes;
use super::units::{Rule as Way, conversion};
use super::vocabulary::Context;
use crate::soil::site::slug;
use crate::soil::{Analyte, Basis, Depth, Doubt, Method, Reading, Report, Sample, Unit};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// A rule for reports to come on the same form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rule {
    /// The laboratory's name made comparable; empty where the form prints none.
    pub lab: String,
    /// Features of the form it was taught from.
    pub layout: Vec<String>,
    /// What is so.
    pub what: Taught,
}

/// What is taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Taught {
    /// Where no unit is printed for it, it is in this one.
    Unit {
        /// What is measured.
        analyte: Analyte,
        /// Id of a printed unit, as `soil/units.csv` has it.
        unit: String,
    },
    /// Where no method is printed for it, it is this one.
    Method {
        /// What is measured.
        analyte: Analyte,
        /// How.
        method: Method,
    },
    /// A doubt about its column was looked into: it is right as read.
    Column {
        /// What is measured.
        analyte: Analyte,
        /// Name of the doubt.
        reason: String,
        /// The doubt in words, where the words tell one column from another.
        sentence: Option<String>,
    },
    /// A sample of this client and name is from this site.
    Sample {
        /// Client made comparable; empty where none is printed.
        client: String,
        /// Name made comparable; empty for a sample without one.
        label: String,
        /// Site id.
        site: String,
        /// Zone of the site.
        zone: String,
    },
}

impl Taught {
    /// `unit`, `method`, `column`, `sample`.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Unit { .. } => "unit",
            Self::Method { .. } => "method",
            Self::Column { .. } => "column",
            Self::Sample { .. } => "sample",
        }
    }

    const fn analyte(&self) -> Option<Analyte> {
        match self {
            Self::Unit { analyte, .. } | Self::Method { analyte, .. } | Self::Column { analyte, .. } => {
                Some(*analyte)
            }
            Self::Sample { .. } => None,
        }
    }
}

/// Doubts about how a form is to be understood: the answer holds for the next report on it. All others are about one
/// number, one page or the chemistry, and are never settled by a rule.
const OF_THE_FORM: [&str; 6] =
    ["column-unsure", "form-unclear", "name-not-understood", "name-unclear", "pounds-depth", "unit-area"];

/// Doubts of the form that `accept` may teach away, with what the rule must see again.
pub fn teachable(doubt: &Doubt) -> bool {
    OF_THE_FORM.contains(&doubt.reason.as_str())
}

/// What a rule says as a witness begins so; the store finds by it what rests on a rule.
pub fn witness_of(id: i64) -> String {
    format!("taught rule {id}:")
}

/// Words of a heading; a sentence has more.
const HEADING_WORDS: usize = 7;

/// Features of the form that pages are printed on: headings that name a measurement, and names of fields. Sorted.
pub(super) fn features(pages: &[Layout], context: Context) -> Vec<String> {
    let mut out = BTreeSet::new();
    for phrase in pages.iter().flat_map(|p| &p.lines).flat_map(|l| &l.phrases) {
        let text = phrase.text();
        // A number alone is a value and never of the form; most phrases of a report are.
        if text.bytes().all(|b| b.is_ascii_digit() || b". ,<>".contains(&b)) {
            continue;
        }
        if let Some((field, rest, _)) = leading_field(text, context) {
            let name = text.strip_suffix(rest.as_str()).unwrap_or(text);
            out.insert(format!("{field:?}: {}", slug(name)).to_lowercase());
            continue;
        }
        if text.split_whitespace().count() > HEADING_WORDS {
            continue;
        }
        let said = label(text, context);
        match said.analyte {
            Some(analyte) => out.insert(format!("{}: {}", analyte.id(), slug(text))),
            None if said.unit.is_some() && said.unknown.is_empty() && !starts_with_digit(text) => {
                out.insert(format!("unit: {}", slug(text)))
            }
            None => false,
        };
    }
    out.into_iter().collect()
}

fn starts_with_digit(text: &str) -> bool {
    text.trim_start().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '<' | '>'))
}

/// The share of features two forms must have in common: a report may print a few tests more or less than the last,
/// another form shares few headings to the letter.
const ALIKE: f64 = 0.7;

/// True where the report is on the form of the rule: the same laboratory, the same headings over the analyte the rule
/// is about, and most of the other features.
pub fn on_the_form(rule: &Rule, lab: Option<&str>, layout: &[String]) -> bool {
    if slug(lab.unwrap_or_default()) != rule.lab || layout.is_empty() {
        return false;
    }
    let heads = |features: &[String]| -> BTreeSet<String> {
        let own = rule.what.analyte().map(|analyte| format!("{}: ", analyte.id()));
        features.iter().filter(|f| own.as_ref().is_some_and(|own| f.starts_with(own))).cloned().collect()
    };
    let (mine, theirs): (BTreeSet<&String>, BTreeSet<&String>) =
        (rule.layout.iter().collect(), layout.iter().collect());
    let (common, all) = (mine.intersection(&theirs).count(), mine.union(&theirs).count());
    heads(&rule.layout) == heads(layout) && common as f64 >= ALIKE * all as f64
}

/// The site and zone a rule gives a sample, with the key of the rule.
pub fn site_of(rules: &[(i64, Rule)], report: &Report, label: &str) -> Option<(i64, String, String)> {
    let (asked_client, asked) = (slug(report.client.as_deref().unwrap_or_default()), slug(label));
    rules.iter().find_map(|(id, rule)| match &rule.what {
        Taught::Sample { client, label, site, zone }
            if *client == asked_client
                && *label == asked
                && on_the_form(rule, report.lab.as_deref(), &report.layout) =>
        {
            Some((*id, site.clone(), zone.clone()))
        }
        _ => None,
    })
}

/// Applies rules to the readings of a sample of the report; gives how many were touched.
pub fn apply(sample: &mut Sample, rules: &[(i64, Rule)], report: &Report) -> usize {
    let depth = sample.depth;
    let mut touched = 0;
    for (id, rule) in rules {
        if !on_the_form(rule, report.lab.as_deref(), &report.layout) {
            continue;
        }
        for reading in sample.readings.iter_mut().filter(|r| rule.what.analyte() == Some(r.analyte)) {
            if let Some(words) = said(&rule.what, reading, depth) {
                reading.witnesses.push(format!("{} {words}", witness_of(*id)));
                touched += 1;
            }
        }
    }
    touched
}

/// Applies one rule to one reading; the words of the witness where it says something.
fn said(what: &Taught, reading: &mut Reading, depth: Option<Depth>) -> Option<String> {
    match what {
        Taught::Unit { unit, .. } => {
            reading.doubts.iter().position(|d| d.reason == "unit-missing")?;
            let (value, basis, more) = in_unit(reading.analyte, reading.quantity.value, unit, depth)?;
            reading.doubts.retain(|d| d.reason != "unit-missing");
            reading.quantity.value = value;
            reading.quantity.basis = basis;
            reading.doubts.extend(more);
            Some(format!("the unit is {unit}"))
        }
        Taught::Method { method, .. } => {
            let other = |d: &Doubt| matches!(d.reason.as_str(), "computed" | "solution" | "profile");
            if reading.method != Method::Unstated
                || reading.doubts.iter().any(other)
                || !method.measures(reading.analyte)
            {
                return None;
            }
            reading.doubts.retain(|d| d.reason != "method-unclear");
            reading.method = *method;
            Some(format!("the method is {method}"))
        }
        Taught::Column { reason, sentence, .. } => {
            let same = |d: &Doubt| d.reason == *reason && sentence.as_ref().is_none_or(|s| *s == d.sentence);
            reading.doubts.iter().position(same)?;
            reading.doubts.retain(|d| !same(d));
            Some("its column was looked into".to_owned())
        }
        Taught::Sample { .. } => None,
    }
}

/// A number printed without a unit, in the canonical unit of its analyte if it is in the unit of this id; with the
/// basis and what remains in doubt. None where no way leads there.
pub fn in_unit(
    analyte: Analyte,
    number: f64,
    unit: &str,
    depth: Option<Depth>,
) -> Option<(f64, Option<Basis>, Vec<Doubt>)> {
    let way = conversion(unit, analyte.unit())?;
    let mass = (analyte.unit() == Unit::MgPerKg).then_some(Basis::Mass);
    let mut doubts = Vec::new();
    match way.rule {
        Way::Plain => Some((number * way.factor, mass, doubts)),
        Way::Area => {
            let around = Around { notes: &Notes::default(), depth, two_ph: false, dissolved: false };
            Some((pounds(analyte, number, way.factor, around, &mut doubts), mass, doubts))
        }
        Way::Volume => Some((number * way.factor, Some(Basis::Volume), doubts)),
        Way::Charge => Some((number * way.factor * analyte.mg_per_cmol()?, mass, doubts)),
        _ => None,
    }
}

/// Holds a sample read with rules against the same read without: where chemistry alone was sure and says another
/// number, chemistry's number stands and waits for a person.
pub fn weigh(by_chemistry: &Sample, with_rules: &mut Sample) {
    for (plain, taught) in by_chemistry.readings.iter().zip(&mut with_rules.readings) {
        let sure = plain.doubts.is_empty();
        let other = plain.quantity.value != taught.quantity.value;
        if !(sure && other) {
            continue;
        }
        let mut doubt = Doubt::new(
            "taught-against-chemistry",
            format!(
                "What was taught for this form and the chemistry of the sample give two values of {}.",
                plain.analyte.name()
            ),
        );
        doubt.alternatives = vec![
            format!("{} {} by the chemistry", plain.quantity.value, plain.quantity.unit),
            format!("{} {} as taught", taught.quantity.value, taught.quantity.unit),
        ];
        *taught = plain.clone();
        taught.doubts.push(doubt);
    }
}
