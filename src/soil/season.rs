//! Dates, and the season a sample counts for.

use jiff::civil::Date;

/// The season (year) a sample counts for: that of the sampling day, else of receipt, else of the report.
///
/// A sample taken late in autumn for next year's crop still counts for the year it was taken in unless
/// `next_from_month` (1 to 12) is set, from which month on the next year counts.
pub fn season(
    sampled: Option<Date>,
    received: Option<Date>,
    reported: Option<Date>,
    next_from_month: Option<i8>,
) -> Option<i16> {
    let day = sampled.or(received).or(reported)?;
    let next = next_from_month.is_some_and(|month| day.month() >= month);
    Some(day.year() + i16::from(next))
}

#[cfg(test)]
mod tests {
    use super::season;
    use jiff::civil::date;

    #[test]
    fn the_sampling_day_counts_before_receipt_and_report() {
        let (a, b, c) = (date(2022, 11, 28), date(2022, 12, 30), date(2023, 1, 4));
        assert_eq!(season(Some(a), Some(b), Some(c), None), Some(2022));
        assert_eq!(season(None, None, Some(c), None), Some(2023));
        assert_eq!(season(Some(a), None, None, Some(11)), Some(2023));
        assert_eq!(season(None, None, None, None), None);
    }
}
