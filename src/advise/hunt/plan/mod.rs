//! Which fuse next: a hunt for one draw, told apart from any vehicle.
//!
//! The draw sits behind one of the fuses, or past all of them. Pulling a fuse makes dark whatever lies behind it; a reading of
//! the total then tells whether the draw is in what is dark or in what is lit, a reading across a fuse whether it is behind
//! that fuse. Work is one unit for each fuse handled and one for each reading, and the wait where handling wakes modules. The
//! next step is the first of those that need the least expected work until one place is left.
//!
//! Up to [`MOST_EXACT`] fuses the answer is the optimum, by dynamic programming over what is suspected and what is out. Beyond
//! that it is the optimum among steps that take a stretch of the suspects off one end of an order in which everything behind
//! a fuse stands together; `sorted` says why that is near.

mod exact;
mod fuses;
mod sorted;

/// Up to so many fuses with suspects behind them the plan is the optimum.
pub const MOST_EXACT: usize = 8;

/// Beyond so many fuses with suspects behind them only the likeliest are gone through.
pub const MOST_SORTED: usize = 256;

/// What it is taken to need where nothing that may be handled tells suspects apart: more than any plan that does.
const APART_BY_HAND: Work = Work {
    units: 1000.0,
    handled: 0.0,
    readings: 0.0,
};

/// A hunt: fuses are numbered, and the place after the last fuse is what flows past all of them.
#[derive(Clone, PartialEq, Debug)]
pub struct Puzzle {
    /// By fuse: the nearest fuse that feeds it.
    pub parent: Vec<Option<usize>>,
    /// How likely the draw is there: behind each fuse and no further one, and last, past all of them. Not below nothing; need
    /// not add up to one.
    pub weight: Vec<f64>,
    /// By fuse: pulled now.
    pub out: Vec<bool>,
    /// By fuse: must not be handled; none that is out is.
    pub fixed: Vec<bool>,
    /// By fuse: the draw would show in millivolts across it.
    pub across: Vec<bool>,
    /// By fuse: expected wait after it was pulled, in units of work.
    pub pull_wait: Vec<f64>,
    /// By fuse: expected wait after it was put back.
    pub refit_wait: Vec<f64>,
    /// By reading of the total: the fuses that were out. What goes dark then was told already and is no step any more, though
    /// suspects may be left on both sides, for two draws may be at work.
    pub told: Vec<Vec<bool>>,
}

/// What is still to be done, on average.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Work {
    /// In units: fuses handled, readings, waits.
    pub units: f64,
    /// Fuses handled.
    pub handled: f64,
    /// Readings.
    pub readings: f64,
}

impl Work {
    fn plus(self, share: f64, other: Self) -> Self {
        Self {
            units: self.units + share * other.units,
            handled: self.handled + share * other.handled,
            readings: self.readings + share * other.readings,
        }
    }
}

/// The next step.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// Fuses to pull.
    pub pull: Vec<usize>,
    /// Fuses to put back.
    pub refit: Vec<usize>,
    /// The fuse to read across; the total where none.
    pub across: Option<usize>,
    /// Expected work from here until one place is left, this step included.
    pub work: Work,
}

/// The step to take now; nothing where one place is left, or where nothing that may be handled tells those left apart. Costs
/// at most about `5^n` sums for `n` fuses up to [`MOST_EXACT`], and beyond that `n^3`.
#[must_use]
pub fn next(puzzle: &Puzzle) -> Option<Step> {
    let suspects = puzzle.weight.iter().filter(|weight| **weight > 0.0).count();
    if suspects < 2 {
        return None;
    }
    if puzzle.relevant() <= MOST_EXACT {
        exact::next(&puzzle.without_the_irrelevant()).map(|step| puzzle.step_with_all_numbers(step))
    } else {
        let kept = puzzle.likeliest();
        sorted::next(&kept.without_the_irrelevant()).map(|step| kept.step_with_all_numbers(step))
    }
}

impl Puzzle {
    /// Numbers of fuses.
    fn fuses(&self) -> std::ops::Range<usize> {
        0..self.parent.len()
    }

    /// Whether a place lies behind a fuse, at whatever depth.
    fn is_behind(&self, place: usize, fuse: usize) -> bool {
        self.chain(place).any(|above| above == fuse)
    }

    /// The fuses that feed a place, nearest first; of a fuse, itself first.
    pub fn chain(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        let first = (place < self.parent.len()).then_some(place);
        // A ring of fuses that feed one another would have no top.
        std::iter::successors(first, |&fuse| self.parent[fuse]).take(self.parent.len())
    }

