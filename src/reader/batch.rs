//! Many documents side by side, their results one by one in the order given, with bounded memory.

use std::collections::BTreeMap;
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Results that may wait for their turn, for each worker.
const AHEAD: usize = 16;

/// How long the next result is waited for before it is said not to be there: what is taken together costs less than the
/// same one by one, and a person waits no longer than this for it.
const PATIENCE: Duration = Duration::from_millis(250);

struct State<R> {
    next: usize,
    taken: usize,
    ready: BTreeMap<usize, R>,
    stop: bool,
    working: usize,
}

/// Works on all jobs with `workers` threads, each with a state of its own, and hands the results to `take` in the
/// order of the jobs, on the calling thread, and says whether the next one is there, or comes at once. `take` answers
/// false to end early.
pub fn in_order<'j, T: Sync, R: Send, W>(
    jobs: &'j [T],
    workers: usize,
    worker: impl Fn() -> W + Sync,
    work: impl Fn(&mut W, &T) -> R + Sync,
    mut take: impl FnMut(&'j T, R, bool) -> bool,
) {
    let workers = workers.clamp(1, jobs.len().max(1));
    let window = workers * AHEAD;
    let state =
        Mutex::new(State { next: 0, taken: 0, ready: BTreeMap::new(), stop: false, working: workers });
    let moved = Condvar::new();
    let lock = || state.lock().unwrap_or_else(PoisonError::into_inner);
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                let _leaving = Leaving { state: &state, moved: &moved };
                let mut own = worker();
                loop {
                    let mut s = lock();
                    while !s.stop && s.next < jobs.len() && s.next >= s.taken + window {
                        s = moved.wait(s).unwrap_or_else(PoisonError::into_inner);
                    }
                    let index = s.next;
                    let (false, Some(job)) = (s.stop, jobs.get(index)) else { return };
                    s.next += 1;
                    drop(s);
                    let result = work(&mut own, job);
                    lock().ready.insert(index, result);
                    moved.notify_all();
                }
            });
        }
        for (index, job) in jobs.iter().enumerate() {
            let mut s = lock();
            let result = loop {
                if let Some(result) = s.ready.remove(&index) {
                    break Some(result);
                }
                if s.working == 0 {
                    break None;
                }
                s = moved.wait(s).unwrap_or_else(PoisonError::into_inner);
            };
            s.taken = index + 1;
            moved.notify_all();
            let until = Instant::now() + PATIENCE;
            let next = loop {
                let left = until.saturating_duration_since(Instant::now());
                let there = s.ready.contains_key(&(index + 1));
                if there || index + 1 >= jobs.len() || s.working == 0 || left.is_zero() {
                    break there;
                }
                s = moved.wait_timeout(s, left).unwrap_or_else(PoisonError::into_inner).0;
            };
            drop(s);
            if result.is_none_or(|r| !take(job, r, next)) {
                lock().stop = true;
                moved.notify_all();
                return;
            }
        }
    });
}

struct Leaving<'a, R> {
    state: &'a Mutex<State<R>>,
    moved: &'a Condvar,
}

impl<R> Drop for Leaving<'_, R> {
    fn drop(&mut self) {
        self.state.lock().unwrap_or_else(PoisonError::into_inner).working -= 1;
        self.moved.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::in_order;

    #[test]
    fn results_come_in_the_order_of_the_jobs() {
        let jobs: Vec<u64> = (0..200).collect();
        let mut seen = Vec::new();
        in_order(
            &jobs,
            4,
            || (),
            |(), n| {
                std::thread::sleep(std::time::Duration::from_micros((n * 37) % 300));
                n * 2
            },
            |n, r, _| {
                assert_eq!(r, n * 2);
                seen.push(*n);
                true
            },
        );
        assert_eq!(seen, jobs);
    }

    #[test]
    fn an_early_end_and_no_jobs_both_end() {
        let mut seen = 0;
        in_order(
            &[1, 2, 3, 4],
            2,
            || (),
            |(), n| *n,
            |_, _, _| {
                seen += 1;
                seen < 2
            },
        );
        assert_eq!(seen, 2);
        in_order(&[] as &[u8], 2, || (), |(), n| *n, |_, _, _| true);
    }
}
