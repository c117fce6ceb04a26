//! Worked sites: what an experienced person would sign, and what no plan may ever do.

use super::*;
use crate::assess::{AssessSettings, Assessment, assess};
use crate::flag::SeriesFacts;
use crate::guide::Standing;
use crate::plan::application::sample;
use crate::plan::need::label_nutrient;
use crate::plan::nutrients::Nutrient;
use crate::plan::settings::{Clippings, MonthDay};
use crate::soil::{Analyte, Method, ReadingRow, Site};
use crate::trend::series::sample_row;
use jiff::civil::{Date, date};
use proptest::prelude::*;

const TODAY: Date = date(2024, 3, 20);

const SHELF: &str = r#"
[[product]]
name = "Lawn 24-0-6"
analysis = "24-0-6"
slow_share = 0.5
package_lb = 50
[[product]]
name = "Starter 10-18-10"
analysis = "10-18-10"
package_lb = 40
[[product]]
name = "Urea"
analysis = "46-0-0"
package_lb = 50
[[product]]
name = "Potash 0-0-50"
analysis = "0-0-50"
package_lb = 50
[[product]]
name = "Phosphate 0-46-0"
analysis = "0-46-0"
[[product]]
name = "Lime pellets"
lime_cce = 90
package_lb = 40
[[product]]
name = "Liquid 28-0-0"
form = "liquid"
analysis = "28-0-0"
density_lb_per_gal = 10.6
"#;

fn shelf() -> Vec<Product> {
    product::from_toml(SHELF, "p.toml").unwrap()
}

fn site() -> Site {
    Site {
        id: "north".into(),
        name: "North lawn".into(),
        use_: Some("lawn".into()),
        species: Some("tall-fescue".into()),
        texture: Some("loam".into()),
        area_ft2: Some(8000.0),
        ..Site::default()
    }
}

fn row(analyte: Analyte, method: Method, value: f64) -> ReadingRow {
    ReadingRow {
        season: Some(2023),
        sampled_on: Some(date(2023, 4, 10)),
        depth_top_cm: Some(0.0),
        depth_bottom_cm: Some(10.0),
        analyte,
        method,
        value,
        basis: None,
        ..sample_row()
    }
}

fn assessed(site: &Site, rows: &[ReadingRow]) -> Assessment {
    assess(site, rows, &AssessSettings::built_in().unwrap(), TODAY).unwrap()
}

fn made(site: &Site, rows: &[ReadingRow], settings: &SiteSettings, down: &[Application]) -> Plan {
    plan(&assessed(site, rows), settings, down, &shelf(), &[], 2024, TODAY).unwrap()
}

fn in_order() -> Vec<ReadingRow> {
    vec![
        row(Analyte::Phosphorus, Method::Mehlich3, 60.0),
        row(Analyte::Potassium, Method::Mehlich3, 160.0),
        row(Analyte::Ph, Method::Water1to1, 6.6),
    ]
}

fn of(plan: &Plan, nutrient: Nutrient) -> Vec<&Planned> {
    plan.applications.iter().filter(|one| one.nutrient == nutrient).collect()
}

#[test]
fn a_lawn_in_order_gets_nitrogen_on_its_days_and_is_otherwise_left_alone() {
    let settings = SiteSettings { clippings: Some(Clippings::Returned), ..SiteSettings::default() };
    let plan = made(&site(), &in_order(), &settings, &[]);
    let days: Vec<String> = plan.applications.iter().map(|one| one.on.to_string()).collect();
    assert_eq!(days, ["2024-05-01", "2024-09-01", "2024-10-20"], "{plan:#?}");
    let n: f64 = plan.applications.iter().map(|one| one.supplies_lb_per_1000_ft2.get(Nutrient::N)).sum();
    // Middle of 2 to 3.5 less a quarter for clippings.
    assert!((n - 2.0625).abs() < 1e-9, "{n}");
    assert!(plan.applications.iter().all(|one| one.product.as_deref() == Some("Urea")), "{plan:#?}");
    let first = plan.applications.first().unwrap();
    assert_eq!(first.total.unwrap().said(), "8.70 lb (3.94 kg)");
    for word in ["potassium", "phosphorus", "pH"] {
        assert!(
            plan.leave_alone.iter().any(|left| left.reason.to_lowercase().contains(&word.to_lowercase())),
            "{word}: {:#?}",
            plan.leave_alone
        );
    }
    assert!(plan.questions.is_empty(), "{:#?}", plan.questions);
    assert!(plan.cautions.iter().any(|caution| caution.id == "label"));
    let retest = plan.retests.first().unwrap();
    assert!(retest.on.year() == 2026 && retest.cores == 12 && retest.depth.contains("10 cm"), "{retest:?}");
}

