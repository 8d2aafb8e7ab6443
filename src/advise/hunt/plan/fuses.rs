//! Sets of fuses, and how long handling them makes one wait.

use super::MOST_SORTED;
use super::Puzzle;

const WORDS: usize = MOST_SORTED / 64;

/// A set of fuses by number, up to [`MOST_SORTED`] of them.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Fuses([u64; WORDS]);

impl Fuses {
    pub(super) fn add(&mut self, fuse: usize) {
        if let Some(word) = self.0.get_mut(fuse / 64) {
            *word |= 1 << (fuse % 64);
        }
    }

    pub(super) fn has(self, fuse: usize) -> bool {
        let word = self.0.get(fuse / 64);
        word.is_some_and(|word| word >> (fuse % 64) & 1 == 1)
    }

    pub(super) fn count(self) -> u32 {
        self.0.iter().map(|word| word.count_ones()).sum()
    }

    pub(super) fn without(mut self, other: Self) -> Self {
        for (word, other) in self.0.iter_mut().zip(other.0) {
            *word &= !other;
        }
        self
    }

    fn meets(self, other: Self) -> bool {
        self.0
            .iter()
            .zip(other.0)
            .any(|(word, other)| word & other != 0)
    }

    /// In rising order.
    pub(super) fn list(self) -> Vec<usize> {
        (0..MOST_SORTED).filter(|&fuse| self.has(fuse)).collect()
    }
}

impl FromIterator<usize> for Fuses {
    fn from_iter<T: IntoIterator<Item = usize>>(fuses: T) -> Self {
        let mut set = Self::default();
        fuses.into_iter().for_each(|fuse| set.add(fuse));
        set
    }
}

/// Waits, longest first, and which fuses make one wait so long.
pub(super) struct Waits {
    pull: Vec<(f64, Fuses)>,
    refit: Vec<(f64, Fuses)>,
}

impl Waits {
    pub(super) fn of(puzzle: &Puzzle) -> Self {
        Self {
            pull: by_length(&puzzle.pull_wait),
            refit: by_length(&puzzle.refit_wait),
        }
    }

    /// The longest wait after these were pulled and put back.
    pub(super) fn after(&self, pull: Fuses, refit: Fuses) -> f64 {
        let longest = |waits: &[(f64, Fuses)], handled: Fuses| {
            let met = waits.iter().find(|(_, fuses)| fuses.meets(handled));
            met.map_or(0.0, |(wait, _)| *wait)
        };
        longest(&self.pull, pull).max(longest(&self.refit, refit))
    }
}

fn by_length(waits: &[f64]) -> Vec<(f64, Fuses)> {
    let mut lengths: Vec<f64> = waits.iter().copied().filter(|wait| *wait > 0.0).collect();
    lengths.sort_by(|a, b| b.total_cmp(a));
    lengths.dedup();
    lengths
        .into_iter()
        .map(|length| {
            let so_long = (0..waits.len()).filter(|&fuse| waits[fuse] >= length);
            (length, so_long.collect())
        })
        .collect()
}
