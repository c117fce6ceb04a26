//! Reads untrusted bytes in a child process with limits.

pub mod recognise;
