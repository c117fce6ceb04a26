//! The home folder: its paths, made on first use.
