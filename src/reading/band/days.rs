//! Lines over a heading that tell days, and are no part of it.

use super::super::date::{DayOrder, asked};
use super::super::header::leading_field;
use super::super::layout::Line;
use super::super::vocabulary::{Context, Field};

/// `Sampled 10/30/2023   Received 11/01/2023`: fields of days, each with its day, also without colons.
pub fn tells_days(line: &Line) -> bool {
    let context = Context { symbols: false, capitals: false };
    let day = |text: &str| match leading_field(text, context) {
        Some((Field::SampledOn | Field::ReceivedOn | Field::ReportedOn, rest, _)) => {
            asked(&rest, DayOrder::Unknown).is_some()
        }
        _ => false,
    };
    !line.phrases.is_empty() && line.phrases.iter().all(|p| day(p.text()))
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn days_with_their_names_are_a_line_of_a_form_and_headings_are_none() {
        let tells = |line: &str| tells_days(&layout(&typed(&[line])).lines[0]);
        assert!(tells("Sampled 10/30/2023     Received 11/01/2023     Reported 11/06/2023"));
        assert!(!tells("Sample     Sampled     Received     pH"));
        assert!(!tells("Sampled 10/30/2023     Received     pH"));
        assert!(!tells("Moss     Sampled 10/30/2023"));
    }
}
