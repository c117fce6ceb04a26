//! ODS.

use super::super::packed::Packed;
use super::super::{Document, Limits, Refusal};
use super::{damaged, locked};

pub(super) fn open(_packed: &mut Packed<'_>, _limits: &Limits) -> Result<Document, Refusal> {
    let _ = locked();
    Err(damaged())
}
