//! Seeded chance, so that every variant can be made again from its seed and number.

/// A small generator (SplitMix64): the same seed gives the same variants on every machine.
#[derive(Debug, Clone)]
pub struct Rng(u64);

impl Rng {
    /// A generator for one variant of a seed.
    pub fn new(seed: u64, index: u64) -> Self {
        let mut rng =
            Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ index.wrapping_mul(0xD1B5_4A32_D192_ED03));
        rng.next();
        rng
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number in `low..high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = f64::from(u32::try_from(self.next() >> 32).unwrap_or(0)) / f64::from(u32::MAX);
        low + share * (high - low)
    }

    /// A whole number in `0..n`; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        let n = u64::try_from(n).unwrap_or(1).max(1);
        usize::try_from(self.next() % n).unwrap_or(0)
    }

    /// True with this chance.
    pub fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    /// One of the words; empty where there is none.
    pub fn word<'a>(&mut self, words: &[&'a str]) -> &'a str {
        let i = self.below(words.len());
        words.get(i).copied().unwrap_or_default()
    }

    /// One of the items.
    pub fn pick<T: Clone>(&mut self, items: &[T]) -> Option<T> {
        let i = self.below(items.len());
        items.get(i).cloned()
    }

    /// Puts items in any order.
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            let j = self.below(i + 1);
            items.swap(i, j);
        }
    }
}
