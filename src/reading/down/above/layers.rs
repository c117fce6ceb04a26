//! The layer that stands behind each name over the columns of a table: `Moss 7706/1 0-15 cm`.

use super::super::super::atom::Atom;
use super::super::row::Row;
use super::heading::{counts, heading_word};
use super::parts::FieldRow;
use crate::place::Rect;
use crate::reading::header::{depth, is_depth};
use crate::reading::vocabulary::{Context, Field, Role};
use crate::soil::Depth;
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

/// `Analysis   Units   0-10 cm   10-30 cm   30-60 cm`: headings, and over every column of numbers a layer that begins where the
/// one before it ends. The headings and the layers; nothing for any other line.
pub(super) fn layers_of_columns(
    here: &[&Atom],
    table: &[Row],
    columns: &[Rect],
    name_right: f32,
    context: Context,
) -> Option<(Vec<Atom>, Vec<Atom>)> {
    let first = here.first().filter(|a| a.area.x0 < name_right)?;
    let names = first.label(context);
    let (layers, heads): (Vec<Atom>, Vec<Atom>) =
        here.iter().skip(1).map(|a| (*a).clone()).partition(|a| is_depth(&a.text));
    let ends: Vec<Depth> = layers.iter().filter_map(|a| depth(&a.text, None, false)).collect();
    let goes_on = ends.len() == layers.len()
        && ends.first().is_some_and(|d| d.top_cm == 0.0)
        && ends.windows(2).all(|pair| matches!(pair, [a, b] if (b.top_cm - a.bottom_cm).abs() < SAME));
    let over = |column: &Rect| layers.iter().filter(|a| a.area.overlap_x(column) > 0.0).count() == 1;
    let plain = heads.iter().all(|a| heading_word(a, context) || counts(a, context));
    (names.role == Some(Role::Analyte)
        && names.analyte.is_none()
        && layers.len() > 1
        && table.len() > 2
        && columns.len() == layers.len()
        && columns.iter().all(over)
        && goes_on
        && plain)
        .then_some((heads, layers))
}

/// Ends of layers nearer than this, in cm, are one.
const SAME: f64 = 0.3;
