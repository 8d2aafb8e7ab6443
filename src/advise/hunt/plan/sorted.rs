//! Near the optimum for any number of fuses, by dynamic programming over stretches of an order.
//!
//! Suspects stand in an order in which everything behind a fuse is together, likelier and easier ones first. Each step takes a
//! stretch off one end: it makes that stretch dark, or lit again, or reads across a fuse that feeds just that stretch. The
//! suspects left are then one stretch again, all lit or all dark, so that all plans of this form can be gone through in time
//! that grows with the cube of their number. With fuses that are all alike no plan is better than the best of these; where
//! they differ, several orders are tried.

use super::APART_BY_HAND;
use super::Puzzle;
use super::Step;
use super::Work;
use super::fuses::Fuses;
use super::fuses::Waits;

/// The best step of the best of the orders. The puzzle has at most [`super::MOST_SORTED`] fuses.
pub(super) fn next(puzzle: &Puzzle) -> Option<Step> {
    let mut best: Option<Step> = None;
    let mut tried: Vec<Vec<usize>> = Vec::new();
    for order in Order::ALL {
        let mut stretches = Stretches::new(puzzle, order);
        if tried.contains(&stretches.places) {
            continue;
        }
        tried.push(stretches.places.clone());
        stretches.find_covers();
        stretches.solve();
        if let Some(step) = stretches.next()
            && best
                .as_ref()
                .is_none_or(|best| step.work.units < best.work.units - 1e-9)
        {
            best = Some(step);
        }
    }
    best
}

#[derive(Clone, Copy, PartialEq)]
enum Order {
    /// By suspicion over the work to look there.
    Easiest,
    /// By suspicion.
    Likeliest,
    /// By suspicion, the least first: two stretches are taken off from the other end.
    Unlikeliest,
    /// What is out before the rest: a reading parts the two without handling anything.
    OutFirst,
}

impl Order {
    const ALL: [Self; 4] = [
        Self::Easiest,
        Self::Likeliest,
        Self::Unlikeliest,
        Self::OutFirst,
    ];
}

struct Stretches<'p> {
    puzzle: &'p Puzzle,
    /// Suspects by position.
    places: Vec<usize>,
    /// Sum of the weights before each position.
    before: Vec<f64>,
    /// By fuse: its stretch of positions.
    span: Vec<(usize, usize)>,
    waits: Waits,
    /// By side and stretch: the fewest fuses that make it dark; nothing where that cannot be. What was taken off before on
    /// that side may go dark with it, what is left on the other side may not.
    cover: [Vec<Option<Fuses>>; 2],
    lit: Vec<Work>,
    /// By side and stretch: dark by that cover.
    dark: [Vec<Work>; 2],
}

/// From which end of what was left a stretch was taken.
#[derive(Clone, Copy)]
enum Side {
    First = 0,
    Last = 1,
}

/// The ways to part a stretch in two: which part is taken off, from which side, and what is left.
fn parts(from: usize, to: usize) -> impl Iterator<Item = (Side, Stretch, Stretch)> {
    (from + 1..to).flat_map(move |cut| {
        [
            (Side::First, (from, cut), (cut, to)),
            (Side::Last, (cut, to), (from, cut)),
        ]
    })
}

impl<'p> Stretches<'p> {
    fn new(puzzle: &'p Puzzle, order: Order) -> Self {
        let mut stretches = Self {
            puzzle,
            places: Vec::new(),
            before: vec![0.0],
            span: vec![(0, 0); puzzle.parent.len()],
            waits: Waits::of(puzzle),
            cover: [Vec::new(), Vec::new()],
            lit: Vec::new(),
            dark: [Vec::new(), Vec::new()],
        };
        stretches.lay_out(order);
        stretches
    }

