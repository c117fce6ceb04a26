//! Two tables of the same samples, of which the first counts what is dissolved in a paste: `Ca meq/L` there and `Ca me/100 g`
//! below are two measurements, and the first is none of soil.

use super::super::found::{Found, FoundSample};
use super::super::units::{Rule, conversion};
use super::super::vocabulary::Field;
use crate::soil::{Analyte, Doubt, OtherMeasurement, Printed, Unit};
use std::collections::HashMap;

fn rule(found: &Found) -> Option<Rule> {
    let (unit, _) = found.unit.as_ref()?;
    Some(conversion(unit, found.label.analyte?.unit())?.rule)
}

fn in_solution(found: &Found) -> bool {
    rule(found) == Some(Rule::Solution)
}

/// Leaves out what is counted in a solution where a second table counts the same in the soil, under the same name and the
/// same number of the laboratory's; nothing else may be measured in both.
pub(super) fn set_apart(mut found: Vec<FoundSample>) -> Vec<FoundSample> {
    let mut by_name: HashMap<(String, String), Vec<usize>> = HashMap::new();
    for (i, sample) in found.iter().enumerate().filter(|(_, s)| s.named_by_table && !s.lone) {
        let said =
            |field| sample.field(field).map(|text| text.trim().to_lowercase()).filter(|t| !t.is_empty());
        let both = said(Field::SampleLabel).zip(said(Field::LabSample));
        if let Some(key) = both.filter(|(_, number)| number.contains(|c: char| c.is_ascii_digit())) {
            by_name.entry(key).or_default().push(i);
        }
    }
    for places in by_name.into_values() {
        let [a, b] = places.as_slice() else { continue };
        let dissolves = |i: &usize| found.get(*i).is_some_and(|s| s.readings.iter().any(in_solution));
        let (from, beside) = match (dissolves(a), dissolves(b)) {
            (true, false) => (*a, *b),
            (false, true) => (*b, *a),
            _ => continue,
        };
        let Some(soil) = found.get(beside).map(|s| s.readings.clone()) else { continue };
        let again = |r: &Found| soil.iter().any(|o| o.label.analyte == r.label.analyte);
        let Some(sample) = found.get_mut(from) else { continue };
        // `pH (paste)` beside a pH in water is one of its own.
        let unlike = |r: &Found| {
            soil.iter()
                .filter(|o| o.label.analyte == r.label.analyte)
                .all(|o| r.label.method().zip(o.label.method()).is_some_and(|(r, o)| r != o))
        };
        if !sample.readings.iter().filter(|r| again(r)).all(|r| in_solution(r) || unlike(r)) {
            continue;
        }
        let (apart, mut stay): (Vec<Found>, Vec<Found>) =
            std::mem::take(&mut sample.readings).into_iter().partition(|r| in_solution(r) && again(r));
        sample.others.extend(apart.iter().map(|r| OtherMeasurement {
            name: r.label.analyte.map_or_else(String::new, |a| a.name().to_owned()),
            printed: Printed {
                value: r.printed.clone(),
                unit: r.unit.as_ref().map_or_else(String::new, |u| u.1.clone()),
            },
            place: r.place,
        }));
        for reading in stay.iter_mut().filter(|r| may_be_dissolved(r)) {
            reading.doubts.push(Doubt::new(
                "solution",
                format!(
                    "`{}` stands beside what is counted in a solution, and may be in it too.",
                    reading.printed
                ),
            ));
        }
        // Only the title of that table says in what the ratio was found.
        for reading in
            stay.iter_mut().filter(|r| r.label.analyte == Some(Analyte::Sar) && r.label.methods.is_empty())
        {
            reading.doubts.push(Doubt::new(
                "method-unclear",
                format!(
                    "In which extract the ratio `{}` was found is said by nothing beside it.",
                    reading.printed
                ),
            ));
        }
        sample.readings = stay;
    }
    found
}

/// What is counted in a volume, or in a unit that is not told, beside others in a solution.
fn may_be_dissolved(found: &Found) -> bool {
    let amount = found.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
    amount && matches!(rule(found), None | Some(Rule::Volume | Rule::ChargeVolume))
}
