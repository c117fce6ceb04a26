//! How long a person waits for the first word.

use crate::maker::{scale, store};
use crate::program::Place;

#[divan::bench(sample_count = 20, sample_size = 1)]
fn help(bencher: divan::Bencher<'_, '_>) {
    let place = Place::new();
    bencher.bench(|| place.run(&["--help"]));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn flags_of_one_site(bencher: divan::Bencher<'_, '_>) {
    let place = Place::new();
    place.run(&["sites"]);
    drop(store::fill(&place.home().join("loamline.db"), 20, scale::seasons()));
    let site = store::id(3);
    bencher.bench(|| place.run(&["flags", "--site", &site]));
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn flags_of_all_sites(bencher: divan::Bencher<'_, '_>) {
    let place = Place::new();
    place.run(&["sites"]);
    drop(store::fill(&place.home().join("loamline.db"), scale::sites(), scale::seasons()));
    bencher.bench(|| place.run(&["flags"]));
}
