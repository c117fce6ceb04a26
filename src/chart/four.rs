//! pH, organic matter, phosphorus and potassium of one site: two by two, or one below the other.

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
    let columns = match width {
        Width::Wide => 2,
        Width::Narrow => 1,
    };
    grid(&chosen, &Look::of(width), columns)
}
