//! What to apply, what to leave alone and why, when to test again.
