//! One test program: a file a promise.

mod check_values;
