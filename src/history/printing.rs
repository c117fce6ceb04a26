//! One printing of a sample, and how two printings relate: the same numbers, other numbers, or another sample.
//!
//! Only what the originals print is compared, never what a person made of it, so the answer does not depend on when
//! an original came.

use super::columns::key;
use crate::document::Format;
use crate::soil::{Analyte, Basis, Depth, Method, Qualifier};
use jiff::civil::Date;
use std::cmp::Ordering;

/// A sample as one document prints it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Printing {
    /// Key of the sample in the store.
    pub(super) id: i64,
    /// Key of its document.
    pub(super) document: i64,
    pub(super) sha256: String,
    pub(super) source_file: String,
    pub(super) format: Format,
    /// Place in its document: report, sample.
    pub(super) ordinal: (i64, i64),
    pub(super) label: String,
    pub(super) label_key: String,
    pub(super) lab_key: String,
    pub(super) number_key: String,
    pub(super) lab_number_key: String,
    pub(super) sampled_on: Option<Date>,
    pub(super) received_on: Option<Date>,
    pub(super) reported_on: Option<Date>,
    pub(super) revised: bool,
    pub(super) depth: Option<Depth>,
    pub(super) values: Vec<Value>,
}

/// A printed value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Value {
    pub(super) analyte: Analyte,
    pub(super) method: Method,
    pub(super) value: f64,
    pub(super) basis: Option<Basis>,
    pub(super) qualifier: Option<Qualifier>,
    pub(super) raw_value: String,
    pub(super) raw_unit: String,
    pub(super) held: bool,
}

/// How two printings relate.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Relation {
    /// Not the same sample of the same report, or not surely.
    Other,
    /// The same sample; every value both print is the same.
    Agree,
    /// The same sample; these values differ (analyte, first, second).
    Differ(Vec<(Analyte, f64, f64)>),
}

/// Which of two issues of a report is the later one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    /// The given one replaces the other.
    GivenIsLater,
    /// The other replaces the given one.
    GivenIsEarlier,
    /// Neither says so, or the later is a scan, which may be misread: a person must say.
    Unknown,
}

/// Values that must be shared before weak evidence (no report number in common) says anything.
const SHARED_AT_LEAST: usize = 3;

impl Printing {
    /// True where every value of this printing stands in the other one too.
    pub(super) fn within(&self, other: &Self) -> bool {
        self.relation(other) == Relation::Agree
            && self.values.iter().all(|mine| other.values.iter().any(|theirs| mine.comparable(theirs)))
    }

    /// How this printing relates to another one.
    pub(super) fn relation(&self, other: &Self) -> Relation {
        let evidence = self.evidence(other);
        if evidence == Evidence::None {
            return Relation::Other;
        }
        let mut shared = 0;
        let mut differing = Vec::new();
        for mine in &self.values {
            let mut theirs = other.values.iter().filter(|theirs| mine.comparable(theirs)).peekable();
            let Some(first) = theirs.peek().copied() else { continue };
            shared += 1;
            if !theirs.any(|theirs| mine.agrees(theirs)) {
                differing.push((mine.analyte, mine.value, first.value));
            }
        }
        let enough = match evidence {
            Evidence::None => false,
            Evidence::Number => shared > 0,
            // Next year's bag may bear the same name and a like number of the lab: then most values differ.
            Evidence::Weak => shared >= SHARED_AT_LEAST && differing.len() * 2 <= shared,
        };
        match (enough, differing.is_empty()) {
            (false, _) => Relation::Other,
            (true, true) => Relation::Agree,
            (true, false) => Relation::Differ(differing),
        }
    }