#[test]
fn what_is_already_down_is_taken_off_and_a_season_that_is_over_says_so() {
    let settings = SiteSettings { n_lb_per_1000_ft2: Some(2.0), ..SiteSettings::default() };
    let down = |lb: f64| vec![sample(date(2024, 3, 1), (50.0, 0.0, 0.0), lb * 2.0)];
    let one = made(&site(), &in_order(), &settings, &down(1.2));
    let n = one.nitrogen.first().unwrap();
    assert!((n.account.left - 0.8).abs() < 1e-9 && n.unplaced < 1e-9);
    let over = made(&site(), &in_order(), &settings, &down(2.4));
    assert!(of(&over, Nutrient::N).is_empty());
    assert!(
        over.leave_alone.iter().any(|left| left.reason.contains("0.40 more than")),
        "{:#?}",
        over.leave_alone
    );
    // Last year's feeds do not count for this one.
    let before = [sample(date(2023, 10, 1), (50.0, 0.0, 0.0), 8.0)];
    assert_eq!(made(&site(), &in_order(), &settings, &before).nitrogen.first().unwrap().account.down, 0.0);
}

#[test]
fn low_potassium_is_fed_by_use_and_floor_with_a_product_that_brings_no_phosphate() {
    let mut rows = in_order();
    rows[1].value = 25.0;
    let settings = SiteSettings { n_lb_per_1000_ft2: Some(2.0), ..SiteSettings::default() };
    let plan = made(&site(), &rows, &settings, &[]);
    let k: f64 = plan.applications.iter().map(|one| one.supplies_lb_per_1000_ft2.get(Nutrient::K2o)).sum();
    // 2 lb N x 0.5, and 12 mg/kg below the floor in 10 cm: 12 x 0.0271 lb/1000 ft2; times 1.2046 for K2O.
    let expected = (2.0 * 0.5 + 12.0 * 0.3 * (10.0 / 2.54) / 43.56) * 1.2046;
    assert!((k - expected).abs() < 1e-3, "{k} {expected} {plan:#?}");
    assert!(plan.applications.iter().all(|one| one.supplies_lb_per_1000_ft2.get(Nutrient::P2o5) == 0.0));
    assert_eq!(of(&plan, Nutrient::N).first().unwrap().product.as_deref(), Some("Lawn 24-0-6"));
}

#[test]
fn low_phosphorus_on_turf_is_a_question_of_law_until_it_is_settled() {
    let mut rows = in_order();
    rows[0].value = 8.0;
    let open = made(&site(), &rows, &SiteSettings::default(), &[]);
    assert!(of(&open, Nutrient::P2o5).is_empty());
    let asked = open.questions.iter().find(|question| question.ask.contains("agriculture")).unwrap();
    assert!(asked.question.contains("may phosphorus"), "{asked:?}");
    let settled = SiteSettings { phosphorus_allowed: true, ..SiteSettings::default() };
    assert!(!of(&made(&site(), &rows, &settled, &[]), Nutrient::P2o5).is_empty());
    // Vermont's span was read: 18 months.
    let vermont = Site { region: Some("vermont".into()), ..site() };
    rows.iter_mut().for_each(|row| row.season = Some(2022));
    let old = made(&vermont, &rows, &settled, &[]);
    assert!(of(&old, Nutrient::P2o5).is_empty());
    assert!(
        old.questions.iter().any(|question| question.question.contains("18 months")),
        "{:#?}",
        old.questions
    );
}

