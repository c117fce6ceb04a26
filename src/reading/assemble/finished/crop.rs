//! `Front lawn / bermuda`: a name, and behind a stroke what grows there.

use super::super::super::words::List;
use super::Found;

/// The name without what grows there.
fn without(label: &str) -> Option<String> {
    let text = label.trim_end_matches([')', ']']);
    let (name, crop) = [" - ", " / ", " | ", " · ", ", ", "; ", " (", " ["]
        .iter()
        .filter_map(|stroke| text.rsplit_once(*stroke))
        .max_by_key(|(name, _)| name.len())?;
    let name = name.trim();
    (List::Crop.has(&crop.trim().to_lowercase()) && name.contains(char::is_alphabetic))
        .then(|| name.to_owned())
}

/// What grows there comes off the names; next year it may be another.
pub(super) fn crops(labels: &[&str]) -> Vec<Option<Found>> {
    labels.iter().map(|label| without(label).map(Found::Planted)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_grows_there_comes_off_a_name() {
        for label in ["Moss / bermuda", "Moss - Tall fescue", "Moss, winter wheat", "Moss (turf)"] {
            assert_eq!(crops(&[label]), [Some(Found::Planted("Moss".to_owned()))], "{label}");
        }
        for label in ["Bermuda lawn", "Moss - north", "Turf", "3 - turf", "Moss bermuda"] {
            assert_eq!(crops(&[label]), [None], "{label}");
        }
    }
}
