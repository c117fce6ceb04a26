//! Conditions a guide puts on a scale (`turf@sand`, `corn@cec>5`, `lawn@new-york`): they hold only where known to.

use super::Context;
use super::source::items;
use crate::soil::Site;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// What a condition asks of the site.
    ConditionKind {
        Texture = "texture", Cec = "cec", Ph = "ph", NotCalcareous = "not-calcareous", Region = "region",
        Never = "never",
    }
}

/// What is not known where a condition asks for the region.
pub(super) const REGION: &str = "the region";

/// A condition.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// The word after `@`.
    pub id: String,
    kind: ConditionKind,
    low: Option<f64>,
    high: Option<f64>,
    words: Vec<String>,
}

/// Whether a condition holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Known to hold.
    Yes,
    /// Known not to hold.
    No,
    /// What it asks is not known; the word says what that is.
    Unknown(&'static str),
}

#[derive(Debug, Deserialize)]
struct Row {
    condition: String,
    kind: ConditionKind,
    low: Option<f64>,
    high: Option<f64>,
    words: String,
    #[serde(rename = "source")]
    _source: String,
}

static CONDITIONS: LazyLock<Result<Vec<Condition>, TableError>> =
    LazyLock::new(|| load(include_str!("conditions.csv")));

fn load(text: &str) -> Result<Vec<Condition>, TableError> {
    const TABLE: &str = "conditions.csv";
    (1..)
        .zip(rows::<Row>(TABLE, text)?)
        .map(|(number, row)| {
            let words = items(&row.words);
            let whole = match row.kind {
                ConditionKind::Texture | ConditionKind::Region => !words.is_empty(),
                ConditionKind::Cec | ConditionKind::Ph => row.low.is_some() || row.high.is_some(),
                ConditionKind::NotCalcareous | ConditionKind::Never => true,
            };
            let condition =
                Condition { id: row.condition, kind: row.kind, low: row.low, high: row.high, words };
            whole.then_some(condition).ok_or_else(|| TableError::new(TABLE, number, "it asks nothing"))
        })
        .collect()
}

/// The condition with this id.
///
/// # Errors
/// The built-in table is damaged.
pub fn condition(id: &str) -> Result<Option<&'static Condition>, TableError> {
    let all = CONDITIONS.as_ref().map_err(Clone::clone)?;
    Ok(all.iter().find(|condition| condition.id == id))
}

/// The words for textures that some condition knows, in order.
///
/// # Errors
/// The built-in table is damaged.
pub fn textures() -> Result<Vec<&'static str>, TableError> {
    let all = CONDITIONS.as_ref().map_err(Clone::clone)?;
    let mut words: Vec<&str> = all
        .iter()
        .filter(|condition| condition.kind == ConditionKind::Texture)
        .flat_map(|condition| condition.words.iter().map(String::as_str))
        .collect();
    words.sort_unstable();
    words.dedup();
    Ok(words)
}

/// A word in the guides' way: lower case, spaces and underlines as dashes.
pub fn word(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '_'], "-")
}

impl Condition {
    /// Whether it holds at a site. `calcareous` is what is known of free lime.
    pub fn holds(&self, site: &Site, context: &Context, calcareous: Option<bool>) -> Holds {
        match self.kind {
            ConditionKind::Texture => self.one_of(site.texture.as_deref(), "the texture"),
            ConditionKind::Region => self.one_of(site.region.as_deref(), REGION),
            ConditionKind::Cec => self.spans(context.cec, "the CEC"),
            ConditionKind::Ph => self.spans_from(context.water_ph, "the water pH"),
            ConditionKind::NotCalcareous => match calcareous {
                Some(false) => Holds::Yes,
                Some(true) => Holds::No,
                None => Holds::Unknown("free lime or the pH"),
            },
            ConditionKind::Never => Holds::No,
        }
    }

    fn one_of(&self, known: Option<&str>, what: &'static str) -> Holds {
        match known.map(word).filter(|word| !word.is_empty()) {
            None => Holds::Unknown(what),
            Some(word) if self.words.contains(&word) => Holds::Yes,
            Some(_) => Holds::No,
        }
    }

    /// Above the lower figure and up to the upper one: `<= 5` and `> 5` meet there.
    fn spans(&self, known: Option<f64>, what: &'static str) -> Holds {
        let Some(value) = known else { return Holds::Unknown(what) };
        let inside = self.low.is_none_or(|low| value > low) && self.high.is_none_or(|high| value <= high);
        if inside { Holds::Yes } else { Holds::No }
    }

    fn spans_from(&self, known: Option<f64>, what: &'static str) -> Holds {
        let Some(value) = known else { return Holds::Unknown(what) };
        let inside = self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value < high);
        if inside { Holds::Yes } else { Holds::No }
    }
}
