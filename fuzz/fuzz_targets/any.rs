//! The driver guided by coverage; the name of the program says the target.

#![no_main]

use libfuzzer_sys::fuzz_target;
use loamline_fuzz::TARGETS;

fuzz_target!(|data: &[u8]| {
    let target = TARGETS.iter().find(|(name, _)| *name == env!("CARGO_BIN_NAME"));
    target.expect("a target of that name").1(data);
});
