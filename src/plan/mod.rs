//! What to put down this season, what to leave alone, what to settle first, and when to test again.

pub mod sources;

pub mod limits;

pub mod nutrients;

pub mod fertiliser;

pub mod lime;

pub mod lime_table;

pub mod gypsum;

pub mod product;

pub mod application;

pub mod settings;

pub mod removal;

pub mod nitrogen;

pub mod recommended;

pub mod dates;

pub mod need;

pub mod liming;

pub mod amend;

pub mod ledger;

pub mod cautions;

pub mod outcome;

pub mod demand;

pub mod rows;

pub mod ical;

pub mod letter;

pub mod choose;

mod put_down;

pub mod retest;

mod plain;

mod law;

mod amendments;

mod zone;

mod build;

#[cfg(test)]
mod worked;

pub use application::{Application, Put};
pub use build::{plan, with_settings};
pub use outcome::{Plan, Planned};
pub use product::Product;
pub use recommended::Recommended;
pub use settings::SiteSettings;
