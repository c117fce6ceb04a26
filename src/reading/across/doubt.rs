//! What is said of numbers whose heading was not read whole, and how a doubt is laid on whole rows.

use super::super::found::FoundSample;
use crate::soil::Doubt;

/// Said of every number under a heading that was not read to its end.
pub fn heading_unread() -> Doubt {
    Doubt::new("heading-unread", "A line at the heading of this table was not understood.")
}

/// Adds a doubt to every reading that has it not yet.
pub fn doubt_all(samples: &mut [FoundSample], doubt: Option<&Doubt>) {
    let Some(doubt) = doubt else { return };
    for reading in samples.iter_mut().flat_map(|s| &mut s.readings) {
        if !reading.doubts.contains(doubt) {
            reading.doubts.push(doubt.clone());
        }
    }
}
