//! Shares of the exchange complex that stand in a line beside the table: where the cations and the capacity of the table
//! confirm them, they are of the same soil, and waiting for a person would tell nothing more.

use super::exchange::{AGREES, FULL};
use crate::soil::Sample;

/// The doubt that a line by itself has.
const REASON: &str = "alone-beside-a-table";

/// So many shares must follow from their cations: one may by chance.
const ENOUGH: usize = 2;

pub(super) fn settle(sample: &mut Sample) {
    let says = |witnesses: &[String], words: &str| witnesses.iter().any(|w| w == words);
    let confirmed =
        sample.readings.iter().filter(|r| r.analyte.is_share() && says(&r.witnesses, AGREES)).count()
            >= ENOUGH;
    if !confirmed {
        return;
    }
    for reading in sample.readings.iter_mut().filter(|r| r.analyte.is_share()) {
        if says(&reading.witnesses, AGREES) || says(&reading.witnesses, FULL) {
            reading.doubts.retain(|d| d.reason != REASON);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::check;
    use super::super::tests::sample;
    use super::*;
    use crate::soil::{Analyte, Doubt, Report};

    /// How many shares wait, of a soil with this calcium.
    fn wait(calcium: &str) -> usize {
        let mut soil = sample(&[
            (Analyte::Potassium, "141"),
            (Analyte::Calcium, calcium),
            (Analyte::Magnesium, "158"),
            (Analyte::Cec, "10.0"),
            (Analyte::SatK, "3.6"),
            (Analyte::SatCa, "61"),
            (Analyte::SatMg, "13"),
        ]);
        for reading in soil.readings.iter_mut().filter(|r| r.analyte.unit() == crate::soil::Unit::Percent) {
            reading.doubts.push(Doubt::new(REASON, "It stands in a line by itself."));
        }
        let mut report = Report { samples: vec![soil], ..Report::default() };
        check(&mut report);
        let readings = &report.samples[0].readings;
        readings.iter().filter(|r| r.doubts.iter().any(|d| d.reason == REASON)).count()
    }

    #[test]
    fn shares_in_a_line_by_themselves_stand_where_the_cations_confirm_them() {
        assert_eq!(wait("1222"), 0);
    }

    #[test]
    fn a_share_that_the_cations_contradict_waits() {
        assert_eq!(wait("1760"), 1);
    }
}
