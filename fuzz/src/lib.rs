//! What any bytes may be thrown at, and what must hold whatever they are. One table of targets, two drivers:
//! `fuzz_targets/any.rs` for runs guided by coverage, `tests/fuzz.rs` for bounded ones on a stable toolchain.

pub mod documents;
pub mod holds;
pub mod names;
pub mod settings;
pub mod words;

/// One target: a panic is a find.
pub type Target = fn(&[u8]);

/// Every target by its name; `corpus/NAME/` holds its seeds.
pub const TARGETS: &[(&str, Target)] = &[
    ("numbers", words::numbers),
    ("dates", words::dates),
    ("labels", words::labels),
    ("units", words::units),
    ("names", names::names),
    ("queries", names::queries),
    ("settings", settings::settings),
    ("products", settings::products),
    ("roster", settings::roster),
    ("frames", settings::frames),
    ("delimited", documents::delimited),
    ("monospaced", documents::monospaced),
    ("html", documents::html),
    ("exchange", documents::exchange),
    ("mail", documents::mail),
    ("archive", documents::archive),
    ("workbook", documents::workbook),
    ("parts", documents::parts),
    ("image", documents::image),
    ("pdf", documents::pdf),
    ("glyphs", documents::glyphs),
    ("document", documents::document),
];