    /// The suspects that are dark with these fuses out.
    fn dark_suspects(&self, out: &[bool]) -> Vec<usize> {
        let places = 0..self.weight.len();
        places
            .filter(|&place| self.weight[place] > 0.0 && self.chain(place).any(|fuse| out[fuse]))
            .collect()
    }

    fn has_suspects(&self, fuse: usize) -> bool {
        (0..self.weight.len()).any(|place| self.weight[place] > 0.0 && self.is_behind(place, fuse))
    }

    /// Without the least likely suspects, so that few enough fuses matter.
    fn likeliest(&self) -> Self {
        let mut kept = self.clone();
        while kept.relevant() > MOST_SORTED {
            let suspects = (0..kept.weight.len()).filter(|&place| kept.weight[place] > 0.0);
            let least = suspects.min_by(|&a, &b| kept.weight[a].total_cmp(&kept.weight[b]));
            let Some(least) = least else { break };
            kept.weight[least] = 0.0;
        }
        kept
    }

    fn relevant(&self) -> usize {
        self.fuses().filter(|&fuse| self.has_suspects(fuse)).count()
    }

    fn kept(&self) -> Vec<usize> {
        self.fuses()
            .filter(|&fuse| self.has_suspects(fuse))
            .collect()
    }

    /// The same hunt without the fuses that have no suspects behind them: a feeder of a suspect always has.
    fn without_the_irrelevant(&self) -> Self {
        let kept = self.kept();
        let number = |fuse: usize| kept.iter().position(|&old| old == fuse);
        let pick = |of: &[bool]| kept.iter().map(|&old| of[old]).collect();
        let take = |of: &[f64]| kept.iter().map(|&old| of[old]).collect::<Vec<f64>>();
        let mut weight = take(&self.weight);
        weight.extend(self.weight.last());
        Self {
            parent: kept
                .iter()
                .map(|&old| self.parent[old].and_then(number))
                .collect(),
            weight,
            out: pick(&self.out),
            fixed: pick(&self.fixed),
            across: pick(&self.across),
            pull_wait: take(&self.pull_wait),
            refit_wait: take(&self.refit_wait),
            told: self.told.iter().map(|out| pick(out)).collect(),
        }
    }

