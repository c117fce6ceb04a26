//! Worked sites: quiet ones stay quiet, and each flag is raised by what it is made for.

use super::*;
use crate::flag::{FlagKind, Severity};
use crate::soil::{Analyte, Method};
use crate::trend::series::sample_row;
use jiff::civil::date;

const TODAY: Date = date(2024, 6, 1);

fn site() -> Site {
    Site { id: "north".into(), use_: Some("lawn".into()), texture: Some("loam".into()), ..Site::default() }
}

fn row(season: i16, analyte: Analyte, method: Method, value: f64) -> ReadingRow {
    ReadingRow {
        season: Some(season),
        sampled_on: Some(date(season, 4, 10)),
        analyte,
        method,
        value,
        basis: None,
        ..sample_row()
    }
}

/// One value a year up to 2023.
fn yearly(analyte: Analyte, method: Method, values: &[f64]) -> Vec<ReadingRow> {
    let first = 2024 - values.len() as i16;
    (first..).zip(values).map(|(season, value)| row(season, analyte, method, *value)).collect()
}

fn made(site: &Site, rows: &[ReadingRow]) -> Assessment {
    assess(site, rows, &AssessSettings::built_in().unwrap(), TODAY).unwrap()
}

fn kinds(assessment: &Assessment) -> Vec<(FlagKind, Severity)> {
    assessment.flags.iter().map(|flag| (flag.flag, flag.severity)).collect()
}

#[test]
fn a_site_in_order_shows_no_flag() {
    let mut rows = yearly(Analyte::Potassium, Method::Mehlich3, &[150.0, 155.0, 148.0, 152.0, 151.0]);
    rows.extend(yearly(Analyte::Phosphorus, Method::Mehlich3, &[40.0, 41.0, 39.0, 42.0, 40.0]));
    rows.extend(yearly(Analyte::Ph, Method::Water1to1, &[6.5, 6.4, 6.5, 6.6, 6.5]));
    rows.extend(yearly(Analyte::Calcium, Method::Mehlich3, &[1500.0, 1480.0, 1510.0, 1490.0, 1500.0]));
    rows.extend(yearly(Analyte::SatCa, Method::Unstated, &[52.0, 53.0, 51.0, 52.0, 52.0]));
    rows.extend(yearly(Analyte::OrganicMatter, Method::LossOnIgnition, &[4.1, 4.2, 4.1, 4.3, 4.2]));
    let found = made(&site(), &rows);
    assert!(found.flags.is_empty(), "{:#?}", found.flags);
    assert!(found.leave_alone.iter().any(|one| one.source == "kopittke2007"));
}

#[test]
fn a_lack_that_was_read_asks_to_act_and_one_from_memory_to_watch() {
    let act = made(&site(), &[row(2023, Analyte::Phosphorus, Method::Mehlich3, 15.0)]);
    assert_eq!(
        kinds(&act),
        [(FlagKind::BelowSufficiency, Severity::Act), (FlagKind::RetestDue, Severity::Watch)]
    );
    let flag = act.flags.first().unwrap();
    assert_eq!((flag.edge, flag.guide.as_deref()), (Some(21.0), Some("turf-mlsn")));
    for word in ["15 mg/kg", "mehlich-3", "2023", "21 mg/kg", "MLSN"] {
        assert!(flag.reason.contains(word), "{} lacks {word}", flag.reason);
    }
    let corn = Site { use_: Some("corn".into()), region: Some("iowa".into()), ..site() };
    let watch = made(&corn, &[row(2023, Analyte::Phosphorus, Method::BrayP1, 8.0)]);
    assert!(watch.flags.iter().all(|flag| flag.severity == Severity::Watch), "{:#?}", watch.flags);
    assert!(
        watch.flags.iter().any(|f| f.flag == FlagKind::BelowSufficiency && f.reason.contains("unverified"))
    );
}

#[test]
fn held_and_rejected_values_raise_nothing() {
    for status in [Status::Held, Status::Rejected] {
        let mut low = row(2024, Analyte::Phosphorus, Method::Mehlich3, 3.0);
        low.status = status;
        let ok = row(2023, Analyte::Phosphorus, Method::Mehlich3, 40.0);
        let found = made(&site(), &[ok, low.clone()]);
        assert!(found.flags.is_empty(), "{:#?}", found.flags);
        assert!(made(&site(), &[low]).flags.is_empty());
    }
}

