//! Which sampled layers are the same layer: 6 inches (15.24 cm) on one report and 15 cm on the next.
//!
//! All different depths of a zone are put in the order of the season they first appear in. Each joins the nearest
//! layer already there whose edges both lie within the allowed distance, else it opens a layer of its own, named by
//! its own edges in whole centimetres. So a depth always belongs to one layer only, a later report does not rename
//! the layers of earlier ones, and the order of the readings plays no part.

use std::collections::BTreeMap;

/// Edges of a layer in tenths of a millimetre: whole numbers that can be compared and put in order.
pub(super) type Edges = (i64, i64);

/// A layer in whole centimetres: upper edge, lower edge.
pub type Layer = (i32, i32);

/// The layers of one zone.
#[derive(Debug, Default)]
pub struct Layers(BTreeMap<Edges, Layer>);

impl Layers {
    /// From the depths sampled (upper edge cm, lower edge cm) and the season of each.
    pub fn new(sampled: impl IntoIterator<Item = (i16, (f64, f64))>, within_cm: f64) -> Self {
        Self::of_edges(sampled.into_iter().map(|(season, depth)| (season, edges(depth))), within_cm)
    }

    /// The same from edges.
    pub(super) fn of_edges(sampled: impl IntoIterator<Item = (i16, Edges)>, within_cm: f64) -> Self {
        let mut first_season: BTreeMap<Edges, i16> = BTreeMap::new();
        for (season, depth) in sampled {
            first_season.entry(depth).and_modify(|first| *first = season.min(*first)).or_insert(season);
        }
        let mut in_order: Vec<(i16, Edges)> =
            first_season.into_iter().map(|(depth, season)| (season, depth)).collect();
        in_order.sort_unstable();
        let within = (within_cm * 100.0).round() as i64;
        let mut opened: Vec<(Edges, Layer)> = Vec::new();
        let mut layers = BTreeMap::new();
        for (_, depth) in in_order {
            let near = opened
                .iter()
                .filter(|(other, _)| apart(depth, *other) <= within)
                .min_by_key(|(other, _)| apart(depth, *other))
                .map(|(_, layer)| *layer);
            let layer = near.unwrap_or_else(|| {
                let layer = whole_cm(depth);
                opened.push((depth, layer));
                layer
            });
            layers.insert(depth, layer);
        }
        Self(layers)
    }

    /// The layer a sampled depth belongs to.
    pub fn of(&self, depth: (f64, f64)) -> Option<Layer> {
        self.of_edge(edges(depth))
    }

    /// The same of edges.
    pub(super) fn of_edge(&self, depth: Edges) -> Option<Layer> {
        self.0.get(&depth).copied()
    }
}

/// The edges of a depth in centimetres.
pub(super) fn edges((top_cm, bottom_cm): (f64, f64)) -> Edges {
    ((top_cm * 100.0).round() as i64, (bottom_cm * 100.0).round() as i64)
}

fn apart(a: Edges, b: Edges) -> i64 {
    (a.0 - b.0).abs().max((a.1 - b.1).abs())
}

fn whole_cm((top, bottom): Edges) -> Layer {
    let round = |tenths: i64| (tenths as f64 / 100.0).round() as i32;
    (round(top), round(bottom))
}

#[cfg(test)]
mod tests {
    use super::Layers;

    #[test]
    fn six_inches_and_fifteen_centimetres_are_one_layer_and_four_inches_another() {
        let layers = Layers::new([(2019, (0.0, 15.24)), (2021, (0.0, 15.0)), (2022, (0.0, 10.16))], 2.0);
        assert_eq!(layers.of((0.0, 15.24)), Some((0, 15)));
        assert_eq!(layers.of((0.0, 15.0)), Some((0, 15)));
        assert_eq!(layers.of((0.0, 10.16)), Some((0, 10)));
        assert_eq!(layers.of((0.0, 30.0)), None);
    }

    #[test]
    fn a_chain_of_near_depths_does_not_run_away_from_the_first() {
        let layers = Layers::new([(2019, (0.0, 15.0)), (2020, (0.0, 17.0)), (2021, (0.0, 18.9))], 2.0);
        assert_eq!(layers.of((0.0, 17.0)), Some((0, 15)));
        assert_eq!(layers.of((0.0, 18.9)), Some((0, 19)));
    }

    #[test]
    fn both_edges_count() {
        let layers = Layers::new([(2019, (0.0, 15.0)), (2020, (15.0, 30.0))], 2.0);
        assert_ne!(layers.of((0.0, 15.0)), layers.of((15.0, 30.0)));
    }
}
