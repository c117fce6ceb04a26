//! The layer that stands behind each name over the columns of a table: `Moss 7706/1 0-15 cm`.

use super::super::super::atom::Atom;
use super::heading::heading_word;
use super::parts::FieldRow;
use crate::reading::vocabulary::{Context, Field};
use regex::Regex;
use std::sync::LazyLock;

/// A name, and behind it two figures of a layer with their unit.
static LAYERED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?i)^(.*[\w)])[ ,;/]+\(?([0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:cm|mm|inches|inch|in\.?|"))\)?$"#,
    )
    .ok()
});

/// The cells of a line without the layers behind their names, and these as a row of their own, where every cell over a
/// column that is no heading has one. `name_right` is where the names of what was measured end.
pub(super) fn layers_apart(
    whole: Vec<Atom>,
    name_right: f32,
    em: f32,
    context: Context,
) -> (Vec<Atom>, Option<FieldRow>) {
    let over = |a: &Atom| a.area.x0 > name_right - em && !heading_word(a, context);
    let parted = |a: &Atom| {
        let found = LAYERED.as_ref()?.captures(&a.text)?;
        let part = |n| Some(found.get(n)?.as_str().to_owned());
        let (name, layer) = (part(1)?, part(2)?);
        name.contains(char::is_alphabetic)
            .then(|| (Atom { text: name, ..a.clone() }, Atom { text: layer, ..a.clone() }))
    };
    let cells = whole.iter().filter(|a| over(a)).count();
    let layers: Vec<Atom> = whole.iter().filter(|a| over(a)).filter_map(|a| Some(parted(a)?.1)).collect();
    if layers.is_empty() || layers.len() < cells {
        return (whole, None);
    }
    let named = |a: Atom| match parted(&a).filter(|_| over(&a)) {
        Some((name, _)) => name,
        None => a,
    };
    (whole.into_iter().map(named).collect(), Some((Field::DepthTop, layers)))
}
