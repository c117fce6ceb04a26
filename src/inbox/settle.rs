//! When a dropped file is whole: its stamp has not changed for a while of our own clock, and nobody writes to it.

use super::listing::{Found, Stamp};
use std::collections::HashMap;
use std::path::PathBuf;
use std::time::Duration;

/// Remembers what was seen when. Times are counted from the start of the program: a start begins every wait anew.
#[derive(Debug)]
pub struct Settling {
    quiet: Duration,
    empty: Duration,
    seen: HashMap<PathBuf, (Stamp, Duration)>,
}

impl Settling {
    /// Waits `quiet` for a file, `empty` for a file without bytes.
    pub fn new(quiet: Duration, empty: Duration) -> Self {
        Self { quiet, empty, seen: HashMap::new() }
    }

    /// Takes a full listing at the time `now`; gives the files that are whole, in the listing's order.
    /// `written` tells whether somebody has the file open for writing; it is asked of quiet files alone.
    pub fn whole(
        &mut self,
        listing: Vec<Found>,
        now: Duration,
        mut written: impl FnMut(&Found) -> bool,
    ) -> Vec<Found> {
        let before = std::mem::take(&mut self.seen);
        let mut ready = Vec::new();
        for found in listing {
            let since = match before.get(&found.path) {
                Some((stamp, since)) if *stamp == found.stamp => *since,
                _ => now,
            };
            let wait = if found.stamp.size == 0 { self.empty } else { self.quiet };
            let quiet = now.saturating_sub(since) >= wait;
            let since = if quiet && written(&found) { now } else { since };
            self.seen.insert(found.path.clone(), (found.stamp, since));
            if now.saturating_sub(since) >= wait {
                ready.push(found);
            }
        }
        ready
    }

    /// Files that are still waited for.
    pub fn waiting(&self) -> usize {
        self.seen.len()
    }

    /// How long until the next file can be whole; none where nothing is waited for.
    pub fn next(&self, now: Duration) -> Option<Duration> {
        let wait = |stamp: &Stamp| if stamp.size == 0 { self.empty } else { self.quiet };
        self.seen.values().map(|(stamp, since)| (*since + wait(stamp)).saturating_sub(now)).min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(size: u64, second: i64) -> Found {
        Found { path: "a.pdf".into(), stamp: Stamp { device: 1, inode: 2, size, modified: (second, 0) } }
    }

    fn at(n: u64) -> Duration {
        Duration::from_millis(n)
    }

    #[test]
    fn a_file_is_whole_after_two_quiet_seconds_and_growth_starts_them_anew() {
        let mut s = Settling::new(at(2_000), at(600_000));
        let mut see = |size, second, now| s.whole(vec![found(size, second)], at(now), |_| false).len();
        assert_eq!(see(10, 1, 0), 0);
        assert_eq!(see(10, 1, 1_900), 0);
        assert_eq!(see(20, 1, 1_950), 0, "grown");
        assert_eq!(see(20, 1, 3_900), 0);
        assert_eq!(see(20, 1, 3_960), 1);
    }

    #[test]
    fn a_time_stamp_set_back_or_forward_is_only_a_change() {
        let mut s = Settling::new(at(2_000), at(600_000));
        assert!(s.whole(vec![found(5, 4_070_908_800)], at(0), |_| false).is_empty());
        assert!(s.whole(vec![found(5, 1)], at(2_000), |_| false).is_empty());
        assert_eq!(s.whole(vec![found(5, 1)], at(4_000), |_| false).len(), 1);
    }

    #[test]
    fn an_empty_file_waits_ten_minutes() {
        let mut s = Settling::new(at(2_000), at(600_000));
        assert!(s.whole(vec![found(0, 1)], at(0), |_| false).is_empty());
        assert!(s.whole(vec![found(0, 1)], at(599_000), |_| false).is_empty());
        assert_eq!(s.whole(vec![found(0, 1)], at(600_000), |_| false).len(), 1);
    }

    #[test]
    fn an_open_writer_starts_the_wait_anew() {
        let mut s = Settling::new(at(2_000), at(600_000));
        assert!(s.whole(vec![found(5, 1)], at(0), |_| true).is_empty());
        assert!(s.whole(vec![found(5, 1)], at(2_000), |_| true).is_empty());
        assert!(s.whole(vec![found(5, 1)], at(3_000), |_| false).is_empty());
        assert_eq!(s.whole(vec![found(5, 1)], at(4_000), |_| false).len(), 1);
    }
}
