//! An assessment as one row of the overview.

use super::from_assessment::{below, edge};
use super::input::{SiteRow, SiteSeason, State};
use crate::assess::Assessment;
use crate::flag::{SeriesFacts, Severity, severity};
use crate::soil::Analyte;
use std::collections::{BTreeMap, BTreeSet};

/// How a site stood in every season it was sampled: by its flags in their season, and before by the edge of
/// sufficiency each series is held against today.
pub fn site_row(assessment: &Assessment) -> SiteRow {
    let mut seen: BTreeMap<i16, BTreeMap<State, BTreeSet<Analyte>>> = BTreeMap::new();
    for facts in &assessment.series {
        for value in &facts.series.values {
            let past = facts.last().is_some_and(|last| last.season != value.season) || !facts.current;
            let state = match edge(facts) {
                Some(edge) if past && below(value, edge) => lack(facts),
                _ if facts.level().is_some() => State::Good,
                _ => State::Unclassed,
            };
            seen.entry(value.season).or_default().entry(state).or_default().insert(facts.analyte());
        }
    }
    for flag in &assessment.flags {
        let Some(states) = seen.get_mut(&flag.season) else { continue };
        let concerned = states.entry(of(flag.severity)).or_default();
        concerned.extend(flag.analyte);
    }
    let site = &assessment.site;
    SiteRow {
        name: if site.name.is_empty() { site.id.clone() } else { site.name.clone() },
        client: site.client.clone().unwrap_or_default(),
        seasons: seen.into_iter().filter_map(|(season, states)| summed(season, &states)).collect(),
    }
}

fn of(severity: Severity) -> State {
    match severity {
        Severity::Act => State::Act,
        Severity::Watch => State::Watch,
    }
}

/// As loud as a flag would be today.
fn lack(facts: &SeriesFacts) -> State {
    let alert = facts
        .level()
        .and_then(|level| Some(severity(level.alert_below?, level.edge_read, level.outside_region)));
    alert.map_or(State::Good, of)
}

/// The gravest state and whom it concerns; one class among many unclassed analytes already says something.
fn summed(season: i16, states: &BTreeMap<State, BTreeSet<Analyte>>) -> Option<SiteSeason> {
    let (state, analytes) = states.first_key_value()?;
    let named = matches!(state, State::Act | State::Watch);
    let symbols: Vec<&str> = analytes.iter().filter(|_| named).map(|analyte| analyte.symbol()).collect();
    Some(SiteSeason { season, state: *state, analytes: symbols.join(" ") })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gravest_state_stands_and_names_its_analytes() {
        let states = BTreeMap::from([
            (State::Good, BTreeSet::from([Analyte::Ph])),
            (State::Watch, BTreeSet::from([Analyte::Potassium, Analyte::Phosphorus])),
        ]);
        let summed = summed(2025, &states).unwrap();
        assert_eq!((summed.state, summed.analytes.as_str()), (State::Watch, "P K"));
    }

    #[test]
    fn a_past_lack_and_a_present_one_are_as_loud_as_each_other() {
        use crate::assess::{AssessSettings, assess};
        use crate::chart::from_assessment::rows::{lawn, yearly};
        use crate::soil::Method;
        let rows = yearly(2021, Analyte::Phosphorus, Method::Mehlich3, &[40.0, 12.0, 30.0, 11.0]);
        let made =
            assess(&lawn(), &rows, &AssessSettings::built_in().unwrap(), jiff::civil::date(2024, 12, 1));
        let row = site_row(&made.unwrap());
        let states: Vec<(i16, State)> = row.seasons.iter().map(|s| (s.season, s.state)).collect();
        let lack = states.last().unwrap().1;
        assert!(matches!(lack, State::Act | State::Watch));
        assert_eq!(states, [(2021, State::Good), (2022, lack), (2023, State::Good), (2024, lack)]);
        assert_eq!(row.seasons.last().unwrap().analytes, "P");
    }
}
