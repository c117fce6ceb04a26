//! A word for the client on what the assessment leaves alone.

use crate::flag::LeaveAlone;
use crate::soil::Analyte;

/// The sentence in plain words.
pub(super) fn plain(said: &LeaveAlone) -> String {
    let name = said.analyte.name().split(" (").next().unwrap_or_default();
    let applies = said.reason.starts_with("Apply no ");
    match said.analyte {
        Analyte::Ph if applies => "No lime until the laboratory has measured how much this soil takes.".into(),
        Analyte::Ph => "The pH stays as it is: the grass does well on it, or the soil cannot be changed.".into(),
        Analyte::Calcium if applies => "No gypsum: low calcium here is a matter of lime.".into(),
        Analyte::Calcium => "Calcium is left alone: on this soil its figure asks for nothing.".into(),
        Analyte::SatNa if applies => "No gypsum: there is too little sodium for it to help.".into(),
        Analyte::SatNa => "Nothing against sodium until the salts are measured too.".into(),
        Analyte::SatK | Analyte::SatCa | Analyte::SatMg => {
            "Nothing to shift the balance of calcium, magnesium and potassium: no best balance was ever found.".into()
        }
        Analyte::Sulfur => "No sulfur: a soil test tells too little about it.".into(),
        Analyte::Boron => "No boron: a little too much does harm, and one low test is no proof.".into(),
        Analyte::Zinc | Analyte::Iron | Analyte::Manganese | Analyte::Copper => {
            format!("No {name}: a low test alone does not show that the grass would answer.")
        }
        Analyte::Phosphorus if said.reason.contains("on this result") => {
            "No phosphorus on this test: on such soil it reads low, and another test is needed.".into()
        }
        _ => format!("No {name}: the soil holds more than the grass can use."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plenty_a_spoilt_test_and_a_low_one_are_told_apart() {
        let of = |analyte, reason: &str| {
            plain(&LeaveAlone { zone: "whole".into(), analyte, reason: reason.into(), source: String::new() })
        };
        assert!(of(Analyte::Phosphorus, "Apply no phosphorus (P): 60 is above 55").contains("more than"));
        assert!(of(Analyte::Phosphorus, "Apply no phosphorus on this result: Bray").contains("another test"));
        assert!(of(Analyte::Ph, "Apply no lime on the pH of 5.1 alone").contains("No lime until"));
        assert!(of(Analyte::Ph, "Leave the pH of 7.8 alone").contains("stays"));
        assert!(of(Analyte::Zinc, "Apply no zinc (Zn) on this result").starts_with("No zinc:"));
    }
}