    fn step_with_all_numbers(&self, step: Step) -> Step {
        let kept = self.kept();
        let old = |fuses: Vec<usize>| fuses.into_iter().map(|fuse| kept[fuse]).collect();
        Step {
            pull: old(step.pull),
            refit: old(step.refit),
            across: step.across.map(|fuse| kept[fuse]),
            ..step
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Numbers without a source of chance outside the test.
    pub(crate) struct Chance(pub u64);

    impl Chance {
        pub(crate) fn below(&mut self, end: usize) -> usize {
            // splitmix64
            self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            ((z ^ (z >> 31)) % end as u64) as usize
        }
        pub(crate) fn share(&mut self) -> f64 {
            self.below(1_000_000) as f64 / 1e6
        }
    }

    pub(crate) fn flat(fuses: usize) -> Puzzle {
        Puzzle {
            parent: vec![None; fuses],
            weight: vec![1.0; fuses + 1],
            out: vec![false; fuses],
            fixed: vec![false; fuses],
            across: vec![false; fuses],
            pull_wait: vec![0.0; fuses],
            refit_wait: vec![0.0; fuses],
            told: Vec::new(),
        }
    }

    fn random(chance: &mut Chance, fuses: usize, waits: bool) -> Puzzle {
        let mut puzzle = flat(fuses);
        for fuse in 0..fuses {
            if fuse > 0 && chance.below(2) == 0 {
                puzzle.parent[fuse] = Some(chance.below(fuse));
            }
            puzzle.out[fuse] = chance.below(5) == 0;
            puzzle.across[fuse] = chance.below(4) == 0;
            puzzle.fixed[fuse] = chance.below(12) == 0 && !puzzle.out[fuse];
            if waits && chance.below(3) == 0 {
                puzzle.refit_wait[fuse] = 30.0;
                puzzle.pull_wait[fuse] = 6.0;
            }
        }
        for weight in &mut puzzle.weight {
            *weight = if chance.below(8) == 0 {
                0.0
            } else {
                0.02 + chance.share()
            };
        }
        puzzle
    }

    /// The least expected work, by looking at every set of fuses that could be out and every reading then, for every set of
    /// suspects and every set that is out now. Nothing is left out as needless.
    fn exhaustive(puzzle: &Puzzle) -> f64 {
        let fuses = puzzle.parent.len();
        let places = fuses + 1;
        let mut behind = vec![0usize; fuses];
        for (fuse, behind) in behind.iter_mut().enumerate() {
            for place in 0..places {
                if puzzle.is_behind(place, fuse) {
                    *behind |= 1 << place;
                }
            }
        }
        let dark: Vec<usize> = (0..1usize << fuses)
            .map(|out| {
                (0..fuses)
                    .filter(|fuse| out >> fuse & 1 == 1)
                    .fold(0, |dark, fuse| dark | behind[fuse])
            })
            .collect();
        let weight: Vec<f64> = (0..1usize << places)
            .map(|set| {
                (0..places)
                    .filter(|place| set >> place & 1 == 1)
                    .map(|place| puzzle.weight[place])
                    .sum()
            })
            .collect();
        let fixed = (0..fuses)
            .filter(|&fuse| puzzle.fixed[fuse])
            .fold(0usize, |set, fuse| set | 1 << fuse);
        let all = (0..places)
            .filter(|&place| puzzle.weight[place] > 0.0)
            .fold(0usize, |set, place| set | 1 << place);
        let mut best = vec![vec![0.0f64; 1 << fuses]; 1 << places];
        let mut sets: Vec<usize> = (0..1usize << places)
            .filter(|set| set & !all == 0)
            .collect();
        sets.sort_by_key(|set| set.count_ones());
        for set in sets.into_iter().filter(|set| set.count_ones() > 1) {
            for now in 0..1usize << fuses {
                let mut least = f64::INFINITY;
                for then in 0..1usize << fuses {
                    let handled = now ^ then;
                    if handled & fixed != 0 {
                        continue;
                    }
                    let mut wait = 0.0f64;
                    for fuse in (0..fuses).filter(|fuse| handled >> fuse & 1 == 1) {
                        wait = wait.max(if then >> fuse & 1 == 1 {
                            puzzle.pull_wait[fuse]
                        } else {
                            puzzle.refit_wait[fuse]
                        });
                    }
                    let work = f64::from(handled.count_ones()) + 1.0 + wait;
                    let mut try_split = |one: usize| {
                        let other = set & !one;
                        if one != 0 && other != 0 {
                            let after =
                                weight[one] * best[one][then] + weight[other] * best[other][then];
                            least = least.min(work + after / weight[set]);
                        }
                    };
                    try_split(set & dark[then]);
                    for fuse in (0..fuses).filter(|&fuse| puzzle.across[fuse]) {
                        if dark[then] >> fuse & 1 == 0 {
                            try_split(set & behind[fuse] & !dark[then]);
                        }
                    }
                }
                best[set][now] = if least.is_finite() {
                    least
                } else {
                    APART_BY_HAND.units
                };
            }
        }
        let now = (0..fuses)
            .filter(|&fuse| puzzle.out[fuse])
            .fold(0usize, |set, fuse| set | 1 << fuse);
        best[all][now]
    }

    fn agrees(puzzle: &Puzzle) {
        let least = exhaustive(puzzle);
        let found = next(puzzle).map_or(0.0, |step| step.work.units);
        assert!((found - least).abs() < 1e-9, "{found} {least} {puzzle:?}");
    }

    #[test]
    fn the_plan_is_the_optimum_of_an_exhaustive_search() {
        let mut chance = Chance(7);
        for round in 0..40 {
            let fuses = 1 + round % 5;
            agrees(&random(&mut chance, fuses, round % 2 == 1));
        }
    }

    #[test]
    fn with_eight_fuses_too() {
        let mut feeders = flat(8);
        feeders.parent = vec![
            None,
            None,
            Some(0),
            Some(0),
            Some(0),
            Some(1),
            Some(1),
            Some(1),
        ];
        feeders.weight = vec![0.0, 0.0, 0.3, 0.1, 0.1, 0.1, 0.2, 0.05, 0.0];
        agrees(&feeders);
    }

    #[test]
    fn for_many_fuses_the_plan_is_near_the_optimum() {
        let mut chance = Chance(11);
        let (mut sum, mut worst) = (0.0, 1.0f64);
        let mut count = 0.0;
        for round in 0..60 {
            let puzzle = random(&mut chance, 3 + round % 5, round % 2 == 1);
            let Some(exact) = exact::next(&puzzle) else {
                continue;
            };
            let Some(near) = sorted::next(&puzzle) else {
                panic!("{exact:?}\n{puzzle:?}")
            };
            let ratio = near.work.units / exact.work.units;
            assert!(ratio > 1.0 - 1e-9, "better than the optimum: {puzzle:?}");
            worst = worst.max(ratio);
            sum += ratio;
            count += 1.0;
        }
        assert!(sum / count < 1.04, "{} on average", sum / count);
        assert!(worst < 1.35, "{worst} at worst");
    }

    /// Fuses that are all alike: what matters is only how many are suspected, and whether they are in or out.
    fn alike(most: usize) -> f64 {
        let mut lit = vec![0.0; most + 1];
        let mut dark = vec![0.0; most + 1];
        for all in 2..=most {
            let mut least = f64::INFINITY;
            for back in 1..all {
                let after = back as f64 * lit[back] + (all - back) as f64 * dark[all - back];
                least = least.min(back as f64 + 1.0 + after / all as f64);
            }
            dark[all] = least;
            let mut least = f64::INFINITY;
            for pulled in 1..all {
                let after =
                    pulled as f64 * dark[pulled] + (all - pulled) as f64 * lit[all - pulled];
                least = least.min(pulled as f64 + 1.0 + after / all as f64);
            }
            lit[all] = least;
        }
        lit[most]
    }

    #[test]
    fn sixty_fuses_that_are_alike_need_the_least_work() {
        let mut puzzle = flat(60);
        puzzle.weight[60] = 0.0;
        let started = std::time::Instant::now();
        let step = next(&puzzle).unwrap();
        assert!(started.elapsed().as_secs_f64() < 5.0, "unoptimised, even");
        assert!(step.work.units < alike(60) * 1.01, "{:?}", step.work);
        assert!(step.work.units > alike(60) * 0.999, "{:?}", step.work);
    }

    #[test]
    fn a_feeder_splits_the_suspects() {
        // Six feeders with nine fuses each: to read across the feeders first is far less work than one by one.
        let mut puzzle = flat(60);
        for fuse in 6..60 {
            puzzle.parent[fuse] = Some(fuse % 6);
        }
        for feeder in 0..6 {
            puzzle.weight[feeder] = 0.01;
        }
        let step = next(&puzzle).unwrap();
        assert!(step.pull.iter().all(|&fuse| fuse < 6), "{step:?}");
        assert!(step.work.units < 18.0 && alike(61) > 30.0, "{step:?}");
    }

    #[test]
    fn a_reading_across_is_taken_before_anything_is_pulled() {
        let mut puzzle = flat(4);
        puzzle.across = vec![true; 4];
        let step = next(&puzzle).unwrap();
        assert!(step.pull.is_empty() && step.across.is_some(), "{step:?}");
    }

    #[test]
    fn what_wakes_modules_is_put_off() {
        let mut puzzle = flat(3);
        puzzle.pull_wait[0] = 30.0;
        puzzle.refit_wait = vec![30.0; 3];
        let step = next(&puzzle).unwrap();
        assert!(!step.pull.contains(&0) && step.refit.is_empty(), "{step:?}");
    }

    #[test]
    fn from_the_dark_it_puts_back_part() {
        // A main fuse is out and the draw went with it: one of four behind it.
        let mut puzzle = flat(5);
        puzzle.parent = vec![None, Some(0), Some(0), Some(0), Some(0)];
        puzzle.out[0] = true;
        puzzle.weight = vec![0.0, 1.0, 1.0, 1.0, 1.0, 0.0];
        let step = next(&puzzle).unwrap();
        assert_eq!(step.refit, [0]);
        assert!(!step.pull.is_empty() && step.pull.len() < 4, "{step:?}");
    }

    #[test]
    fn what_was_told_is_not_read_again() {
        // Three were pulled together and the draw went with them; that there is a second one past all fuses cannot be told
        // by the same reading.
        for (fuses, weight) in [(3, 1.0), (12, 1.0)] {
            let mut puzzle = flat(fuses);
            puzzle.weight = vec![weight; fuses];
            puzzle.weight.push(0.05);
            puzzle.out = vec![true; fuses];
            puzzle.told = vec![vec![false; fuses], vec![true; fuses]];
            let step = next(&puzzle).unwrap();
            assert!(!step.refit.is_empty(), "{step:?}");
        }
    }

    #[test]
    fn with_one_place_left_there_is_nothing_to_do() {
        let mut puzzle = flat(3);
        puzzle.weight = vec![0.0, 1.0, 0.0, 0.0];
        assert_eq!(next(&puzzle), None);
        puzzle.weight = vec![0.0, 1.0, 0.0, 1.0];
        puzzle.fixed = vec![true; 3];
        assert_eq!(next(&puzzle), None, "nothing that may be handled");
    }
}