#[test]
fn a_sure_fall_to_the_edge_is_drawing_down() {
    // MLSN K 37: 5 a year, certain over 8 seasons, there in 2025.
    let values = [80.0, 75.0, 71.0, 64.0, 60.0, 55.0, 49.0, 45.0];
    let found = made(&site(), &yearly(Analyte::Potassium, Method::Mehlich3, &values));
    assert_eq!(kinds(&found), [(FlagKind::DrawingDown, Severity::Act)], "{:#?}", found.flags);
    let rows = trend_rows(&found);
    let row = rows.first().unwrap();
    assert_eq!((row.guide.as_deref(), row.sufficient_from), (Some("turf-mlsn"), Some(37.0)));
    assert_eq!(row.crosses_in, Some(2025));
    assert!(row.crosses_low <= row.crosses_in && row.crosses_in <= row.crosses_high);
    // Slower, it lies beyond the horizon.
    let slow: Vec<f64> = values.iter().map(|v| 200.0 + v / 2.0).collect();
    assert!(made(&site(), &yearly(Analyte::Potassium, Method::Mehlich3, &slow)).flags.is_empty());
}

#[test]
fn three_seasons_claim_no_fall_and_an_unsure_fall_is_only_watched() {
    let k = |values: &[f64]| made(&site(), &yearly(Analyte::Potassium, Method::Mehlich3, values));
    assert!(k(&[60.0, 52.0, 45.0]).flags.is_empty());
    assert!(k(&[60.0, 52.0, 45.0]).series.first().unwrap().early_word.is_some());
    let unsure = k(&[56.0, 45.0, 52.0, 47.0, 44.0]);
    assert_eq!(kinds(&unsure), [(FlagKind::DrawingDown, Severity::Watch)], "{:#?}", unsure.flags);
    assert!(unsure.flags.first().unwrap().reason.contains("may be"));
}

#[test]
fn drawing_down_from_plenty_is_good_management() {
    let chosen = Site { guides: vec!["turf-slan-2004".into()], ..site() };
    let values = [90.0, 84.0, 79.0, 72.0, 68.0, 62.0];
    let found = made(&chosen, &yearly(Analyte::Phosphorus, Method::Mehlich3, &values));
    assert!(found.flags.iter().all(|flag| flag.flag != FlagKind::DrawingDown), "{:#?}", found.flags);
    assert!(found.leave_alone.iter().any(|one| one.analyte == Analyte::Phosphorus));
}

#[test]
fn bray_on_calcareous_soil_raises_no_lack_whatever_says_the_ph() {
    for method in [Method::Water1to1, Method::Unstated, Method::Cacl2] {
        let rows = [row(2023, Analyte::Ph, method, 7.9), row(2023, Analyte::Phosphorus, Method::BrayP1, 4.0)];
        let found = made(&site(), &rows);
        assert!(found.flags.is_empty(), "{:#?}", found.flags);
        let said = found.leave_alone.iter().find(|one| one.analyte == Analyte::Phosphorus).unwrap();
        assert!(said.reason.contains("Olsen"));
        assert!(found.leave_alone.iter().any(|one| one.source == "csu-koski2014"));
    }
}

#[test]
fn phosphorus_over_a_state_limit_is_excessive_there_only() {
    let rows = [row(2023, Analyte::Phosphorus, Method::Mehlich3, 260.0)];
    let there = Site { region: Some("Pennsylvania".into()), ..site() };
    assert_eq!(kinds(&made(&there, &rows)), [(FlagKind::Excessive, Severity::Act)]);
    let ohio = Site { region: Some("Ohio".into()), ..site() };
    assert!(made(&ohio, &rows).flags.is_empty());
    // Above the line of every state in the table, and the state is not known.
    assert_eq!(kinds(&made(&site(), &rows)), [(FlagKind::Excessive, Severity::Watch)]);
}

#[test]
fn salts_are_read_by_their_method_and_species() {
    let paste = [row(2023, Analyte::SolubleSalts, Method::SaturatedPaste, 6.5)];
    assert_eq!(kinds(&made(&site(), &paste)), [(FlagKind::Hazard, Severity::Watch)]);
    let tall = Site { species: Some("tall fescue".into()), ..site() };
    assert_eq!(kinds(&made(&tall, &paste)), [(FlagKind::Hazard, Severity::Watch)]);
    let rye = Site { species: Some("perennial ryegrass".into()), ..site() };
    assert_eq!(kinds(&made(&rye, &paste)), [(FlagKind::Hazard, Severity::Act)]);
    let half = [row(2023, Analyte::SolubleSalts, Method::Ec1to2, 0.6)];
    assert_eq!(kinds(&made(&site(), &half)), [(FlagKind::Hazard, Severity::Act)]);
    let unstated = [row(2023, Analyte::SolubleSalts, Method::Unstated, 6.5)];
    assert!(made(&site(), &unstated).flags.is_empty());
}

