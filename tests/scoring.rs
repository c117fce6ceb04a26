//! The reading bench's own parts, for the tests that stand on them.

#![allow(dead_code, reason = "a test takes a part of the bench, the bench all of it")]

#[path = "../src/bin/reading-score/compare.rs"]
pub mod compare;
#[path = "../src/bin/reading-score/mutation.rs"]
pub mod mutation;
#[path = "../src/bin/reading-score/relaid/mod.rs"]
pub mod relaid;
#[path = "../src/bin/reading-score/rows.rs"]
pub mod rows;
