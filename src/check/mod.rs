//! Does what was read agree with itself: ranges, and chemistry as the witness.
