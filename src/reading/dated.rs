//! Days of a table's rows that are set so close behind the sample's name that both read as one.

use super::date::{DayOrder, PrintedDate, date};
use super::found::FoundSample;
use super::vocabulary::Field;

/// `East paddock 3 2024-03-27` where other names of the page end with no day: the day is no part of the name. It is the
/// sample's where the others have theirs in a column of such days.
pub fn days_behind_names(samples: &mut [FoundSample]) {
    let label = |s: &FoundSample| s.field(Field::SampleLabel).map(str::to_owned);
    let dated = |s: &FoundSample| s.field(Field::SampledOn).is_some();
    let of_table = |s: &&FoundSample| s.named_by_table;
    let plain: Vec<(u32, bool)> = samples
        .iter()
        .filter(of_table)
        .filter(|s| label(s).is_some_and(|l| parted(&l).is_none()))
        .map(|s| (s.page, dated(s)))
        .collect();
    for sample in samples.iter_mut().filter(|s| s.named_by_table && !dated(s)) {
        let beside = || plain.iter().filter(|(page, _)| *page == sample.page);
        let Some((name, day)) = label(sample).as_deref().and_then(parted).filter(|_| beside().count() > 0)
        else {
            continue;
        };
        if beside().all(|(_, dated)| *dated) {
            sample.fields.push((Field::SampledOn, day));
        }
        for (_, text) in sample.fields.iter_mut().filter(|(field, _)| *field == Field::SampleLabel) {
            text.clone_from(&name);
        }
    }
}

/// A name and the day behind it.
fn parted(label: &str) -> Option<(String, String)> {
    let (name, day) = label.rsplit_once(' ')?;
    let whole = matches!(date(day, DayOrder::Unknown)?, PrintedDate::Day(_) | PrintedDate::Either(..));
    whole.then(|| (name.to_owned(), day.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(label: &str, day: Option<&str>) -> FoundSample {
        let day = day.map(|day| (Field::SampledOn, day.to_owned()));
        let fields = [(Field::SampleLabel, label.to_owned())].into_iter().chain(day).collect();
        FoundSample { named_by_table: true, page: 1, fields, ..FoundSample::default() }
    }

    #[test]
    fn a_day_behind_one_name_of_many_is_no_part_of_it() {
        let mut all = [sample("Moss 1", Some("2024-03-26")), sample("East paddock 3 2024-03-27", None)];
        days_behind_names(&mut all);
        assert_eq!(all[1].field(Field::SampleLabel), Some("East paddock 3"));
        assert_eq!(all[1].field(Field::SampledOn), Some("2024-03-27"));
        let mut all = [sample("Moss 1", None), sample("East paddock 3 2024-03-27", None)];
        days_behind_names(&mut all);
        assert_eq!(all[1].field(Field::SampleLabel), Some("East paddock 3"));
        assert_eq!(all[1].field(Field::SampledOn), None);
        let mut all = [sample("Moss 2024-03-26", None), sample("Fern 2024-03-27", None)];
        days_behind_names(&mut all);
        assert_eq!(all[1].field(Field::SampleLabel), Some("Fern 2024-03-27"), "all are named so");
    }
}
