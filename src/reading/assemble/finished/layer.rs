//! `Soccer field 0-4 in`: a name and the layer behind it.

use super::super::super::header::depth;
use super::Found;
use crate::soil::Depth;
use regex::Regex;
use std::sync::LazyLock;

/// A layer from one figure to another, with its unit, at the end of a text.
static BEHIND: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)^(.*?\S)[ ,;|·-]*[ (\[](?:depth:? )?([0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:cm|mm|inches|inch|in|zoll)\.?)[)\]]?$",
    )
    .ok()
});

/// A layer, or a figure of a depth, anywhere in a text.
static ANYWHERE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)(?:\b[0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:cm|mm|inches|inch|in)\b|\b[0-9]+\s*(?:cm|mm|inch|inches)\b|\b(?:depth|tiefe|profundidad|profondeur|profondità|diepte)\b)",
    )
    .ok()
});

/// True where a name speaks of a depth.
pub(super) fn speaks_of_depth(label: &str) -> bool {
    ANYWHERE.as_ref().is_some_and(|r| r.is_match(label))
}

fn layer(label: &str) -> Option<(String, Depth)> {
    let found = BEHIND.as_ref()?.captures(label)?;
    let name = found.get(1)?.as_str().trim_end_matches([' ', '-', ',', ';', '|', '·', ':']).to_owned();
    let depth = depth(found.get(2)?.as_str(), None, false)?;
    (name.contains(char::is_alphabetic) && !speaks_of_depth(&name)).then_some((name, depth))
}

/// The layer comes off a name where it begins at the surface, or where another layer of that name ends. What else may be
/// one is left to the look at the names that follows.
pub(super) fn layers(labels: &[&str]) -> Vec<Option<Found>> {
    let found: Vec<Option<(String, Depth)>> = labels.iter().map(|l| layer(l)).collect();
    let judge = |own: &Option<(String, Depth)>| {
        let (name, depth) = own.as_ref()?;
        let follows =
            found.iter().flatten().any(|(n, d)| n == name && (d.bottom_cm - depth.top_cm).abs() < 0.5);
        (depth.top_cm == 0.0 || follows).then(|| Found::Layered(name.clone(), *depth))
    };
    found.iter().map(judge).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_layer_comes_off_a_name() {
        for label in ["Moss 0-4 in", "Moss - 0-4 in", "Moss (0-4 in)", "Moss, depth 0 to 4 inches"] {
            let found = layers(&[label]);
            assert_eq!(found, [Some(Found::Layered("Moss".to_owned(), Depth::inches(0.0, 4.0)))], "{label}");
        }
        let two = layers(&["Moss 0-15 cm", "Moss 15-30 cm", "Hob 15-30 cm"]);
        let layered = |f: &Option<Found>| matches!(f, Some(Found::Layered(..)));
        assert_eq!(two.iter().map(layered).collect::<Vec<_>>(), [true, true, false]);
    }

    #[test]
    fn a_depth_in_a_name_is_seen() {
        for label in ["Hob 15-30 cm", "0-4 in Moss", "Moss 6 inches", "Moss depth", "Moss 10 cm north"] {
            assert!(speaks_of_depth(label), "{label}");
        }
        for label in ["Plot 3-4", "Lot 12 in back", "Moss 0-4", "Depthwood", "Mix 80:20"] {
            assert!(!speaks_of_depth(label), "{label}");
        }
        assert_eq!(layers(&["Plot 3-4", "0-15 cm"]), [None, None]);
    }
}
