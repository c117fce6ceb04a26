//! How large the work is.

fn number(name: &str, otherwise: usize) -> usize {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

/// Sites whose trends are made, charts drawn and pages shown (1,000).
pub fn sites() -> usize {
    number("LOAMLINE_BENCH_SITES", 1_000)
}

/// Seasons of every site (5).
pub fn seasons() -> usize {
    number("LOAMLINE_BENCH_SEASONS", 5)
}

/// Files of a batch (100).
pub fn files() -> usize {
    number("LOAMLINE_BENCH_FILES", 100)
}

/// Sizes of the history that a night is measured in: 100, 1,000, 10,000 sites up to a largest one (1,000).
pub fn histories() -> Vec<usize> {
    let most = number("LOAMLINE_BENCH_MOST_SITES", 1_000);
    [100, 1_000, 10_000, 100_000].into_iter().filter(|sites| *sites <= most).collect()
}
