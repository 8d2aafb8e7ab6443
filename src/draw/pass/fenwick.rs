//! Sums over the front of a list that changes, in logarithmic time: for counting crossings.

/// A Fenwick tree of counts.
pub struct Fenwick(Vec<u32>);

impl Fenwick {
    /// With this many places, all zero.
    pub fn new(places: usize) -> Self {
        Self(vec![0; places + 1])
    }

    /// Adds one at a place.
    pub fn add(&mut self, place: usize) {
        let mut at = place + 1;
        while at < self.0.len() {
            self.0[at] += 1;
            at += at & at.wrapping_neg();
        }
    }

    /// Sum of the places up to and with this one.
    pub fn up_to(&self, place: usize) -> u32 {
        let mut at = place + 1;
        let mut sum = 0;
        while at > 0 {
            sum += self.0[at];
            at -= at & at.wrapping_neg();
        }
        sum
    }
}
