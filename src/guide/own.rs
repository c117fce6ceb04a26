//! Edges the keeper of a site sets: they stand before every guide.

use super::{Level, Measured, Standing};
use crate::guide::standing::Alert;
use crate::soil::{Analyte, Method, Qualifier};
use serde::{Deserialize, Serialize};

/// The id under which own edges appear where a guide's id stands.
pub const OWN: &str = "own-edge";

/// An edge of the keeper's own for one analyte by one method, canonical unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnEdge {
    /// What.
    pub analyte: Analyte,
    /// By which method; it speaks of no other.
    pub method: Method,
    /// Lower edge of what is wanted.
    pub sufficient_from: f64,
    /// Upper edge of what is wanted, exclusive.
    pub sufficient_to: Option<f64>,
    /// Why, in the keeper's words.
    pub note: Option<String>,
}

/// The class of a reading by the keeper's own edges; none where there are none, or a result outside the
/// laboratory's range may lie on both sides of one.
pub fn own_level(reading: &Measured, edges: &[OwnEdge]) -> Option<Level> {
    let edge = edges
        .iter()
        .find(|edge| edge.analyte == reading.analyte && edge.method == reading.method)
        .filter(|_| reading.basis != Some(crate::soil::Basis::Volume))?;
    let (low, high) = (edge.sufficient_from, edge.sufficient_to);
    let standing = match reading.qualifier {
        Some(Qualifier::Below) if reading.value > low => return None,
        Some(Qualifier::Above) if high.is_some_and(|high| reading.value < high) || reading.value < low => {
            return None;
        }
        Some(Qualifier::Below) => Standing::Below,
        _ if reading.value < low => Standing::Below,
        _ if high.is_some_and(|high| reading.value >= high) => Standing::Above,
        _ => Standing::Within,
    };
    let (class, from, to, alert) = match standing {
        Standing::Below => ("below own edge", None, Some(low), Some(Alert::Act)),
        Standing::Above => ("above own range", high, None, Some(Alert::Watch)),
        _ => ("within own range", Some(low), high, None),
    };
    Some(Level {
        guide: OWN.to_owned(),
        title: "The keeper's own edge".to_owned(),
        class: class.to_owned(),
        from,
        to,
        as_printed: match high {
            Some(high) => format!("{low} to below {high}"),
            None => format!("{low} and more"),
        },
        sufficient_from: Some(low),
        sufficient_to: high,
        standing,
        alert,
        alert_below: Some(Alert::Act),
        read: true,
        edge_read: true,
        outside_region: false,
        source: OWN.to_owned(),
        meaning: edge.note.clone().unwrap_or_default(),
        cautions: Vec::new(),
    })
}
