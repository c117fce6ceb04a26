//! What to bear in mind with what is put down, from `cautions.csv`.

use super::sources::known;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

contract_ids! {
    /// When a caution is said.
    Occasion {
        Always = "always", Fertiliser = "fertiliser", Liquid = "liquid", Lime = "lime", Gypsum = "gypsum",
        Acidifying = "acidifying",
    }
}

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    /// Short name.
    pub id: String,
    /// When it is said.
    pub when: Occasion,
    /// The sentence.
    pub sentence: String,
    /// Source key.
    pub source: String,
}

static CAUTIONS: LazyLock<Result<Vec<Caution>, TableError>> = LazyLock::new(|| {
    const TABLE: &str = "cautions.csv";
    let all: Vec<Caution> = rows(TABLE, include_str!("cautions.csv"))?;
    for (number, caution) in (1..).zip(&all) {
        known(TABLE, number, &caution.source)?;
    }
    Ok(all)
});

/// The cautions for what a plan does; what is said always comes with any application.
///
/// # Errors
/// The built-in table is damaged.
pub fn cautions(occasions: &[Occasion]) -> Result<Vec<Caution>, TableError> {
    let all = CAUTIONS.as_ref().map_err(Clone::clone)?;
    let asked = |caution: &&Caution| caution.when == Occasion::Always || occasions.contains(&caution.when);
    Ok(all.iter().filter(asked).filter(|_| !occasions.is_empty()).cloned().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cautions_go_with_what_is_done_and_nothing_done_needs_none() {
        let ids = |occasions: &[Occasion]| -> Vec<String> {
            cautions(occasions).unwrap().into_iter().map(|caution| caution.id).collect()
        };
        assert_eq!(ids(&[]), Vec::<String>::new());
        let feed = ids(&[Occasion::Fertiliser]);
        assert!(
            ["label", "rules", "licence", "mix", "weather", "water-in", "children"]
                .iter()
                .all(|id| feed.contains(&(*id).to_owned()))
        );
        assert!(!feed.contains(&"lime-skin".to_owned()));
        assert!(ids(&[Occasion::Lime]).contains(&"lime-skin".to_owned()));
    }
}
