//! The last lines of this process's log, kept in memory for the page about the service.

use std::collections::VecDeque;
use std::io;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Lines kept.
const LINES: usize = 1_000;

/// Letters kept of a line.
const LETTERS: usize = 600;

static RECENT: Mutex<VecDeque<String>> = Mutex::new(VecDeque::new());

/// The lines, the newest first.
pub fn lines() -> Vec<String> {
    kept().iter().rev().cloned().collect()
}

fn kept() -> MutexGuard<'static, VecDeque<String>> {
    // A line half added is still a line.
    RECENT.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Writes lines of the log down; one event comes in one piece.
#[derive(Debug, Clone, Copy, Default)]
pub struct Pen;

impl io::Write for Pen {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut kept = kept();
        for line in String::from_utf8_lossy(bytes).lines() {
            if kept.len() == LINES {
                kept.pop_front();
            }
            kept.push_back(line.chars().take(LETTERS).collect());
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn the_last_thousand_lines_are_kept_and_none_without_end() {
        for n in 0..1_500 {
            Pen.write_all(format!("line {n}\n").as_bytes()).unwrap();
        }
        Pen.write_all("é".repeat(5_000).as_bytes()).unwrap();
        let lines = lines();
        assert_eq!((lines.len(), lines[1].as_str(), lines[999].as_str()), (1_000, "line 1499", "line 501"));
        assert_eq!(lines[0].chars().count(), LETTERS);
    }
}
