//! Sheets and table files made plain before they are read: names that stand on another sheet, numbers set behind names,
//! marks of a machine for what is missing.

mod bracketed;
mod machine;
mod register;
mod seasons;
mod shift;
mod slurry;
mod two_names;

pub use machine::spelled;

use super::layout::Layout;

/// The pages, each sheet of results with the names that another sheet gives its codes.
pub fn plain(pages: Vec<Layout>) -> Vec<Layout> {
    two_names::joined(register::named(bracketed::apart(machine::plain(slurry::told(seasons::latest(pages))))))
}
