//! Tables and columns of what to put down, which hold no results.

use super::super::band::{Band, Leaf};
use super::super::down;
use super::super::layout::Layout;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::Form;
use super::super::words::List;
use crate::soil::Analyte;

/// A table of advice: rates by crop, nitrogen beside the oxides, or the unit of a rate.
pub(super) fn is_advice(band: &Band, titled: bool) -> bool {
    let texts: Vec<String> = band.leaves.iter().map(|l| l.text.to_lowercase()).collect();
    let crops = ["crop", "kultur", "fruchtart", "culture", "cultivo"];
    let crop = texts.iter().any(|t| crops.iter().any(|c| t.starts_with(c)) || t.contains("crop to be grown"));
    let nitrogen = texts.iter().any(|t| t == "n" || t.starts_with("nitrogen") || t.starts_with("n "));
    let oxides = band
        .leaves
        .iter()
        .filter(|l| matches!(l.label.form, Some(Form::Oxide | Form::OxideOrElement)))
        .count();
    let rate = band
        .leaves
        .iter()
        .any(|l| l.label.unit.as_ref().is_some_and(|u| matches!(u.0, "lb/1000ft2" | "ton/acre")));
    ((oxides > 0 && (crop || nitrogen || limed(band))) || rate || titled && nitrogen) && !measured(band)
}

/// `Lime lb/ac   P2O5 lb/ac   K2O lb/ac`: what to spread on an area is a rate, and so is what is counted like it beside.
fn limed(band: &Band) -> bool {
    let per_area = |l: &Leaf| {
        let unit = l.label.unit.as_ref().and_then(|u| conversion(u.0, crate::soil::Unit::MgPerKg));
        unit.is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    let lime = |l: &Leaf| {
        let first = l.text.split(' ').next().unwrap_or_default().to_lowercase();
        per_area(l) && l.label.analyte.is_none() && List::Lime.has(&first)
    };
    band.leaves.iter().any(lime) && band.leaves.iter().filter(|l| l.label.is_result()).all(per_area)
}

/// True where the line right above a heading is the title of what to put down: `Nutrient advice (kg/ha)`.
pub(super) fn titled_advice(page: &Layout, band: &Band) -> bool {
    let above = band.first.checked_sub(1).and_then(|i| page.lines.get(i));
    let own = page.lines.get(band.first);
    above.zip(own).is_some_and(|(a, b)| {
        let near =
            if page.cells { b.area.y0 - a.area.y0 < 45.0 } else { b.area.y0 - a.area.y1 < 4.0 * page.em };
        near && down::is_title(a)
    })
}

/// True where a table holds what only a soil test measures: no table of advice, whatever rates stand beside.
pub(super) fn measured(band: &Band) -> bool {
    use crate::soil::Unit;
    band.leaves.iter().filter(|l| l.label.is_result()).filter_map(|l| l.label.analyte).any(|a| {
        matches!(a, Analyte::OrganicMatter | Analyte::SolubleSalts)
            || matches!(a.unit(), Unit::One | Unit::CentimolePerKg)
            || a.saturation().is_none() && a.id().starts_with("sat_")
    })
}

/// Rates of advice beside results: a unit that only a rate has, and oxides right behind nitrogen, are none.
pub(super) fn quiet_rates(band: &mut Band) {
    if !measured(band) {
        return;
    }
    let nitrogen = |l: &Leaf| {
        let text = l.text.to_lowercase();
        l.label.analyte.is_none() && (text == "n" || text.starts_with("nitrogen") || text.starts_with("n "))
    };
    let mut behind = false;
    for leaf in &mut band.leaves {
        let oxide = matches!(leaf.label.form, Some(Form::Oxide | Form::OxideOrElement));
        let rate = leaf.label.unit.as_ref().is_some_and(|u| matches!(u.0, "lb/1000ft2" | "ton/acre"));
        behind = nitrogen(leaf) || behind && oxide;
        if rate {
            leaf.label.decoy = true;
        } else if behind && oxide && leaf.label.is_result() {
            leaf.label.unknown.push("a result or a rate".to_owned());
        }
    }
}
