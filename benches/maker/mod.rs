//! Makes invented reports, and whole histories, at any scale. The same numbers give the same bytes.

pub mod scale;

pub mod soil;

pub mod paper;

pub mod pdf;

pub mod store;