#[test]
fn sodium_waits_for_the_salts() {
    let clay = Site { texture: Some("clay".into()), ..site() };
    let sodium = row(2023, Analyte::SatNa, Method::Unstated, 18.0);
    let alone = made(&clay, std::slice::from_ref(&sodium));
    assert!(alone.flags.is_empty());
    assert!(alone.leave_alone.iter().any(|one| one.reason.contains("half a picture")));
    let with = made(&clay, &[sodium, row(2023, Analyte::SolubleSalts, Method::SaturatedPaste, 1.0)]);
    assert_eq!(kinds(&with), [(FlagKind::Hazard, Severity::Act)]);
}

#[test]
fn an_extreme_ph_is_a_hazard_and_an_ordinary_high_one_is_left_alone() {
    assert_eq!(
        kinds(&made(&site(), &[row(2023, Analyte::Ph, Method::Water1to1, 4.7)])),
        [(FlagKind::Hazard, Severity::Act)]
    );
    assert!(made(&site(), &[row(2023, Analyte::Ph, Method::Cacl2, 4.7)]).flags.is_empty());
    assert_eq!(
        kinds(&made(&site(), &[row(2023, Analyte::Ph, Method::Unstated, 4.7)])),
        [(FlagKind::Hazard, Severity::Watch)]
    );
    let high = made(&site(), &[row(2023, Analyte::Ph, Method::Water1to1, 7.3)]);
    assert!(high.flags.is_empty() && high.leave_alone.len() == 1);
}

#[test]
fn a_lawn_is_due_after_three_years_and_each_year_while_correcting() {
    let fine = |season| made(&site(), &[row(season, Analyte::Phosphorus, Method::Mehlich3, 40.0)]);
    assert_eq!(kinds(&fine(2021)), [(FlagKind::RetestDue, Severity::Watch)]);
    assert!(fine(2022).flags.is_empty());
    let reason = fine(2021).flags.first().unwrap().reason.clone();
    assert!(reason.contains("2021-04-10") && reason.contains("2024-04-10"), "{reason}");
}

#[test]
fn a_change_of_method_is_told_until_the_new_series_can_speak() {
    let mut rows = yearly(Analyte::Phosphorus, Method::BrayP1, &[30.0, 31.0, 30.0, 29.0, 30.0]);
    for old in &mut rows {
        old.season = old.season.map(|season| season - 2);
    }
    rows.extend(yearly(Analyte::Phosphorus, Method::Mehlich3, &[41.0, 41.0]));
    let found = made(&site(), &rows);
    assert_eq!(kinds(&found), [(FlagKind::MethodChanged, Severity::Watch)], "{:#?}", found.flags);
    let flag = found.flags.first().unwrap();
    assert!(flag.reason.contains("bray-p1") && flag.reason.contains("mehlich-3"), "{}", flag.reason);
    assert_eq!(flag.season, 2022);
}

#[test]
fn a_jump_beyond_noise_asks_for_a_resample_and_a_steady_fall_does_not() {
    let jump = made(&site(), &yearly(Analyte::Phosphorus, Method::Mehlich3, &[40.0, 41.0, 39.0, 40.0, 80.0]));
    assert_eq!(kinds(&jump), [(FlagKind::BeyondLabNoise, Severity::Watch)], "{:#?}", jump.flags);
    assert!(jump.flags.first().unwrap().reason.contains("resample"));
    let steady =
        made(&site(), &yearly(Analyte::Potassium, Method::Mehlich3, &[400.0, 340.0, 280.0, 220.0, 160.0]));
    assert!(steady.flags.iter().all(|flag| flag.flag != FlagKind::BeyondLabNoise), "{:#?}", steady.flags);
    // Olsen P by a published 3.27 mg/kg a year without fertiliser: 11 in three years, with noise of 5, explains 12.
    let p = |from, to| {
        let rows = [
            row(2020, Analyte::Phosphorus, Method::Olsen, from),
            row(2023, Analyte::Phosphorus, Method::Olsen, to),
        ];
        made(&site(), &rows).flags.iter().filter(|flag| flag.flag == FlagKind::BeyondLabNoise).count()
    };
    assert_eq!((p(30.0, 18.0), p(30.0, 10.0), p(18.0, 30.0)), (0, 1, 1));
}

#[test]
fn the_most_urgent_flag_comes_first_and_the_order_of_readings_plays_no_part() {
    let mut rows = yearly(Analyte::Phosphorus, Method::Mehlich3, &[40.0, 41.0, 39.0, 40.0, 80.0]);
    rows.push(row(2020, Analyte::Ph, Method::Water1to1, 4.6));
    rows.push(row(2023, Analyte::Potassium, Method::Mehlich3, 20.0));
    let found = made(&site(), &rows);
    assert_eq!(found.flags.first().unwrap().flag, FlagKind::Hazard);
    assert!(found.flags.is_sorted_by_key(|flag| flag.severity));
    rows.reverse();
    assert_eq!(made(&site(), &rows), found);
    let text = serde_json::to_string(&found).unwrap();
    assert_eq!(serde_json::from_str::<Assessment>(&text).unwrap(), found);
}

