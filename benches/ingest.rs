//! A batch of files from the disk to a durable history: the program from outside, its reading processes included.

use crate::maker::{paper, scale};
use crate::program::{Place, write};
use divan::counter::ItemsCount;

#[divan::bench(sample_count = 5, sample_size = 1)]
fn of_a_batch(bencher: divan::Bencher<'_, '_>) {
    let files =
        paper::papers(0..scale::files() * 4, 0, 20).into_iter().take(scale::files()).collect::<Vec<_>>();
    bencher
        .counter(ItemsCount::new(files.len()))
        .with_inputs(|| {
            let place = Place::new();
            write(&place.folder("given"), &files);
            place
        })
        .bench_local_values(|place| {
            place.run(&["ingest", place.folder("given").to_str().unwrap()]);
            place
        });
}