#[test]
fn lime_is_spread_only_by_the_buffers_own_table_in_parts_the_turf_bears() {
    let acid = |site: &Site, buffer: Method, value: f64| {
        let mut rows = in_order();
        rows[2].value = 5.1;
        rows.push(row(Analyte::BufferPh, buffer, value));
        made(site, &rows, &SiteSettings { target_ph: Some(6.0), ..SiteSettings::default() }, &[])
    };
    let oregon = Site { region: Some("oregon".into()), ..site() };
    let limed = acid(&oregon, Method::Sikora, 6.2);
    let parts = of(&limed, Nutrient::LimeCce);
    // 2.0 ton/acre for 6 inches, 10 cm of turf: 60.3 lb of pure lime, 67 lb of pellets in two parts.
    let sum: f64 = parts.iter().map(|one| one.supplies_lb_per_1000_ft2.get(Nutrient::LimeCce)).sum();
    assert!((sum - 2.0 * 45.914 * (10.0 / 2.54) / 6.0).abs() < 0.05, "{sum}");
    assert_eq!(parts.len(), 2);
    assert!(
        parts.iter().all(|one| one.per_1000_ft2.lb <= 50.0 && one.product.as_deref() == Some("Lime pellets"))
    );
    assert!(limed.cautions.iter().any(|caution| caution.id == "lime-skin"));
    for part in parts {
        for feed in of(&limed, Nutrient::N) {
            assert!(super::dates::days_between(feed.on, part.on).abs() >= 14);
        }
    }
    // From memory, for another region, or without a table: asked, not spread.
    for (place, buffer) in
        [(&oregon, Method::Smp), (&site(), Method::Sikora), (&oregon, Method::ModifiedMehlich)]
    {
        let asked = acid(place, buffer, 6.2);
        assert!(of(&asked, Nutrient::LimeCce).is_empty(), "{buffer}");
        assert!(asked.questions.iter().any(|question| question.question.contains("lime rate")), "{buffer}");
    }
    let chosen = SiteSettings {
        target_ph: Some(6.0),
        lime_table: Some("sikora-oregon-2025".into()),
        ..SiteSettings::default()
    };
    let mut rows = in_order();
    rows[2].value = 5.1;
    rows.push(row(Analyte::BufferPh, Method::Sikora, 6.2));
    assert_eq!(of(&made(&site(), &rows, &chosen, &[]), Nutrient::LimeCce).len(), 2);
    rows.pop();
    let no_buffer = made(&oregon, &rows, &chosen, &[]);
    assert!(no_buffer.questions.iter().any(|question| question.question.contains("no buffer result")));
}

#[test]
fn calcareous_soil_is_neither_limed_nor_acidified() {
    let mut rows = in_order();
    rows[2].value = 7.9;
    let plan = made(&Site { calcareous: Some(true), ..site() }, &rows, &SiteSettings::default(), &[]);
    assert!(of(&plan, Nutrient::LimeCce).is_empty());
    assert!(plan.leave_alone.iter().any(|left| left.reason.contains("free lime")));
}

#[test]
fn crops_are_built_up_and_replaced_and_asked_for_a_yield() {
    let corn = Site {
        use_: Some("corn".into()),
        species: None,
        region: Some("ohio".into()),
        guides: vec!["crops-tristate-2020-m3".into()],
        ..site()
    };
    // CEC 4 by acetate: the guide's scale for K up to 5 was read.
    let rows =
        [row(Analyte::Potassium, Method::Mehlich3, 110.0), row(Analyte::Cec, Method::AmmoniumAcetate, 4.0)];
    let asked = made(&corn, &rows, &SiteSettings::default(), &[]);
    assert!(
        asked.questions.iter().any(|question| question.question.contains("expected_yield")),
        "{asked:#?}"
    );
    let settings = SiteSettings { expected_yield: Some(150.0), ..SiteSettings::default() };
    let plan = made(&corn, &rows, &settings, &[]);
    let k: f64 =
        of(&plan, Nutrient::K2o).iter().map(|one| one.supplies_lb_per_1000_ft2.get(Nutrient::K2o)).sum();
    // 150 bu at 0.24 lb, and 20 lb on top.
    assert!((k * 43.56 - 56.0).abs() < 1e-6, "{}", k * 43.56);
    assert!(plan.questions.iter().any(|question| question.question.contains("No nitrogen table")));
}

