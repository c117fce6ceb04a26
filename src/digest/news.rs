//! What of a site is new against what was told of it.

use super::{Closer, NewFlag, SiteName};
use crate::assess::Assessment;
use crate::flag::{Flag, FlagKind, SeriesFacts, Severity};
use std::collections::BTreeMap;

/// What is new of a site, and all that stands told once this is told.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteNews {
    /// New flags but for samplings due.
    pub flags: Vec<NewFlag>,
    /// Crossings that moved closer.
    pub closer: Vec<Closer>,
    /// Samplings due.
    pub retests: Vec<NewFlag>,
    /// Subject and what is said of it. A flag that is no longer raised is not in it: if it comes back, it is new.
    pub told: BTreeMap<String, String>,
}

/// Compares an assessment with what was told of its site.
pub fn of_site(assessment: &Assessment, told: &BTreeMap<String, String>) -> SiteNews {
    let site = SiteName::of(&assessment.site);
    let mut news =
        SiteNews { flags: Vec::new(), closer: Vec::new(), retests: Vec::new(), told: BTreeMap::new() };
    // The most urgent flag of a subject comes first and speaks for it.
    for flag in &assessment.flags {
        let subject = subject(flag);
        if news.told.contains_key(&subject) {
            continue;
        }
        let was = told.get(&subject).and_then(|said| Severity::from_id(said));
        news.told.insert(subject, flag.severity.id().to_owned());
        // `Act` stands before `Watch`.
        if was.is_some_and(|was| was <= flag.severity) {
            continue;
        }
        let new = NewFlag { site: site.clone(), flag: flag.clone(), was };
        match flag.flag {
            FlagKind::RetestDue => news.retests.push(new),
            _ => news.flags.push(new),
        }
    }
    for facts in assessment.series.iter().filter(|facts| facts.current) {
        let Some((now, subject)) = crossing(facts) else { continue };
        let was = told.get(&subject).and_then(|said| said.parse::<i32>().ok());
        news.told.insert(subject, now.to_string());
        if let Some(was) = was.filter(|was| now < *was) {
            news.closer.push(Closer {
                site: site.clone(),
                zone: facts.series.key.zone.clone(),
                analyte: facts.analyte(),
                method: facts.method(),
                was,
                now,
            });
        }
    }
    news
}

/// What a flag is about. A state stays the same flag from season to season; an event is of its season.
fn subject(flag: &Flag) -> String {
    let analyte = flag.analyte.map_or("-", |analyte| analyte.id());
    let season = match flag.flag {
        FlagKind::MethodChanged | FlagKind::BeyondLabNoise => flag.season.to_string(),
        FlagKind::BelowSufficiency
        | FlagKind::DrawingDown
        | FlagKind::Excessive
        | FlagKind::Hazard
        | FlagKind::RetestDue => "-".to_owned(),
    };
    // The zone is free text, so it comes last.
    format!("flag/{}/{analyte}/{season}/{}", flag.flag.id(), flag.zone)
}

/// The season a line meets its edge in, and the name of the line.
fn crossing(facts: &SeriesFacts) -> Option<(i32, String)> {
    let season = facts.crossing?.season?;
    let key = &facts.series.key;
    let lab = key.lab.as_deref().unwrap_or("-").replace('/', " ");
    let layer = key.depth_cm.map_or_else(|| "-".to_owned(), |(top, bottom)| format!("{top}-{bottom}"));
    let basis = key.basis.map_or("-", |basis| basis.id());
    let name = format!("crossing/{}/{}/{basis}/{layer}/{lab}/{}", key.analyte, key.method, key.zone);
    Some((season, name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::{AssessSettings, assess};
    use crate::chart::rows::{lawn, yearly};
    use crate::soil::{Analyte, Method, ReadingRow};
    use jiff::civil::date;

    fn made(values: &[f64], year: i16) -> Assessment {
        let rows: Vec<ReadingRow> = yearly(2018, Analyte::Phosphorus, Method::Mehlich3, values);
        assess(&lawn(), &rows, &AssessSettings::built_in().unwrap(), date(year, 12, 1)).unwrap()
    }

    #[test]
    fn a_flag_is_told_once_and_again_only_after_it_was_gone() {
        let low = made(&[40.0, 12.0], 2019);
        let first = of_site(&low, &BTreeMap::new());
        assert!(
            first.flags.iter().any(|new| new.flag.flag == FlagKind::BelowSufficiency && new.was.is_none())
        );
        let second = of_site(&low, &first.told);
        assert_eq!((second.flags.len(), second.closer.len(), second.retests.len()), (0, 0, 0));
        assert_eq!(second.told, first.told);
        // The next season is as low: the same state, no news of it.
        let still = of_site(&made(&[40.0, 12.0, 12.0], 2020), &first.told);
        assert!(still.flags.iter().all(|new| new.flag.flag != FlagKind::BelowSufficiency));
        let better = of_site(&made(&[40.0, 12.0, 41.0], 2020), &first.told);
        let again = of_site(&low, &better.told);
        assert!(again.flags.iter().any(|new| new.flag.flag == FlagKind::BelowSufficiency));
    }

    #[test]
    fn a_flag_that_became_urgent_is_news() {
        let low = made(&[40.0, 12.0], 2019);
        let mut before = of_site(&low, &BTreeMap::new());
        let act = before.flags.iter().find(|new| new.flag.severity == Severity::Act).cloned().unwrap();
        before.told.insert(subject(&act.flag), "watch".to_owned());
        let now = of_site(&low, &before.told);
        assert_eq!(now.flags.iter().map(|new| new.was).collect::<Vec<_>>(), [Some(Severity::Watch)]);
    }

    #[test]
    fn a_crossing_is_news_only_when_it_moves_closer() {
        let falling = made(&[80.0, 76.0, 71.0, 66.0, 61.0], 2022);
        let first = of_site(&falling, &BTreeMap::new());
        let (name, season) = first.told.iter().find(|(subject, _)| subject.starts_with("crossing/")).unwrap();
        assert_eq!(first.closer, []);
        let season: i32 = season.parse().unwrap();
        for (was, news) in [(season + 2, 1), (season, 0), (season - 1, 0)] {
            let mut told = first.told.clone();
            told.insert(name.clone(), was.to_string());
            let now = of_site(&falling, &told);
            assert_eq!(now.closer.len(), news, "{was} then {season}");
            assert!(now.closer.iter().all(|closer| (closer.was, closer.now) == (was, season)));
        }
    }

    #[test]
    fn a_sampling_due_is_told_once_apart_from_the_flags() {
        let old = made(&[40.0], 2030);
        let first = of_site(&old, &BTreeMap::new());
        assert_eq!(first.retests.len(), 1);
        assert!(first.flags.iter().all(|new| new.flag.flag != FlagKind::RetestDue));
        assert_eq!(of_site(&made(&[40.0], 2031), &first.told).retests.len(), 0);
        assert!(old.retest_on.values().all(|on| *on <= old.today));
    }
}
