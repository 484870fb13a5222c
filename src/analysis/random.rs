//! Random numbers by counting: the n-th number of a stream is a hash of seed, sample and place.
//!
//! Any sample can be drawn alone, so samples may be drawn in any order and in parallel.
//!
//! The hash is the finaliser of `SplitMix64`. Source: G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom
//! number generators", OOPSLA 2014 (constants from memory; the first outputs of seed 1234567 are checked in the test).

/// The odd step of `SplitMix64`, 2^64 over the golden ratio.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;
/// Numbers set apart for one sample.
const PER_SAMPLE: u64 = 1 << 12;

const fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// The numbers of one sample.
pub(super) struct Draws {
    state: u64,
}

impl Draws {
    /// Of sample `sample` under a seed.
    pub(super) const fn of(seed: u64, sample: u64) -> Self {
        Self { state: seed.wrapping_add(STEP.wrapping_mul(sample.wrapping_mul(PER_SAMPLE))) }
    }

    const fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(STEP);
        mix(self.state)
    }

    /// Uniform, at least 0 and below 1.
    pub(super) fn uniform(&mut self) -> f64 {
        (self.next() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }

    /// Standard normal within `most` either way: what falls beyond is drawn again.
    ///
    /// `√(−2 ln u) cos 2πv`. Source: G. E. P. Box and M. E. Muller, Ann. Math. Stat. 29 (1958) 610 (from memory).
    pub(super) fn normal_within(&mut self, most: f64) -> f64 {
        // One in 370 falls beyond three standard deviations; a hundred in a row never do.
        for _ in 0..100 {
            let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
            let value = radius * (std::f64::consts::TAU * self.uniform()).cos();
            if value.abs() <= most {
                return value;
            }
        }
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the outputs of the reference `splitmix64.c` for the seed 1234567, as widely used for checks (from memory).
    #[test]
    fn the_first_numbers_are_those_of_splitmix64() {
        let mut draws = Draws { state: 1_234_567 };
        assert_eq!(draws.next(), 6_457_827_717_110_365_317);
        assert_eq!(draws.next(), 3_203_168_211_198_807_973);
        assert_eq!(draws.next(), 9_817_491_932_198_370_423);
    }

    /// Source: moments of the two distributions (mathematics); a normal cut at 3 σ has a variance of 0.9733.
    #[test]
    fn moments_are_those_of_the_distributions() {
        let count = 200_000_u64;
        let moments = |draw: fn(&mut Draws) -> f64| {
            let values: Vec<f64> = (0..count).map(|n| draw(&mut Draws::of(7, n))).collect();
            let mean = values.iter().sum::<f64>() / count as f64;
            (mean, values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count as f64)
        };
        let (mean, variance) = moments(Draws::uniform);
        assert!((mean - 0.5).abs() < 0.003 && (variance - 1.0 / 12.0).abs() < 0.001, "{mean} {variance}");
        let (mean, variance) = moments(|draws| draws.normal_within(3.0));
        assert!(mean.abs() < 0.01 && (variance - 0.9733).abs() < 0.01, "{mean} {variance}");
    }
}
