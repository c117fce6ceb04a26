//! pH, organic matter, phosphorus and potassium of one site, and a sheet of all its other measurements: two by two, or one
//! below the other.

use super::input::{ChartInput, Panel, Width};
use super::look::Look;
use super::scene::Scene;
use super::single::grid;
use crate::soil::Analyte;

/// The four, in the order drawn.
pub const FOUR: [Analyte; 4] = [Analyte::Ph, Analyte::OrganicMatter, Analyte::Phosphorus, Analyte::Potassium];

/// Draws the four; other panels of the input are left out, a missing one is drawn as having no reading.
pub fn four(input: &ChartInput, width: Width) -> Scene {
    let panels = FOUR.iter().map(|analyte| {
        let given = input.panels.iter().find(|panel| panel.analyte == *analyte);
        given.cloned().unwrap_or_else(|| Panel::empty(*analyte))
    });
    let chosen = ChartInput { panels: panels.collect(), ..input.clone() };
    grid(&chosen, &Look::of(width), columns(width))
}

/// Draws every other measurement of the site, as the four are drawn; none where there is none.
pub fn others(input: &ChartInput, width: Width) -> Option<Scene> {
    let panels: Vec<Panel> = input.panels.iter().filter(|p| !FOUR.contains(&p.analyte)).cloned().collect();
    let chosen = ChartInput { panels, ..input.clone() };
    (!chosen.panels.is_empty()).then(|| grid(&chosen, &Look::of(width), columns(width)))
}

fn columns(width: Width) -> usize {
    match width {
        Width::Wide => 2,
        Width::Narrow => 1,
    }
}
