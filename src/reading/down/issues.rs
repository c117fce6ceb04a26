//! `First issued   Amended` over two columns of numbers: an amended report shows both, and the second counts.

use super::super::issues::{Issue, of_an_issue_alone};
use super::super::vocabulary::Field;
use super::column::Holds;

/// True where one heading speaks of an earlier issue of the report and another of this one.
pub(super) fn of_two_issues<'a>(headings: impl Iterator<Item = &'a str> + Clone) -> bool {
    let any = |is: &dyn Fn(&str) -> bool| headings.clone().any(is);
    any(&is_before) && any(&is_now)
}

fn is_before(heading: &str) -> bool {
    of_an_issue_alone(heading) == Some(Issue::Before)
}

fn is_now(heading: &str) -> bool {
    of_an_issue_alone(heading) == Some(Issue::Now)
}

/// The words over a column that were taken for the name of a sample.
pub(super) fn named(holds: &Holds) -> Option<String> {
    let Holds::Sample(fields) = holds else { return None };
    fields.iter().find(|(field, _)| *field == Field::SampleLabel).map(|(_, text)| text.clone())
}

/// Of a column of an earlier issue and one of this issue the second holds the results, where no third does; beside others
/// nobody knows whose either is.
pub(super) fn settle(holds: &mut [Holds], headings: &[Option<String>]) {
    let said = || headings.iter().flatten().map(String::as_str);
    if !of_two_issues(said()) {
        one_issue(holds, headings);
        return;
    }
    let of_an_issue = |h: &Option<String>| h.as_deref().is_some_and(|h| is_before(h) || is_now(h));
    let numbers =
        |h: &Holds| matches!(h, Holds::Result | Holds::Sample(_) | Holds::Nameless | Holds::Season(_));
    let others = holds.iter().zip(headings).any(|(own, h)| !of_an_issue(h) && numbers(own));
    let sure =
        !others && said().filter(|h| is_before(h)).count() == 1 && said().filter(|h| is_now(h)).count() == 1;
    let unsure = |own: &Holds| !sure && *own == Holds::Result;
    for (own, heading) in holds.iter_mut().zip(headings).filter(|(own, h)| of_an_issue(h) || unsure(own)) {
        *own = match (sure, heading.as_deref().is_some_and(is_now)) {
            (true, true) => Holds::Result,
            (true, false) => Holds::Nothing,
            _ => Holds::Nameless,
        };
    }
}

/// A column of what was taken back holds no results, whatever stands beside it. Beside a plain `Result` a corrected one may be
/// corrected for something else.
fn one_issue(holds: &mut [Holds], headings: &[Option<String>]) {
    let numbers = |h: &Holds| matches!(h, Holds::Result | Holds::Sample(_) | Holds::Nameless);
    let of = |h: &Option<String>, is: &dyn Fn(&str) -> bool| h.as_deref().is_some_and(is);
    let now = holds.iter().zip(headings).any(|(own, h)| *own == Holds::Result && of(h, &is_now));
    let plain = holds.iter().zip(headings).any(|(own, h)| *own == Holds::Result && !of(h, &is_now));
    for (own, heading) in holds.iter_mut().zip(headings) {
        if numbers(own) && of(heading, &is_before) {
            *own = Holds::Nothing;
        } else if *own == Holds::Result && now && plain {
            *own = Holds::Nameless;
        }
    }
}
