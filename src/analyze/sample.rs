//! A seeded Monte-Carlo band beside the sure bounds: the same numbers on every run and every machine.

/// How many samples a band is made of.
pub const SAMPLES: usize = 2_000;

/// A value between two ends, with the one taken as likely.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Uncertain {
    /// The least.
    pub low: f64,
    /// What is taken.
    pub likely: f64,
    /// The most.
    pub high: f64,
}

impl Uncertain {
    /// Known exactly.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self {
            low: value,
            likely: value,
            high: value,
        }
    }

    /// The value at a share `u` of a triangular distribution that peaks at the likely value; `u` in 0..=1.
    #[must_use]
    pub fn at(self, u: f64) -> f64 {
        let width = self.high - self.low;
        if width <= 0.0 {
            return self.likely;
        }
        let peak = ((self.likely - self.low) / width).clamp(0.0, 1.0);
        let share = if u < peak {
            (u * peak).sqrt()
        } else {
            1.0 - ((1.0 - u) * (1.0 - peak)).sqrt()
        };
        (self.low + width * share).clamp(self.low, self.high)
    }
}

/// 5, 50 and 95 % of the samples lie below these.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Percentiles {
    /// 5 %.
    pub p5: f64,
    /// 50 %.
    pub p50: f64,
    /// 95 %.
    pub p95: f64,
}

/// Draws every input at random [`SAMPLES`] times, seeded, and sorts what comes out.
///
/// Inputs are taken as independent; each follows a triangle that peaks at its likely value.
pub fn samples<const N: usize>(inputs: &[Uncertain; N], f: impl Fn(&[f64; N]) -> f64) -> Vec<f64> {
    let mut random = Random(0x6b65_796f_6666);
    let mut out: Vec<f64> = (0..SAMPLES)
        .map(|_| {
            let values = inputs.map(|input| input.at(random.unit()));
            f(&values)
        })
        .collect();
    out.sort_by(f64::total_cmp);
    out
}

/// The percentiles of sorted samples; not a number where there are none.
#[must_use]
pub fn percentiles(sorted: &[f64]) -> Percentiles {
    let at = |share: f64| {
        let index = (share * sorted.len().saturating_sub(1) as f64).round() as usize;
        sorted.get(index).copied().unwrap_or(f64::NAN)
    };
    Percentiles {
        p5: at(0.05),
        p50: at(0.50),
        p95: at(0.95),
    }
}

/// `SplitMix64`: small, and the same everywhere.
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((mixed ^ (mixed >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_stays_between_its_ends_and_leans_to_its_peak() {
        let one = Uncertain {
            low: 1.0,
            likely: 2.0,
            high: 5.0,
        };
        assert!((one.at(0.0) - 1.0).abs() < 1e-12);
        assert!((one.at(1.0) - 5.0).abs() < 1e-12);
        // A quarter of the area lies left of the peak, at a quarter of the width.
        assert!((one.at(0.25) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_band_is_the_same_twice() {
        let inputs = [Uncertain {
            low: 0.0,
            likely: 0.5,
            high: 1.0,
        }];
        let a = samples(&inputs, |values| values[0]);
        assert_eq!(a, samples(&inputs, |values| values[0]));
        let band = percentiles(&a);
        assert!(band.p5 < band.p50 && band.p50 < band.p95);
        assert!((band.p50 - 0.5).abs() < 0.03);
    }
}
