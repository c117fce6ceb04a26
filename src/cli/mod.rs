//! Commands, global flags, exit codes.
