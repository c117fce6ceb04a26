//! How the program speaks: stdout for people and other programs, stderr for progress and logs.

use crate::inbox::plain::plain;
use std::io::{self, IsTerminal, Write};

/// The one writer to stdout. A reader that went away is no failure: the rest is left unsaid.
#[derive(Debug)]
pub struct Say {
    out: io::Stdout,
}

impl Default for Say {
    fn default() -> Self {
        Self { out: io::stdout() }
    }
}

impl Say {
    /// A line for a person; text of documents in it loses control characters.
    ///
    /// # Errors
    /// What the output says, except that its reader went away.
    pub fn line(&mut self, text: impl AsRef<str>) -> io::Result<()> {
        self.raw(format!("{}\n", plain(text.as_ref())).as_bytes())
    }

    /// Several lines made by this program (a table), cleaned line by line.
    ///
    /// # Errors
    /// As [`Say::line`].
    pub fn block(&mut self, text: &str) -> io::Result<()> {
        text.lines().try_for_each(|l| self.line(l))
    }

    /// Bytes for another program, exactly.
    ///
    /// # Errors
    /// As [`Say::line`].
    pub fn raw(&mut self, bytes: &[u8]) -> io::Result<()> {
        gone_is_fine(self.out.write_all(bytes))
    }

    /// A value as JSON on one line.
    ///
    /// # Errors
    /// As [`Say::line`].
    pub fn json(&mut self, value: &impl serde::Serialize) -> io::Result<()> {
        let mut text = serde_json::to_vec_pretty(value).map_err(io::Error::other)?;
        text.push(b'\n');
        self.raw(&text)
    }

    /// Everything said is out.
    ///
    /// # Errors
    /// As [`Say::line`].
    pub fn flush(&mut self) -> io::Result<()> {
        gone_is_fine(self.out.flush())
    }
}

fn gone_is_fine(result: io::Result<()>) -> io::Result<()> {
    match result {
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => std::process::exit(0),
        other => other,
    }
}

/// A sentence on stderr.
pub fn complain(text: &str) {
    let _ = writeln!(io::stderr(), "{}", plain(text));
}

/// A table with these headings, without colours; columns after the first align as comfy-table sees fit.
pub fn table(headings: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut table = comfy_table::Table::new();
    table.load_style(comfy_table::presets::NOTHING);
    table.set_header(headings.iter().copied());
    for row in rows {
        table.add_row(row.iter().map(|c| plain(c)));
    }
    if io::stdout().is_terminal() {
        table.set_content_arrangement(comfy_table::ContentArrangement::Dynamic);
    }
    table.to_string()
}

/// How far a long work is, with its rate and the time left, on a terminal; nothing elsewhere.
pub fn progress(length: usize) -> indicatif::ProgressBar {
    if !io::stderr().is_terminal() || length < 2 {
        return indicatif::ProgressBar::hidden();
    }
    let bar = indicatif::ProgressBar::new(length as u64);
    match indicatif::ProgressStyle::with_template(PROGRESS) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

const PROGRESS: &str = "{bar:30} {pos} of {len}, {per_sec}, {eta} left";

/// `1 reading`, `2 readings`.
pub fn count(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_line_of_progress_can_be_shown() {
        assert!(indicatif::ProgressStyle::with_template(super::PROGRESS).is_ok());
    }
}
