//! What to put down this season, what to leave alone, what to settle first, and when to test again.

pub mod sources;

pub mod limits;

pub mod nutrients;

pub mod fertiliser;

pub mod lime;

pub mod lime_table;

pub mod gypsum;
