//! One number changed in a sheet that closes: where the chemistry must see it, it is held.

use crate::scoring::mutation::{Witnesses, run};
use loamline::soil::Analyte;

#[test]
fn a_changed_cation_or_share_is_held_where_the_panel_is_complete() {
    let (counts, clean) = run(1, 1);
    for analyte in [Analyte::Calcium, Analyte::SatCa, Analyte::SatMg, Analyte::Sand] {
        let (tried, caught) = counts.get(&(Witnesses::Panel, analyte)).copied().unwrap_or_default();
        assert!(tried > 5, "{analyte}: {tried}");
        assert!(caught * 100 >= tried * 95, "{analyte}: {caught} of {tried}");
    }
    let (accepted, all) = clean.get(&Witnesses::Past).copied().unwrap_or_default();
    assert!(accepted * 100 >= all * 95, "unchanged: {accepted} of {all}");
}

#[test]
fn last_season_holds_what_no_sum_can() {
    let (counts, _) = run(2, 1);
    let share = |w| {
        let (tried, caught) = counts.get(&(w, Analyte::Phosphorus)).copied().unwrap_or_default();
        assert!(tried > 5, "{tried}");
        100 * caught / tried
    };
    assert!(share(Witnesses::Past) > share(Witnesses::Panel) + 20);
}
