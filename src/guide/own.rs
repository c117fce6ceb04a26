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

/// An edge as it is written in the settings: `[sites.ID.edges]`, one analyte a line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnEdgeSetting {
    /// By which method; it speaks of no other.
    pub method: Method,
    /// Lower edge of what is wanted, canonical unit.
    pub from: f64,
    /// Upper edge of what is wanted, exclusive.
    pub to: Option<f64>,
    /// Why: whoever meets the edge later must be able to judge it.
    pub note: String,
}

impl OwnEdgeSetting {
    /// What is wrong with it; none for a sound one.
    pub fn wrong(&self, analyte: Analyte) -> Option<String> {
        if !self.method.measures(analyte) {
            return Some(format!("is not measured by {}", self.method));
        }
        if !(self.from.is_finite()
            && self.from > 0.0
            && self.to.is_none_or(|to| to.is_finite() && to > self.from))
        {
            return Some("needs `from` above 0 and `to`, if any, above `from`".to_owned());
        }
        self.note.trim().is_empty().then(|| "needs a `note` that says why".to_owned())
    }

    /// The edge of an analyte.
    pub fn edge(&self, analyte: Analyte) -> OwnEdge {
        OwnEdge {
            analyte,
            method: self.method,
            sufficient_from: self.from,
            sufficient_to: self.to,
            note: Some(self.note.trim().to_owned()),
        }
    }
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
        Standing::Below => ("below the site's own edge", None, Some(low), Some(Alert::Act)),
        Standing::Above => ("above the site's own range", high, None, Some(Alert::Watch)),
        _ => ("within the site's own range", Some(low), high, None),
    };
    Some(Level {
        guide: OWN.to_owned(),
        title: match &edge.note {
            Some(note) => format!("the site's own range (\u{201c}{note}\u{201d})"),
            None => "the site's own range".to_owned(),
        },
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
        other_depth: false,
        source: OWN.to_owned(),
        meaning: edge.note.clone().unwrap_or_default(),
        cautions: Vec::new(),
    })
}
