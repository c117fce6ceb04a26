//! What grows on each piece of ground, in a row of its own under the names of the samples.

use super::super::words::List;

/// How many cells of a row under names say what grows there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Planted {
    /// None of them.
    None,
    /// Half of them at least, and too few to be sure that no other is a word of a name.
    Some,
    /// All, or so many that the rest, of one word each, can be nothing else.
    All,
}

/// Beside so many that are known one may grow what no list holds.
const STRANGE: usize = 3;

/// What the cells of a row are, each under a name.
pub fn planted(cells: &[&str]) -> Planted {
    let grows = |text: &&&str| List::Crop.has(&text.to_lowercase());
    let known = cells.iter().filter(grows).count();
    let strange = cells.len().saturating_sub(known);
    let short = || cells.iter().filter(|text| text.contains(' ')).all(|text| grows(&text));
    match known {
        0 => Planted::None,
        _ if known > 1 && strange * STRANGE <= known && short() => Planted::All,
        _ if known >= strange => Planted::Some,
        _ => Planted::None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_what_grows_is_told_from_names() {
        assert_eq!(planted(&["Oats", "Tall fescue", "Olivo", "Vigne", "Sward"]), Planted::All);
        assert_eq!(planted(&["Oats", "Sward"]), Planted::Some);
        assert_eq!(planted(&["Oats", "Olivo", "Vigne", "Viña", "Far sward"]), Planted::Some);
        assert_eq!(planted(&["Oats"]), Planted::Some);
        assert_eq!(planted(&["Oats", "North", "West"]), Planted::None);
    }
}
