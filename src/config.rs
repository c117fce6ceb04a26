//! loamline.toml: settings with defaults, and errors that name the line.
