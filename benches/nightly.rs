//! One night: 100 new reports in histories of growing size. The cost is to follow what came, not what was ever kept.

use crate::maker::{paper, scale, store};
use crate::program::{Place, write};

/// New reports of a night.
const NEW: usize = 100;

#[divan::bench(args = scale::histories(), sample_count = 3, sample_size = 1)]
fn after_100_new_reports(bencher: divan::Bencher<'_, '_>, sites: usize) {
    // The last season of as many sites as there are reports, one sample each.
    let season = scale::seasons();
    let reports = paper::papers(0..sites.min(NEW), season, 1);
    let settled = Place::new();
    settled.run(&["sites"]);
    drop(store::fill(&settled.home().join("loamline.db"), sites, season));
    // What a first night draws belongs to the history, not to this one.
    settled.settings("[watch]\nsettle_seconds = 0.01\n");
    settled.run(&["nightly"]);
    bencher
        .with_inputs(|| {
            let place = Place::new();
            copy(&settled.home(), &place.home());
            write(&place.home().join("inbox"), &reports);
            place
        })
        .bench_local_values(|place| {
            place.run(&["nightly"]);
            place
        });
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}
