//! What the tables of a page stand among.

use super::super::number::Decimal;
use super::super::vocabulary::Context;

/// What the tables of a page stand among.
#[derive(Clone, Copy)]
pub struct Around<'a> {
    /// Which readings of short phrases the document allows.
    pub context: Context,
    /// How it writes decimals.
    pub decimal: Decimal,
    /// All its text.
    pub text: &'a str,
    /// The latest year in its dates.
    pub year: Option<i16>,
}
