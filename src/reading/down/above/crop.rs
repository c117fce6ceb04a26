//! What grows on each piece of ground, in a row of its own under the names of the samples.

use super::super::super::atom::Atom;
use super::super::super::words::List;

/// How many cells of a row under names say what grows there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Planted {
    /// None of them.
    None,
    /// Too few to be sure that no other is a word of a name.
    Some,
    /// All, or so many that the rest, of one word each, can be nothing else.
    All,
}

/// Beside so many that are known one may grow what no list holds.
const STRANGE: usize = 3;

/// What the cells of a row are, each under a name.
pub(super) fn planted(cells: &[Atom]) -> Planted {
    let known = cells.iter().filter(|a| List::Crop.has(&a.text.to_lowercase())).count();
    let strange = cells.len().saturating_sub(known);
    let short = || cells.iter().filter(|a| a.text.contains(' ')).all(|a| List::Crop.has(&a.text.to_lowercase()));
    match known {
        0 => Planted::None,
        _ if known > 1 && strange * STRANGE <= known && short() => Planted::All,
        _ => Planted::Some,
    }
}

#[cfg(test)]
mod tests {
    use super::super::examples::name;
    use super::*;

    fn of(texts: &[&str]) -> Planted {
        planted(&texts.iter().map(|t| name(t, 0.0, 9.0, None)).collect::<Vec<_>>())
    }

    #[test]
    fn a_row_of_what_grows_is_told_from_names() {
        assert_eq!(of(&["Oats", "Tall fescue", "Olivo", "Vigne", "Sward"]), Planted::All);
        assert_eq!(of(&["Oats", "Sward"]), Planted::Some);
        assert_eq!(of(&["Oats", "Olivo", "Vigne", "Viña", "Far sward"]), Planted::Some);
        assert_eq!(of(&["Oats"]), Planted::Some);
        assert_eq!(of(&["North", "West"]), Planted::None);
    }
}
