//! The optimum, by dynamic programming over what is suspected and what is out.

use std::collections::HashMap;

use super::APART_BY_HAND;
use super::Puzzle;
use super::Step;
use super::Work;

#[derive(Clone, Copy)]
struct Action {
    then: u32,
    across: Option<usize>,
}

struct Search<'p> {
    puzzle: &'p Puzzle,
    /// By fuse: the places behind it.
    behind: Vec<u32>,
    fixed: u32,
    /// By suspects and by what is out of the fuses that matter for them. Only looked up, never listed.
    known: HashMap<(u32, u32), Work>,
}

/// The first of the steps that need the least expected work. The puzzle has at most 31 fuses.
pub(super) fn next(puzzle: &Puzzle) -> Option<Step> {
    let fuses = puzzle.parent.len();
    let places = puzzle.weight.len();
    let set = |wanted: &dyn Fn(usize) -> bool, end: usize| {
        (0..end)
            .filter(|&at| wanted(at))
            .fold(0u32, |set, at| set | 1 << at)
    };
    let behind = puzzle
        .fuses()
        .map(|fuse| set(&|place| puzzle.is_behind(place, fuse), places))
        .collect();
    let mut search = Search {
        puzzle,
        behind,
        fixed: set(&|fuse| puzzle.fixed[fuse], fuses),
        known: HashMap::new(),
    };
    let out = set(&|fuse| puzzle.out[fuse], fuses);
    let suspects = set(&|place| puzzle.weight[place] > 0.0, places);
    let told = puzzle.told.iter().map(|out| puzzle.dark_suspects(out));
    let told: Vec<u32> = told
        .map(|dark| dark.iter().fold(0, |set, place| set | 1 << place))
        .collect();
    let (work, action) = search.best(out, suspects, &told);
    let action = action?;
    let fuses = |set: u32| puzzle.fuses().filter(|fuse| set >> fuse & 1 == 1).collect();
    Some(Step {
        pull: fuses(action.then & !out),
        refit: fuses(out & !action.then),
        across: action.across,
        work,
    })
}

impl Search<'_> {
    fn weight(&self, set: u32) -> f64 {
        let places = 0..self.puzzle.weight.len();
        places
            .filter(|place| set >> place & 1 == 1)
            .map(|place| self.puzzle.weight[place])
            .sum()
    }

    fn dark(&self, out: u32) -> u32 {
        self.puzzle
            .fuses()
            .filter(|fuse| out >> fuse & 1 == 1)
            .fold(0, |dark, fuse| dark | self.behind[fuse])
    }

    fn wait(&self, pulled: u32, refitted: u32) -> f64 {
        let each = self.puzzle.fuses().map(|fuse| {
            if pulled >> fuse & 1 == 1 {
                self.puzzle.pull_wait[fuse]
            } else if refitted >> fuse & 1 == 1 {
                self.puzzle.refit_wait[fuse]
            } else {
                0.0
            }
        });
        each.fold(0.0, f64::max)
    }

    fn work(&mut self, out: u32, suspects: u32) -> Work {
        if suspects.count_ones() < 2 {
            return Work::default();
        }
        // What is out elsewhere neither hides nor shows any of the suspects.
        let key = (out & self.relevant(suspects), suspects);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let (work, _) = self.best(key.0, suspects, &[]);
        self.known.insert(key, work);
        work
    }

    fn relevant(&self, suspects: u32) -> u32 {
        self.puzzle
            .fuses()
            .filter(|&fuse| self.behind[fuse] & suspects != 0)
            .fold(0, |set, fuse| set | 1 << fuse)
    }

    /// `told` are the suspects that were dark in readings of the total: these are not taken again. Further on in the plan they
    /// may be, for there they stand for whatever tells the last suspects apart.
    fn best(&mut self, out: u32, suspects: u32, told: &[u32]) -> (Work, Option<Action>) {
        let free = self.relevant(suspects) & !self.fixed;
        let whole = self.weight(suspects);
        let mut best: (Work, Option<Action>) = (
            Work {
                units: f64::INFINITY,
                ..Work::default()
            },
            None,
        );
        let mut handled = 0u32;
        // Every subset of the fuses that may be handled, the empty one first.
        loop {
            let then = out ^ handled;
            let count = f64::from(handled.count_ones());
            let step = Work {
                units: count + 1.0 + self.wait(then & handled, out & handled),
                handled: count,
                readings: 1.0,
            };
            if step.units < best.0.units {
                let dark = self.dark(then);
                let one = suspects & dark;
                if !told.contains(&one) {
                    self.consider(then, None, suspects, one, step, whole, &mut best);
                }
                for fuse in self.puzzle.fuses() {
                    if self.puzzle.across[fuse] && dark >> fuse & 1 == 0 {
                        let one = suspects & self.behind[fuse] & !dark;
                        self.consider(then, Some(fuse), suspects, one, step, whole, &mut best);
                    }
                }
            }
            handled = handled.wrapping_sub(free) & free;
            if handled == 0 {
                break;
            }
        }
        if best.1.is_none() {
            best.0 = APART_BY_HAND;
        }
        best
    }

    #[allow(clippy::too_many_arguments, reason = "one reading, spelled out")]
    fn consider(
        &mut self,
        then: u32,
        across: Option<usize>,
        suspects: u32,
        one: u32,
        step: Work,
        whole: f64,
        best: &mut (Work, Option<Action>),
    ) {
        let other = suspects & !one;
        if one == 0 || other == 0 {
            return;
        }
        let share = self.weight(one) / whole;
        let first = self.work(then, one);
        let so_far = step.plus(share, first);
        if so_far.units >= best.0.units {
            return;
        }
        let second = self.work(then, other);
        let work = so_far.plus(1.0 - share, second);
        // Of equals the first stays: rounding must not decide.
        if work.units < best.0.units - 1e-9 {
            *best = (work, Some(Action { then, across }));
        }
    }
}
