//! The store: the only folder that speaks SQL.
