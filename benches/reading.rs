//! From the bytes of a report to its checked readings, an arrangement each.

use crate::maker::paper::{Arrangement, paper};
use loamline::document::{self, Limits};
use loamline::{check, reading};

#[divan::bench(args = Arrangement::ALL)]
fn of_a_report(bencher: divan::Bencher<'_, '_>, arrangement: Arrangement) {
    let made = paper(arrangement, 0..20, 3);
    let limits = Limits::default();
    let read = |bytes: &[u8]| {
        let mut reports = reading::read(&document::open(bytes, &limits).unwrap()).unwrap();
        reports.iter_mut().for_each(check::check);
        reports.iter().flat_map(|r| &r.samples).map(|s| s.readings.len()).sum::<usize>()
    };
    // Less than what is printed would be quicker for a bad reason.
    assert_eq!(read(&made.bytes), made.readings, "{arrangement:?}");
    bencher.bench(|| read(divan::black_box(&made.bytes)));
}
