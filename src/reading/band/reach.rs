//! How far the name of an extract reaches that is set over the middle of its columns: `Mehlich-3 extractable` stands over
//! three of nine, and is of all whose middle is its own.

use super::super::layout::Phrase;
use super::super::notes::adapt;
use super::super::vocabulary::Context;
use super::super::words::List;
use super::Leaf;
use crate::place::Rect;
use crate::soil::{Analyte, Method};
use std::ops::Range;

/// How near, in heights of its letters, the middle of a heading lies to that of its columns.
const MIDDLE: f32 = 0.5;

/// Gives a method that stands over some columns to those beside them, where all together lie under its middle. Where it
/// is not clear how many do, those beside wait.
pub fn reach(leaves: &mut [Leaf], groups: &[Phrase], lone: &[Phrase], context: Context) {
    let mut claims: Vec<(usize, Option<Method>)> = Vec::new();
    for (group, least) in groups.iter().map(|g| (g, 2)).chain(lone.iter().map(|l| (l, 1))) {
        let said = group.label(context);
        let ([Some(method), others @ ..], None) = (said.methods.as_slice(), said.analyte) else { continue };
        if others.iter().any(|other| *other != Some(*method))
            || said.unit.is_some()
            || said.saturation
            || said.decoy
        {
            continue;
        }
        claims.extend(claimed(leaves, group, *method, least));
    }
    for (i, method) in &claims {
        let one = claims.iter().all(|(other, m)| other != i || m == method);
        let Some(leaf) = leaves.get_mut(*i) else { continue };
        match method.filter(|_| one) {
            Some(method) if leaf.label.methods.is_empty() => leaf.label.methods.push(Some(method)),
            Some(_) => {}
            None if leaf.label.unknown.iter().any(|u| u == UNSURE) => {}
            None => leaf.label.unknown.push(UNSURE.to_owned()),
        }
    }
}

const UNSURE: &str = "how far the extract named above reaches";

/// Methods alone on their line over the name of one column: perhaps over the middle of several.
pub fn lone_methods_above(columns: &[(Rect, Vec<Phrase>)], context: Context) -> Vec<Phrase> {
    let all = || columns.iter().flat_map(|(_, stack)| stack);
    let said = |p: &Phrase| p.label(context);
    let method = |p: &Phrase| {
        let l = said(p);
        matches!(l.methods.as_slice(), [Some(_)])
            && l.analyte.is_none()
            && l.unit.is_none()
            && l.unknown.is_empty()
    };
    let alone = |p: &Phrase| {
        all().all(|o| {
            o.area == p.area || o.area.overlap_y(&p.area) <= 0.5 * p.area.height().min(o.area.height())
        })
    };
    let over_name = |p: &Phrase, stack: &[Phrase]| {
        stack.iter().any(|below| below.area.y0 > p.area.y0 + 1.0 && said(below).analyte.is_some())
    };
    columns
        .iter()
        .flat_map(|(_, stack)| stack.iter().filter(|p| method(p) && alone(p) && over_name(p, stack)))
        .cloned()
        .collect()
}

