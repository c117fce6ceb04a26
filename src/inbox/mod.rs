//! The drop folder: what lies in it, what of it is whole, and where it goes. A listing is the truth; events only wake.

pub mod plain;

pub mod listing;

pub mod settle;

pub mod writers;

pub mod put_away;

pub mod wake;
