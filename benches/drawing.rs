//! The four main charts of a site on one sheet.

use crate::maker::{scale, store};
use loamline::assessed;
use loamline::chart::{self, ChartInput, Width};
use loamline::config::Settings;
use loamline::soil::site::WHOLE;

fn input() -> ChartInput {
    let dir = tempfile::tempdir().unwrap();
    let history = store::fill(&dir.path().join("loamline.db"), 1, scale::seasons());
    let site = history.sites().unwrap().remove(0);
    let assessment = assessed::assessment(&history, &Settings::default(), site, assessed::today()).unwrap();
    chart::chart_input(&assessment, WHOLE).unwrap()
}

#[divan::bench]
fn four_as_svg(bencher: divan::Bencher<'_, '_>) {
    let input = input();
    bencher.bench(|| chart::svg(&chart::four(divan::black_box(&input), Width::Wide)).unwrap());
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn four_as_png(bencher: divan::Bencher<'_, '_>) {
    let input = input();
    bencher.bench(|| chart::png(&chart::four(divan::black_box(&input), Width::Wide)).unwrap());
}