/// The columns beside a group, each with the method where it is surely theirs.
fn claimed(leaves: &[Leaf], group: &Phrase, method: Method, least: usize) -> Vec<(usize, Option<Method>)> {
    let over: Vec<usize> = leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| l.area.overlap_x(&group.area) > 0.0)
        .map(|(i, _)| i)
        .collect();
    let (Some(first), Some(last)) = (over.first().copied(), over.last().copied()) else { return Vec::new() };
    // A group of one column is its own heading; what stands over others than nutrients is no extract of all.
    // `Ammonium acetate cations` is of these alone, and of no capacity or share beside them.
    let cations = group.text().to_lowercase().split(' ').any(|word| List::Cations.has(word));
    let measures = |l: &Leaf| {
        let meant = |a: Analyte| adapt(method, a).is_some() && (!cations || a.mg_per_cmol().is_some());
        l.label.is_result() && l.label.analyte.is_some_and(meant)
    };
    if over.len() < least || !over.iter().all(|i| leaves.get(*i).is_some_and(measures)) {
        return Vec::new();
    }
    let free = |i: &usize| -> bool {
        leaves.get(*i).is_some_and(|l| measures(l) && l.label.methods.is_empty() && l.marks.is_empty())
    };
    let left = (0..first).rev().take_while(free).last().unwrap_or(first);
    let right = (last + 1..leaves.len()).take_while(free).last().unwrap_or(last);
    if (left, right) == (first, last) {
        return Vec::new();
    }
    let middle = |range: &Range<usize>| {
        let areas = leaves.get(range.clone()).unwrap_or_default().iter().map(|l| l.area);
        areas
            .reduce(|a: Rect, b| a.union(&b))
            .is_some_and(|a| (a.mid_x() - group.area.mid_x()).abs() < MIDDLE * group.area.height())
    };
    let beside = |range: Range<usize>| range.filter(|i| *i < first || *i > last);
    if middle(&(left..right + 1)) {
        return beside(left..right + 1).map(|i| (i, Some(method))).collect();
    }
    let wider = (left..=first).flat_map(|a| (last..=right).map(move |b| a..b + 1));
    let wider = wider.filter(|r| *r != (first..last + 1) && middle(r)).max_by_key(Range::len);
    match wider {
        Some(range) => beside(range).map(|i| (i, None)).collect(),
        None if middle(&(first..last + 1)) => Vec::new(),
        // Over the middle of no columns at all.
        None => (left..right + 1).filter(free).map(|i| (i, None)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::bands;
    use super::*;

    fn of(lines: &[&str], analyte: Analyte) -> (Option<Method>, bool) {
        let context = Context { symbols: true, capitals: false };
        let band = bands(&layout(&typed(lines)), context, Decimal::Point).remove(0);
        let leaf = band.leaves.iter().find(|l| l.label.analyte == Some(analyte)).unwrap();
        (leaf.label.method(), leaf.label.unknown.is_empty())
    }

    #[test]
    fn an_extract_over_the_middle_of_its_columns_is_of_all() {
        let lines = [
            "                     Mehlich-3 extractable",
            "Sample   pH     P      K      Ca     Mg     Zn     CEC",
            "ID              ppm    ppm    ppm    ppm    ppm    meq/100g",
            "Moss     6.2    31     120    1500   140    2.1    12.1",
        ];
        assert_eq!(of(&lines, Analyte::Phosphorus), (Some(Method::Mehlich3), true));
        assert_eq!(of(&lines, Analyte::Zinc), (Some(Method::Mehlich3), true));
        assert_eq!(of(&lines, Analyte::Ph), (None, true));
    }

    #[test]
    fn a_short_name_over_the_middle_column_is_of_all() {
        let lines = [
            "                           Mehlich-3",
            "Sample   pH     P      K      Ca     Mg     Zn     CEC",
            "ID              ppm    ppm    ppm    ppm    ppm    meq/100g",
            "Moss     6.2    31     120    1500   140    2.1    12.1",
        ];
        assert_eq!(of(&lines, Analyte::Phosphorus), (Some(Method::Mehlich3), true));
        assert_eq!(of(&lines, Analyte::Calcium), (Some(Method::Mehlich3), true));
    }

    #[test]
    fn how_far_it_reaches_is_open_where_more_columns_stand_on_one_side() {
        let lines = [
            "                     Mehlich-3 extractable",
            "Sample   pH     P      K      Ca     Mg     Zn     Mn     Cu",
            "ID              ppm    ppm    ppm    ppm    ppm    ppm    ppm",
            "Moss     6.2    31     120    1500   140    2.1    12     0.9",
        ];
        assert_eq!(of(&lines, Analyte::Phosphorus), (None, false));
        assert_eq!(of(&lines, Analyte::Copper), (None, true));
    }

    #[test]
    fn what_is_said_of_cations_reaches_no_capacity_beside_them() {
        let lines = [
            "                     Ammonium acetate cations",
            "Sample   pH     P      K      Ca     Mg     Na     CEC        Zn",
            "ID              ppm    ppm    ppm    ppm    ppm    meq/100g   ppm",
            "Moss     6.2    31     120    1500   140    21     12.1       2",
        ];
        assert_eq!(of(&lines, Analyte::Sodium), (Some(Method::AmmoniumAcetate), true));
        assert_eq!(of(&lines, Analyte::Cec), (None, true));
        let bare = lines.map(|l| l.replace("acetate cations", "acetate results"));
        let bare: Vec<&str> = bare.iter().map(String::as_str).collect();
        assert!(!of(&bare, Analyte::Cec).1, "of no cations: it may be of the capacity too");
    }
}