#[test]
fn own_edges_stand_before_the_guides() {
    let rows = [row(2024, Analyte::Potassium, Method::Mehlich3, 60.0)];
    let edge = OwnEdge {
        analyte: Analyte::Potassium,
        method: Method::Mehlich3,
        sufficient_from: 80.0,
        sufficient_to: None,
        note: None,
    };
    let settings = AssessSettings { own_edges: vec![edge], ..AssessSettings::built_in().unwrap() };
    let found = assess(&site(), &rows, &settings, TODAY).unwrap();
    assert_eq!(kinds(&found), [(FlagKind::BelowSufficiency, Severity::Act)]);
    assert_eq!(trend_rows(&found).first().unwrap().guide.as_deref(), Some("own-edge"));
}

/// The keys of a serialised value in their order.
fn columns<T: Serialize>(value: &T) -> Vec<String> {
    // JSON text keeps the order of the fields.
    let text = serde_json::to_string(value).unwrap();
    let mut keys: Vec<String> = Vec::new();
    for part in text.split("\":").map(|part| part.rsplit('"').next().unwrap_or_default()) {
        keys.push(part.to_owned());
    }
    keys.pop();
    keys
}

#[test]
fn trends_and_flags_carry_the_columns_of_the_contract() {
    let found = made(&site(), &[row(2023, Analyte::Phosphorus, Method::Mehlich3, 15.0)]);
    let trends = "site zone analyte method unit n first_season last_season last_value slope_per_year slope_low \
                  slope_high confidence mk_s mk_p guide level sufficient_from crosses_in crosses_low crosses_high";
    assert_eq!(columns(trend_rows(&found).first().unwrap()), trends.split_whitespace().collect::<Vec<_>>());
    let flags = "site zone season analyte flag severity value edge unit guide reason";
    let mut flag = found.flags.first().unwrap().clone();
    flag.reason.clear();
    assert_eq!(columns(&flag), flags.split_whitespace().collect::<Vec<_>>());
}

#[test]
fn low_calcium_without_acid_soil_is_left_alone_and_lime_waits_for_a_buffer() {
    let calcium = |ph| {
        made(
            &site(),
            &[
                row(2024, Analyte::Ph, Method::Water1to1, ph),
                row(2024, Analyte::Calcium, Method::Mehlich3, 250.0),
            ],
        )
    };
    assert!(calcium(6.2).flags.is_empty());
    assert!(calcium(6.2).leave_alone.iter().any(|one| one.analyte == Analyte::Calcium));
    let acid = calcium(5.3);
    assert_eq!(
        kinds(&acid),
        [(FlagKind::BelowSufficiency, Severity::Watch), (FlagKind::BelowSufficiency, Severity::Watch)]
    );
    assert!(acid.leave_alone.iter().any(|one| one.reason.contains("buffer")));
}

#[test]
fn a_salt_screen_asks_for_the_paste_test_and_gives_no_class() {
    let at = |value| made(&site(), &[row(2024, Analyte::SolubleSalts, Method::Ec1to1, value)]);
    assert!(at(0.9).flags.is_empty());
    assert_eq!(kinds(&at(1.2)), [(FlagKind::Hazard, Severity::Watch)]);
}

#[test]
fn a_use_no_guide_knows_is_told_and_flags_nothing_by_guide() {
    let moss = Site { use_: Some("moss".into()), ..site() };
    let found = made(&moss, &[row(2024, Analyte::Phosphorus, Method::Mehlich3, 2.0)]);
    assert!(found.flags.is_empty());
    assert!(found.series.first().unwrap().silent.iter().any(|silent| silent.reason.contains("moss")));
}

#[test]
fn readings_of_other_sites_and_zones_do_not_mix() {
    let mut other = row(2024, Analyte::Phosphorus, Method::Mehlich3, 2.0);
    other.site = "south".into();
    let mut front = row(2024, Analyte::Phosphorus, Method::Mehlich3, 2.0);
    front.zone = "front".into();
    let fine = row(2024, Analyte::Phosphorus, Method::Mehlich3, 40.0);
    assert!(made(&site(), &[fine.clone(), other]).flags.is_empty());
    let found = made(&site(), &[fine, front]);
    assert_eq!(found.flags.iter().map(|flag| flag.zone.as_str()).collect::<Vec<_>>(), ["front"]);
}
