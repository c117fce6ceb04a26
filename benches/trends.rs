//! The trends of many sites at once, from the store to every assessment.

use crate::maker::{scale, store};
use divan::counter::ItemsCount;
use loamline::assessed;
use loamline::config::Settings;

#[divan::bench(sample_count = 5, sample_size = 1)]
fn of_all_sites(bencher: divan::Bencher<'_, '_>) {
    let dir = tempfile::tempdir().unwrap();
    let sites = scale::sites();
    let history = store::fill(&dir.path().join("loamline.db"), sites, scale::seasons());
    let settings = Settings::default();
    bencher.counter(ItemsCount::new(sites)).bench_local(|| {
        let mut seen = 0;
        let all = history.sites().unwrap();
        assessed::each_assessment(&history, &settings, all, assessed::today(), |_| {
            seen += 1;
            Ok::<_, assessed::Error>(())
        })
        .unwrap();
        assert_eq!(seen, sites);
    });
}
