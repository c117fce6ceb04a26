//! One test program: a file a promise, most of them tried on the real program from outside.

mod check_values;
mod goldens;
mod ingest;
mod readme;
mod settle;
mod tidy;
mod watch;
mod world;
