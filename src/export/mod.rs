//! The contract's tables, each column named once.