    fn lay_out(&mut self, order: Order) {
        let puzzle = self.puzzle;
        let past = puzzle.parent.len();
        let mut children: Vec<Vec<usize>> = vec![Vec::new(); past + 1];
        for fuse in puzzle.fuses() {
            children[puzzle.parent[fuse].unwrap_or(past)].push(fuse);
        }
        let mut whole = puzzle.weight.clone();
        let mut deepest: Vec<usize> = puzzle.fuses().collect();
        deepest.sort_by_key(|&fuse| std::cmp::Reverse(puzzle.chain(fuse).count()));
        for fuse in deepest {
            if let Some(parent) = puzzle.parent[fuse] {
                whole[parent] += whole[fuse];
            }
        }
        let rank = |fuse: usize| match order {
            Order::Easiest if puzzle.across[fuse] => whole[fuse],
            Order::Easiest => whole[fuse] / (2.0 + puzzle.pull_wait[fuse]),
            Order::OutFirst if puzzle.out[fuse] => 1e6 + whole[fuse],
            Order::Likeliest | Order::OutFirst => whole[fuse],
            Order::Unlikeliest => -whole[fuse],
        };
        // What can neither be made dark nor be read across stands last, beside what flows past all fuses.
        let stuck = |fuse: usize| puzzle.fixed[fuse] && !puzzle.across[fuse];
        for list in &mut children {
            list.sort_by(|&a, &b| {
                let last = stuck(a).cmp(&stuck(b));
                last.then(rank(b).total_cmp(&rank(a))).then(a.cmp(&b))
            });
        }
        // Depth first; what hangs on a fuse itself comes after what is behind its branches.
        let mut path = vec![(past, 0usize)];
        while let Some((at, child)) = path.last_mut() {
            if let Some(&fuse) = children[*at].get(*child) {
                *child += 1;
                self.span[fuse].0 = self.places.len();
                path.push((fuse, 0));
                continue;
            }
            let at = *at;
            path.pop();
            if puzzle.weight[at] > 0.0 {
                self.places.push(at);
                let sum = self.before.last().copied().unwrap_or_default();
                self.before.push(sum + puzzle.weight[at]);
            }
            if at < past {
                self.span[at].1 = self.places.len();
            }
        }
    }

    fn count(&self) -> usize {
        self.places.len()
    }

    fn at(&self, from: usize, to: usize) -> usize {
        from * (self.count() + 1) + to
    }

    fn weight(&self, from: usize, to: usize) -> f64 {
        self.before[to] - self.before[from]
    }

    fn find_covers(&mut self) {
        let count = self.count();
        for side in [Side::First, Side::Last] {
            let mut covers = vec![None; (count + 1) * (count + 1)];
            for from in 0..count {
                for to in from + 1..=count {
                    covers[self.at(from, to)] = self.find_cover(side, from, to);
                }
            }
            self.cover[side as usize] = covers;
        }
    }

    fn find_cover(&self, side: Side, from: usize, to: usize) -> Option<Fuses> {
        let mut cover = Fuses::default();
        let mut at = from;
        while at < to {
            let widest = self
                .puzzle
                .chain(self.places[at])
                .filter(|&fuse| !self.puzzle.fixed[fuse])
                .filter(|&fuse| match side {
                    Side::First => self.span[fuse].1 <= to,
                    Side::Last => self.span[fuse].0 >= from,
                })
                .last()?;
            cover.add(widest);
            at = self.span[widest].1;
        }
        Some(cover)
    }

    fn cover(&self, side: Side, stretch: Stretch) -> Option<Fuses> {
        self.cover[side as usize][self.at(stretch.0, stretch.1)]
    }

    fn solve(&mut self) {
        let count = self.count();
        self.lit = vec![Work::default(); (count + 1) * (count + 1)];
        self.dark = [self.lit.clone(), self.lit.clone()];
        for length in 2..=count {
            for from in 0..=count - length {
                let to = from + length;
                let slot = self.at(from, to);
                for side in [Side::First, Side::Last] {
                    self.dark[side as usize][slot] = self.when_dark(side, from, to);
                }
                self.lit[slot] = self.when_lit(from, to);
            }
        }
    }

    /// Expected work where all of a stretch is dark by its cover.
    fn when_dark(&self, side: Side, from: usize, to: usize) -> Work {
        let Some(now) = self.cover(side, (from, to)) else {
            return APART_BY_HAND;
        };
        let mut least = Least::default();
        for (side, stays, back) in parts(from, to) {
            let Some(then) = self.cover(side, stays) else {
                continue;
            };
            let step = self.step(then.without(now), now.without(then));
            least.offer(self.after(step, (from, to), (side, stays), back));
        }
        least.work()
    }

    /// Expected work where all of a stretch is lit.
    fn when_lit(&self, from: usize, to: usize) -> Work {
        let mut least = Least::default();
        for (side, hidden, rest) in parts(from, to) {
            let Some(then) = self.cover(side, hidden) else {
                continue;
            };
            let step = self.step(then, Fuses::default());
            least.offer(self.after(step, (from, to), (side, hidden), rest));
        }
        for fuse in self.puzzle.fuses().filter(|&fuse| self.puzzle.across[fuse]) {
            if let Some((behind, rest)) = self.ends(fuse, from, to) {
                let step = self.step(Fuses::default(), Fuses::default());
                let share = self.weight(behind.0, behind.1) / self.weight(from, to);
                let work = step.plus(share, self.lit[self.at(behind.0, behind.1)]);
                least.offer(work.plus(1.0 - share, self.lit[self.at(rest.0, rest.1)]));
            }
        }
        least.work()
    }

