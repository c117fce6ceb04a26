//! How a laboratory reckons acidity from the buffer pH is its own: no rule is everybody's. Where the samples of a report
//! agree on one line, what the cations leave of each CEC against the buffer pH, that line is the laboratory's rule.
//!
//! A sample is judged by the line of the others alone, so that no number vouches for itself.

use super::exchange::left_to_a_buffer;
use super::limits::{limit, lines};
use crate::soil::closure::Tolerances;
use crate::soil::{Method, Sample};

/// One sample: what the buffer said, and what stands around it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub buffer: Method,
    pub buffer_ph: f64,
    /// Charge of the printed bases, cmol(+)/kg.
    pub bases: f64,
    /// As printed, cmol(+)/kg.
    pub cec: f64,
}

/// What the doubt is called that the rule of the report may take off.
const DOUBT: &str = "cec-closure";

/// Takes the doubt off samples that close by the rule of their report, of which these are all samples.
pub fn settle(samples: &mut [&mut Sample]) {
    let Ok(tolerances) = Tolerances::built_in() else { return };
    let points: Vec<Option<Point>> = samples.iter().map(|s| left_to_a_buffer(s)).collect();
    for (at, sample) in samples.iter_mut().enumerate() {
        let Some(Some(own)) = points.get(at) else { continue };
        if !sample.readings.iter().flat_map(|r| &r.doubts).any(|d| d.reason == DOUBT) {
            continue;
        }
        let others = points.iter().enumerate().filter(|(i, _)| *i != at).filter_map(|(_, p)| *p);
        let others: Vec<Point> = others.filter(|p| p.buffer == own.buffer).collect();
        if closes(&others, *own, tolerances) {
            for reading in &mut sample.readings {
                reading.doubts.retain(|d| d.reason != DOUBT);
            }
        }
    }
}

/// True where the others lie on one line and so does this one, with the bases as they were read and in no other unit.
fn closes(others: &[Point], own: Point, tolerances: &Tolerances) -> bool {
    let fits = |factor: f64| {
        let by = |p: &Point| Point { bases: p.bases * factor, ..*p };
        let others: Vec<Point> = others.iter().map(by).collect();
        Line::through(&others).is_some_and(|line| {
            let lies = |p: &Point| line.closes(p, tolerances);
            others.iter().all(lies) && lies(&by(&own))
        })
    };
    // Bases that hardly differ from sample to sample leave a line in any unit: nothing is told.
    fits(1.0) && !lines("own-rule-wrong-factor").any(|wrong| fits(wrong.value) || fits(1.0 / wrong.value))
}

/// Acidity is `per_ph` for each pH unit below the height where it is none.
struct Line {
    per_ph: f64,
    none_at: f64,
}

impl Line {
    /// The line of least squares; none where too few samples tell it, or where acidity does not grow as the buffer falls.
    fn through(points: &[Point]) -> Option<Self> {
        let count = f64::from(u32::try_from(points.len()).ok()?);
        // A limit that is not there compares with nothing.
        if !matches!(
            count.partial_cmp(&limit("own-rule-fewest")),
            Some(std::cmp::Ordering::Greater | std::cmp::Ordering::Equal)
        ) {
            return None;
        }
        let mean = |of: &dyn Fn(&Point) -> f64| points.iter().map(of).sum::<f64>() / count;
        let (ph, left) = (mean(&|p| p.buffer_ph), mean(&|p| p.cec - p.bases));
        let along = mean(&|p| (p.buffer_ph - ph).powi(2));
        let across = mean(&|p| (p.buffer_ph - ph) * (p.cec - p.bases - left));
        let per_ph = (along > 0.0).then(|| -across / along).filter(|slope| *slope > 0.0)?;
        Some(Self { per_ph, none_at: ph + left / per_ph })
    }

    fn closes(&self, point: &Point, tolerances: &Tolerances) -> bool {
        let acidity = self.per_ph * (self.none_at - point.buffer_ph);
        acidity > 0.0
            && point.cec > point.bases
            && tolerances.cec_closure(point.bases + acidity, point.cec).closes
    }
}

#[cfg(test)]
mod tests {
    use super::super::check;
    use super::super::tests::{doubted, sample};
    use super::*;
    use crate::soil::{Analyte, Report};

    /// Acidity is 10 for each unit below 7.32, as no rule of the tables has it.
    fn report(of: &[(&str, &str, &str, &str, &str)]) -> Report {
        let samples: Vec<Sample> = of
            .iter()
            .map(|(buffer, k, ca, mg, cec)| {
                let mut s = sample(&[
                    (Analyte::Ph, "5.7"),
                    (Analyte::Potassium, k),
                    (Analyte::Calcium, ca),
                    (Analyte::Magnesium, mg),
                    (Analyte::Cec, cec),
                    (Analyte::BufferPh, buffer),
                ]);
                s.readings[5].method = Method::Sikora;
                s
            })
            .collect();
        Report { samples, ..Report::default() }
    }

    const ROWS: [(&str, &str, &str, &str, &str); 6] = [
        ("7.04", "162", "848", "160", "8.8"),
        ("6.52", "384", "1661", "175", "18.7"),
        ("6.89", "204", "1151", "164", "11.9"),
        ("6.48", "273", "1784", "306", "20.5"),
        ("7.03", "307", "1759", "311", "15.0"),
        ("7.05", "107", "1509", "206", "12.2"),
    ];

    fn held(rows: &[(&str, &str, &str, &str, &str)]) -> usize {
        let mut report = report(rows);
        check(&mut report);
        report.samples.iter().filter(|s| doubted(s).contains(&Analyte::Calcium)).count()
    }

    #[test]
    fn samples_of_one_line_are_by_the_rule_of_their_laboratory() {
        assert_eq!(held(&ROWS), 0);
        // Too few tell no line.
        assert_eq!(held(&ROWS[..5]), 5);
    }

    #[test]
    fn a_number_off_the_line_is_held_and_vouches_for_none() {
        let mut rows = ROWS;
        rows[2].2 = "1511";
        assert_eq!(held(&rows), 6);
        let doubled: Vec<_> = ROWS.map(|(b, k, _, mg, cec)| (b, k, "400", mg, cec)).to_vec();
        assert_eq!(held(&doubled), 6);
    }

    #[test]
    fn bases_that_do_not_differ_tell_no_unit() {
        let rows = ["7.04", "6.94", "6.84", "6.74", "6.64", "6.54"];
        let cec = ["8.8", "9.8", "10.8", "11.8", "12.8", "13.8"];
        let rows: Vec<_> = rows.iter().zip(cec).map(|(b, cec)| (*b, "162", "848", "160", cec)).collect();
        assert_eq!(held(&rows), 6);
    }
}
