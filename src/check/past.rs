//! This site's past as one more witness: a sheet that moved by a unit's factor, or a value that no soil's year
//! explains, waits until a person has seen it.

use super::limits::{limit, lines, of};
use super::{Before, hold, only, witness};
use crate::soil::{Analyte, Sample};

const WATCHED: [Analyte; 4] = [Analyte::Phosphorus, Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium];

/// Compares with the latest value that counts of the same site, analyte and method.
pub fn check(sample: &mut Sample, before: &[Before]) {
    let before: Vec<(Analyte, f64, f64)> = Analyte::ALL
        .iter()
        .filter_map(|analyte| {
            let reading = only(sample, *analyte)?;
            let then = before.iter().find(|b| b.analyte == *analyte && b.method == reading.method)?;
            Some((*analyte, reading.quantity.value, then.value))
        })
        .collect();
    let ratios: Vec<(Analyte, f64)> = before
        .iter()
        .filter(|(a, now, then)| WATCHED.contains(a) && *now > 0.0 && *then > 0.0)
        .map(|(a, now, then)| (*a, now / then))
        .collect();
    whole_sheet(sample, &ratios);
    oxides(sample, &ratios);
    single(sample, &before);
    let (from, to) = (limit("steady-from"), limit("steady-to"));
    let steady: Vec<Analyte> =
        ratios.iter().filter(|(_, r)| (from..to).contains(r)).map(|(a, _)| *a).collect();
    if f64::from(u32::try_from(ratios.len()).unwrap_or(0)) >= limit("slip-fewest") {
        witness(sample, &steady, "near this site's last result");
    }
}

/// True where a ratio is this factor, or its inverse, within a width.
fn near(ratio: f64, factor: f64, width: f64) -> bool {
    (ratio / factor).max(factor / ratio) < width
}

/// Phosphorus, potassium, calcium and magnesium of one sheet do not all double, nor gain a digit, together.
fn whole_sheet(sample: &mut Sample, ratios: &[(Analyte, f64)]) {
    if f64::from(u32::try_from(ratios.len()).unwrap_or(0)) < limit("slip-fewest") {
        return;
    }
    for slip in lines("slip") {
        for (target, sense) in [(slip.value, "larger"), (1.0 / slip.value, "smaller")] {
            if ratios.iter().all(|(_, r)| near(*r, target, limit("slip-width"))) {
                let all: Vec<Analyte> = ratios.iter().map(|(a, _)| *a).collect();
                let sentence = format!(
                    "All of these are about {} times {sense} than this site's last results: {}?",
                    slip.value, slip.words
                );
                hold(sample, &all, "unit-slip", &sentence, std::slice::from_ref(&slip.words));
            }
        }
    }
}

/// Phosphorus and potassium that moved by the factors of their oxides, both to the digit.
fn oxides(sample: &mut Sample, ratios: &[(Analyte, f64)]) {
    let of = |a: Analyte| ratios.iter().find(|(x, _)| *x == a).map(|(_, r)| *r);
    let (Some(p), Some(k)) = (of(Analyte::Phosphorus), of(Analyte::Potassium)) else { return };
    let (fp, fk, width) = (limit("slip-phosphorus"), limit("slip-potassium"), limit("oxide-width"));
    let more = near(p, fp, width) && near(k, fk, width);
    let less = near(p, 1.0 / fp, width) && near(k, 1.0 / fk, width);
    if more || less {
        let sentence =
            "Phosphorus and potassium moved by the factors of P2O5 and K2O since this site's last results.";
        let other = "the oxides and the elements were exchanged".to_owned();
        hold(sample, &[Analyte::Phosphorus, Analyte::Potassium], "oxide-slip", sentence, &[other]);
    }
}

/// One value that no season explains, unless the sheet's own chemistry has confirmed it.
fn single(sample: &mut Sample, before: &[(Analyte, f64, f64)]) {
    for (analyte, now, then) in before {
        let confirmed = only(sample, *analyte)
            .is_some_and(|r| r.witnesses.iter().any(|w| w.contains("CEC") || w.contains("hundred")));
        if confirmed {
            continue;
        }
        let jumped = match (of("change-step", *analyte), of("change-ratio", *analyte)) {
            (Some(step), _) => (now - then).abs() > step,
            (_, Some(ratio)) if *now > 0.0 && *then > 0.0 => !near(*now, *then, ratio),
            _ => false,
        };
        if jumped {
            let sentence = format!(
                "{} was {then} when this site was last read and is {now} now; no season explains that.",
                analyte.name()
            );
            hold(sample, &[*analyte], "past-jump", &sentence, &[]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{doubted, past, sample};
    use super::*;
    use crate::soil::Analyte::{Calcium, Magnesium, Ph, Phosphorus, Potassium};

    fn last_year() -> Vec<Before> {
        past(&[(Ph, 6.2), (Phosphorus, 31.0), (Potassium, 180.0), (Calcium, 1450.0), (Magnesium, 160.0)])
    }

    #[test]
    fn a_quiet_year_gains_a_witness_and_no_doubt() {
        let mut s = sample(&[
            (Ph, "6.1"),
            (Phosphorus, "27"),
            (Potassium, "150"),
            (Calcium, "1500"),
            (Magnesium, "171"),
        ]);
        check(&mut s, &last_year());
        assert_eq!(doubted(&s), []);
        assert!(s.readings[1].witnesses.iter().any(|w| w.contains("last result")));
    }

    #[test]
    fn a_sheet_in_pounds_is_seen_through_a_season_of_drift() {
        // Twice 27, 150, 1500, 171.
        let mut s = sample(&[(Phosphorus, "54"), (Potassium, "300"), (Calcium, "3000"), (Magnesium, "342")]);
        check(&mut s, &last_year());
        assert_eq!(doubted(&s).len(), 4);
        assert!(s.readings[0].doubts.iter().any(|d| d.alternatives.iter().any(|a| a.contains("pounds"))));
    }

    #[test]
    fn oxides_printed_as_elements_are_seen() {
        // 31 x 2.2914 = 71.0; 180 x 1.2046 = 216.8.
        let mut s = sample(&[(Phosphorus, "71"), (Potassium, "217"), (Calcium, "1450"), (Magnesium, "160")]);
        check(&mut s, &last_year());
        assert_eq!(doubted(&s), [Phosphorus, Potassium]);
    }

    #[test]
    fn one_lost_decimal_mark_is_seen_alone() {
        let mut s = sample(&[(Ph, "8.2"), (Phosphorus, "310"), (Potassium, "150"), (Calcium, "1500")]);
        check(&mut s, &last_year());
        assert_eq!(doubted(&s), [Ph, Phosphorus]);
    }
}