    /// What lies behind a fuse and the rest of a stretch, where the fuse feeds one end of it and not all.
    fn ends(&self, fuse: usize, from: usize, to: usize) -> Option<(Stretch, Stretch)> {
        let (first, last) = self.span[fuse];
        let (low, high) = (first.max(from), last.min(to));
        if low >= high || (low, high) == (from, to) {
            return None;
        }
        if low == from {
            Some(((low, high), (high, to)))
        } else if high == to {
            Some(((low, high), (from, low)))
        } else {
            None
        }
    }

    fn after(&self, step: Work, whole: Stretch, dark: (Side, Stretch), lit: Stretch) -> Work {
        let (side, dark) = dark;
        let share = self.weight(dark.0, dark.1) / self.weight(whole.0, whole.1);
        step.plus(share, self.dark[side as usize][self.at(dark.0, dark.1)])
            .plus(1.0 - share, self.lit[self.at(lit.0, lit.1)])
    }

    fn step(&self, pull: Fuses, refit: Fuses) -> Work {
        let handled = f64::from(pull.count() + refit.count());
        Work {
            units: handled + 1.0 + self.waits.after(pull, refit),
            handled,
            readings: 1.0,
        }
    }

    /// The best first step from what is out now.
    fn next(&self) -> Option<Step> {
        let count = self.count();
        let mut best: Option<Step> = None;
        let mut offer = |step: Step| {
            if best
                .as_ref()
                .is_none_or(|best| step.work.units < best.work.units - 1e-9)
            {
                best = Some(step);
            }
        };
        let whole = (0, count);
        for fuse in self.puzzle.fuses().filter(|&fuse| self.puzzle.across[fuse]) {
            let Some((behind, rest)) = self.ends(fuse, 0, count) else {
                continue;
            };
            // Everything behind the fuse has to be in to be seen.
            let Some(refit) = self.to_light(behind) else {
                continue;
            };
            if self
                .puzzle
                .chain(fuse)
                .any(|above| self.is_out(above, refit))
            {
                continue;
            }
            let step = self.step(Fuses::default(), refit);
            let share = self.weight(behind.0, behind.1) / self.weight(0, count);
            let work = step
                .plus(share, self.lit[self.at(behind.0, behind.1)])
                .plus(1.0 - share, self.lit[self.at(rest.0, rest.1)]);
            offer(Step {
                pull: Vec::new(),
                refit: refit.list(),
                across: Some(fuse),
                work,
            });
        }
        let told: Vec<Vec<usize>> = (self.puzzle.told.iter())
            .map(|out| self.puzzle.dark_suspects(out))
            .collect();
        for (side, hidden, rest) in parts(0, count) {
            let mut dark = self.places[hidden.0..hidden.1].to_vec();
            dark.sort_unstable();
            if told.contains(&dark) {
                continue;
            }
            let (Some(cover), Some(refit)) = (self.cover(side, hidden), self.to_light(rest)) else {
                continue;
            };
            let needed = |fuse: &usize| !self.is_dark(*fuse, refit);
            let pull: Fuses = cover.list().into_iter().filter(needed).collect();
            let step = self.step(pull, refit);
            offer(Step {
                work: self.after(step, whole, (side, hidden), rest),
                pull: pull.list(),
                refit: refit.list(),
                across: None,
            });
        }
        best
    }

    fn is_out(&self, fuse: usize, refit: Fuses) -> bool {
        self.puzzle.out[fuse] && !refit.has(fuse)
    }

    fn is_dark(&self, fuse: usize, refit: Fuses) -> bool {
        self.puzzle.chain(fuse).any(|fuse| self.is_out(fuse, refit))
    }

    /// The fuses to put back so that a stretch is lit; nothing where one of them must not be handled.
    fn to_light(&self, (from, to): Stretch) -> Option<Fuses> {
        let above = (from..to).flat_map(|at| self.puzzle.chain(self.places[at]));
        let refit: Fuses = above.filter(|&fuse| self.puzzle.out[fuse]).collect();
        let fixed = |fuse: usize| self.puzzle.fixed[fuse];
        (!refit.list().into_iter().any(fixed)).then_some(refit)
    }
}

type Stretch = (usize, usize);

#[derive(Default)]
struct Least(Option<Work>);

impl Least {
    fn offer(&mut self, work: Work) {
        if self.0.is_none_or(|least| work.units < least.units - 1e-9) {
            self.0 = Some(work);
        }
    }

    fn work(self) -> Work {
        self.0.unwrap_or(APART_BY_HAND)
    }
}