#[test]
fn warm_grass_is_fed_over_its_own_window_and_the_question_is_asked_without_one() {
    let warm = Site { species: Some("bermuda".into()), ..site() };
    let open = made(&warm, &in_order(), &SiteSettings::default(), &[]);
    assert!(of(&open, Nutrient::N).is_empty());
    assert!(open.questions.iter().any(|question| question.question.contains("window")));
    let day = |text: &str| MonthDay::try_from(text.to_owned()).unwrap();
    let settings = SiteSettings {
        window: Some((day("05-01"), day("09-15"))),
        exclude_months: vec![7],
        ..SiteSettings::default()
    };
    let plan = made(&warm, &in_order(), &settings, &[]);
    let feeds = of(&plan, Nutrient::N);
    assert_eq!(feeds.len(), 3);
    assert!(feeds.iter().all(|one| one.on.month() != 7 && one.on.month() >= 5), "{feeds:#?}");
}

fn standing_above(facts: &SeriesFacts) -> bool {
    facts.levels.iter().chain(&facts.also).any(|level| level.standing == Standing::Above)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_plan_never_proposes_what_is_above_the_top_and_passes_no_limit(
        p in 1.0..300.0_f64, k in 5.0..500.0_f64, mg in 5.0..400.0_f64, zn in 0.1..40.0_f64, ph in 4.8..8.4_f64,
        buffer in 5.2..7.2_f64, n in 0.0..6.0_f64, down in 0.0..4.0_f64, limit in 0.3..1.2_f64,
        allowed in any::<bool>(), place in 0..4_usize, area in 100.0..1e6_f64, plain in any::<bool>(),
    ) {
        let region = [None, Some("oregon"), Some("delaware"), Some("new-jersey")][place];
        let site = Site { region: region.map(str::to_owned), area_ft2: Some(area), ..site() };
        let rows = [
            row(Analyte::Phosphorus, Method::Mehlich3, p),
            row(Analyte::Potassium, Method::Mehlich3, k),
            row(Analyte::Magnesium, Method::Mehlich3, mg),
            row(Analyte::Zinc, Method::Mehlich3, zn),
            row(Analyte::Ph, Method::Water1to1, ph),
            row(Analyte::BufferPh, Method::Sikora, buffer),
        ];
        let settings = SiteSettings {
            n_lb_per_1000_ft2: Some(n),
            max_single_n_lb_per_1000_ft2: Some(limit),
            phosphorus_allowed: allowed,
            target_ph: Some(6.4),
            ..SiteSettings::default()
        };
        let down = [sample(date(2024, 3, 1), (20.0, 0.0, 4.0), down * 5.0 + 0.001)];
        let assessment = assessed(&site, &rows);
        // On a shelf without plain nitrogen, the nearest product brings what may be above the top.
        let shelf: Vec<Product> =
            shelf().into_iter().filter(|p| plain || !["Urea", "Liquid 28-0-0"].contains(&p.name.as_str())).collect();
        let made = plan(&assessment, &settings, &down, &shelf, &[], 2024, TODAY).unwrap();
        for facts in assessment.series.iter().filter(|facts| standing_above(facts)) {
            let Some(not) = label_nutrient(facts.analyte()) else { continue };
            for one in &made.applications {
                prop_assert!(one.supplies_lb_per_1000_ft2.get(not) == 0.0, "{not} in {one:?}");
            }
        }
        let mut placed = 0.0;
        for one in &made.applications {
            let supplied = one.supplies_lb_per_1000_ft2.get(Nutrient::N);
            prop_assert!(supplied <= limit * (1.0 + 1e-8));
            placed += supplied;
            prop_assert!(one.per_1000_ft2.lb > 0.0 && one.on >= TODAY);
            prop_assert!(one.nutrient != Nutrient::LimeCce || one.per_1000_ft2.lb <= 50.0 * (1.0 + 1e-8));
            let total = one.total.unwrap();
            prop_assert!((total.lb - one.per_1000_ft2.lb * area / 1000.0).abs() <= 1e-9 * total.lb.max(1.0));
            prop_assert!(allowed || one.supplies_lb_per_1000_ft2.get(Nutrient::P2o5) == 0.0);
        }
        let account = made.nitrogen.first().unwrap();
        prop_assert!((placed + account.unplaced - account.account.left).abs() < 1e-9);
        prop_assert!(account.account.left >= 0.0);
    }
}