    /// What says that two printings speak of one bag of soil in one report.
    fn evidence(&self, other: &Self) -> Evidence {
        let clash = |a: &str, b: &str| !a.is_empty() && !b.is_empty() && a != b;
        let meet = |a: &str, b: &str| !a.is_empty() && a == b;
        let day_clash = |a: Option<Date>, b: Option<Date>| a.is_some() && b.is_some() && a != b;
        let day_meets = |a: Option<Date>, b: Option<Date>| a.is_some() && a == b;
        // One printing may add to a laboratory's name (`... Inc.`, its town), none puts another in its place.
        let labs_clash = clash(&self.lab_key, &other.lab_key)
            && !self.lab_key.starts_with(&other.lab_key)
            && !other.lab_key.starts_with(&self.lab_key);
        let names_clash =
            self.label_key != other.label_key || clash(&self.lab_number_key, &other.lab_number_key);
        let depths_clash = self.depth.is_some() && other.depth.is_some() && self.depth != other.depth;
        let lab_numbers_meet = meet(&self.lab_number_key, &other.lab_number_key);
        if labs_clash || names_clash || depths_clash || (self.label_key.is_empty() && !lab_numbers_meet) {
            return Evidence::None;
        }
        // Within one document two bags may share a name (two depths, two halves of a field): only the laboratory's own
        // number makes them one, printed on a summary and on a page of its own.
        let one_document = self.document == other.document;
        if one_document && !lab_numbers_meet {
            return Evidence::None;
        }
        let numbers_meet = meet(&self.number_key, &other.number_key);
        if numbers_meet && (lab_numbers_meet || !day_clash(self.sampled_on, other.sampled_on)) {
            return Evidence::Number;
        }
        if day_clash(self.sampled_on, other.sampled_on) || day_clash(self.received_on, other.received_on) {
            return Evidence::None;
        }
        let days_meet =
            day_meets(self.sampled_on, other.sampled_on) || day_meets(self.received_on, other.received_on);
        let numbers_clash = clash(&self.number_key, &other.number_key);
        match (numbers_clash, lab_numbers_meet, days_meet) {
            (true, true, true) | (false, true, _) | (false, _, true) => Evidence::Weak,
            _ => Evidence::None,
        }
    }

    /// Whether this printing is of a later issue than the other: by the day of the report, else by the word on it.
    pub(super) fn order(&self, other: &Self) -> Order {
        let by_day = self.reported_on.zip(other.reported_on).map(|(mine, theirs)| mine.cmp(&theirs));
        let order = by_day.unwrap_or(Ordering::Equal).then(self.revised.cmp(&other.revised));
        let seen = |printing: &Self| matches!(printing.format, Format::Scan | Format::Image);
        match order {
            Ordering::Greater if !seen(self) => Order::GivenIsLater,
            Ordering::Less if !seen(other) => Order::GivenIsEarlier,
            _ => Order::Unknown,
        }
    }

    /// Which printing counts among those of the same numbers: the fullest, then the surest, then the one whose
    /// methods are stated, then by kind of file, and at last by hash and place so that the order is total.
    pub(super) fn rank(&self) -> impl Ord + '_ {
        use std::cmp::Reverse;
        let mut analytes: Vec<_> = self.values.iter().map(|value| (value.analyte, value.basis)).collect();
        analytes.sort();
        analytes.dedup();
        let held = self.values.iter().filter(|value| value.held).count();
        let stated = self.values.iter().filter(|value| value.method != Method::Unstated).count();
        // Letters on a page are what the laboratory issued; a scan is the last to be believed.
        let kind = match self.format {
            Format::Pdf => 0,
            Format::Xlsx | Format::Csv | Format::ExchangeXml => 1,
            Format::Html | Format::Text | Format::Mail | Format::Archive | Format::Unknown => 2,
            Format::Scan | Format::Image => 3,
        };
        (Reverse(analytes.len()), held, Reverse(stated), kind, &self.sha256, self.ordinal)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Evidence {
    None,
    Weak,
    Number,
}

impl Value {
    /// May be held against each other: one analyte, one method (or one printing leaves it out), one basis.
    fn comparable(&self, other: &Self) -> bool {
        let methods = self.method == other.method
            || self.method == Method::Unstated
            || other.method == Method::Unstated;
        self.analyte == other.analyte && methods && self.basis == other.basis
    }

    /// The same number, or one printing rounds the other's.
    fn agrees(&self, other: &Self) -> bool {
        if self.qualifier != other.qualifier {
            return false;
        }
        let scale = self.value.abs().max(other.value.abs());
        // Arithmetic in another order may move the last bits.
        if (self.value - other.value).abs() <= scale * 1e-9 {
            return true;
        }
        if key(&self.raw_unit) != key(&other.raw_unit) {
            return false;
        }
        let (Some(mine), Some(theirs)) = (decimals(&self.raw_value), decimals(&other.raw_value)) else {
            return false;
        };
        let (coarse, fine) = if mine.1 <= theirs.1 { (mine, theirs) } else { (theirs, mine) };
        let half = 0.5 * 10_f64.powi(-coarse.1);
        coarse.1 < fine.1 && (coarse.0 - fine.0).abs() <= half * (1.0 + 1e-9)
    }
}

/// A plainly printed number and its decimals; none where a comma leaves two meanings.
fn decimals(raw: &str) -> Option<(f64, i32)> {
    let plain = raw.trim().trim_start_matches(['<', '>']).trim();
    let value: f64 = plain.parse().ok()?;
    let after = plain.split_once('.').map_or(0, |(_, after)| after.len());
    Some((value, i32::try_from(after).ok()?))
}
