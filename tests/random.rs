//! Random numbers that are the same on every machine.

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory): small, and good enough to draw test cases.
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0xD6E8_FEB8_6659_FD93) ^ 0x5851_F42D_4C95_7F2D)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// At least `from` and below `to`.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit an f64")]
    pub(crate) fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * ((self.next() >> 11) as f64 / 9_007_199_254_740_992.0)
    }
    /// One of `0..n`.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(n).expect("a small count")).expect("below a small count")
    }
    /// Normal with deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let u = 1.0 - self.between(0.0, 1.0);
        (-2.0 * u.ln()).sqrt() * self.between(0.0, std::f64::consts::TAU).cos()
    }
    /// `count` different ones of `0..n`, rising.
    pub(crate) fn choose(&mut self, n: usize, count: usize) -> Vec<usize> {
        let mut all: Vec<usize> = (0..n).collect();
        for i in 0..count {
            let j = i + self.below(n - i);
            all.swap(i, j);
        }
        all.truncate(count);
        all.sort_unstable();
        all
    }
}
