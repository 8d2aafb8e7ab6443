//! What readings say about where unknown draws are, told apart from any vehicle.
//!
//! Each reading is the sum of what is drawn at the places that it sees, give or take what the meter cannot tell. What the record
//! explains at a place is known within limits too, and the same limits stand behind every reading that sees the place: both
//! are taken as normal, with the ends of an interval two standard deviations from its middle, so that differences between
//! readings of one meter are known far better than the readings themselves. A suspicion is that there is one unknown draw, at
//! one place, or two at two; each is weighed by how well some current of it fits every reading at once.

use super::currents::Table;
use super::currents::Tries;
use super::currents::Weighed;
use super::factor::backward;
use super::factor::cholesky;
use super::factor::dot;
use super::factor::forward;

/// The least unknown draw that is hunted, in ampere: less is within what equipment takes from one day to the next.
pub const LEAST: f64 = 0.010;
/// An amount of which nothing is known, in ampere: so many standard deviations hold anything that a parked vehicle draws.
const ANYTHING: f64 = 10.0;
/// Suspicion of a pair of draws against that of one.
const TWO: f64 = 0.1;
/// Suspicion that nothing unknown is drawn, against one draw somewhere: nobody hunts without a reason.
const NONE: f64 = 0.25;
/// The same once something was found: what is left has to show to be believed.
const NO_MORE: f64 = 5.0;
/// A place is taken as found from so much of the belief on.
pub const FOUND: f64 = 0.95;

/// One reading: what was read less what the record explains.
#[derive(Clone, PartialEq, Debug)]
pub struct Reading {
    /// By place: whether its draw is in the reading.
    pub sees: Vec<bool>,
    /// What is left over, in ampere.
    pub left: f64,
    /// Standard deviation that is its own: digits, settling.
    pub own: f64,
    /// Standard deviation that it shares with every reading of the same meter: its scale.
    pub scale: f64,
    /// Number of the meter whose scale it shares.
    pub meter: usize,
}

/// A place where a draw can be.
#[derive(Clone, PartialEq, Debug)]
pub struct Place {
    /// How likely an unknown draw is here before any reading; need not add up to one.
    pub weight: f64,
    /// Standard deviation of what the record explains here, in ampere.
    pub spread: f64,
    /// Currents that parts here could draw beyond what is explained, with their spread as a share: (ampere, share).
    pub possible: Vec<(f64, f64)>,
}

/// What is believed about one place.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Belief {
    /// How likely an unknown draw is here.
    pub probability: f64,
    /// Its current if it is.
    pub current: f64,
    /// Standard deviation of that.
    pub spread: f64,
}

/// Beliefs about every place.
#[derive(Clone, PartialEq, Debug)]
pub struct Beliefs {
    /// By place.
    pub places: Vec<Belief>,
    /// Places found, in the order they were.
    pub found: Vec<usize>,
    /// How likely it is that nothing unknown is drawn beyond what was found.
    pub nothing_more: f64,
}

impl Beliefs {
    /// By place, its share of the suspicion: these add up to one over the places that are not found, which have none.
    /// Probabilities do not, for of two draws at once each counts in full.
    #[must_use]
    pub fn shares(&self) -> Vec<Option<f64>> {
        let open = |place: &usize| !self.found.contains(place);
        let all: f64 = (0..self.places.len())
            .filter(open)
            .map(|place| self.places[place].probability)
            .sum();
        (0..self.places.len())
            .map(|place| {
                let share = self.places[place].probability / all.max(f64::MIN_POSITIVE);
                open(&place).then_some(share)
            })
            .collect()
    }
}

/// Weighs every place. `shared` is a further covariance between places: what the vehicle's own draw, spread over fuses nobody
/// knows how, adds to each pair of them. Cost: the square of the places times a few hundred, and the cube of the readings.
#[must_use]
pub fn weigh(places: &[Place], readings: &[Reading], shared: &[Vec<f64>]) -> Beliefs {
    let mut found: Vec<(usize, Belief)> = Vec::new();
    let tables: Vec<Table> = places.iter().map(Table::of).collect();
    loop {
        let taken: Vec<usize> = found.iter().map(|(place, _)| *place).collect();
        let (beliefs, nothing_more) = round(places, readings, shared, &tables, &taken);
        let next = (0..places.len())
            .filter(|place| !taken.contains(place))
            .find(|&place| beliefs[place].probability >= FOUND && telling(&taken, place, readings));
        if let Some(place) = next {
            found.push((place, beliefs[place]));
            continue;
        }
        let mut all = beliefs;
        for &(place, belief) in &found {
            all[place] = belief;
        }
        return Beliefs {
            places: all,
            found: taken,
            nothing_more,
        };
    }
}

/// A place that is found hides nothing only if some reading sees it.
fn telling(taken: &[usize], place: usize, readings: &[Reading]) -> bool {
    taken.len() < 8 && readings.iter().any(|reading| reading.sees[place])
}

fn round(
    places: &[Place],
    readings: &[Reading],
    shared: &[Vec<f64>],
    tables: &[Table],
    taken: &[usize],
) -> (Vec<Belief>, f64) {
    let forms = Forms::of(places, readings, shared, taken);
    let open: Vec<usize> = (0..places.len())
        .filter(|place| !taken.contains(place) && places[*place].weight > 0.0)
        .collect();
    let all: f64 = open.iter().map(|&place| places[place].weight).sum();
    let mut tallies = vec![Tally::default(); places.len()];
    if all <= 0.0 {
        return (vec![Belief::default(); places.len()], 1.0);
    }
    let share = |place: usize| places[place].weight / all;
    // Logarithms until all are known: one hypothesis may be e^-1000 of another.
    let none: f64 = if taken.is_empty() { NONE } else { NO_MORE };
    let mut hypotheses: Vec<(f64, Vec<Sum>)> = vec![(none.ln(), Vec::new())];
    for &one in &open {
        let (log, sum) = forms.one(one, &tables[one]);
        hypotheses.push((share(one).ln() + log, vec![sum]));
    }
    for (at, &one) in open.iter().enumerate() {
        for &other in &open[at + 1..] {
            let (log, sums) = forms.two([one, other], [&tables[one], &tables[other]]);
            let before = 2.0 * TWO * share(one) * share(other);
            hypotheses.push((before.ln() + log, sums.to_vec()));
        }
    }
    let top = hypotheses
        .iter()
        .fold(f64::NEG_INFINITY, |top, (log, _)| top.max(*log));
    let mut whole = 0.0;
    let mut nothing = 0.0;
    for (log, sums) in &hypotheses {
        let weight = (log - top).exp();
        whole += weight;
        if sums.is_empty() {
            nothing = weight;
        }
        for sum in sums {
            tallies[sum.place].add(weight, sum);
        }
    }
    let beliefs = tallies.iter().map(|tally| tally.belief(whole)).collect();
    (beliefs, nothing / whole)
}

/// Mean and mean square of a current under one hypothesis.
#[derive(Clone, Copy)]
struct Sum {
    place: usize,
    mean: f64,
    square: f64,
}

#[derive(Clone, Copy, Default)]
struct Tally {
    weight: f64,
    mean: f64,
    square: f64,
}

impl Tally {
    fn add(&mut self, weight: f64, sum: &Sum) {
        self.weight += weight;
        self.mean += weight * sum.mean;
        self.square += weight * sum.square;
    }

    fn belief(&self, whole: f64) -> Belief {
        if self.weight <= 0.0 {
            return Belief::default();
        }
        let mean = self.mean / self.weight;
        Belief {
            probability: self.weight / whole,
            current: mean,
            spread: (self.square / self.weight - mean * mean).max(0.0).sqrt(),
        }
    }
}

/// What the readings say about any currents, as a quadratic form: the logarithm of how well currents `x` fit is
/// `b.x - x.Q.x / 2`, against no unknown current at all.
struct Forms {
    b: Vec<f64>,
    q: Vec<Vec<f64>>,
}

impl Forms {
    fn of(places: &[Place], readings: &[Reading], shared: &[Vec<f64>], taken: &[usize]) -> Self {
        let count = places.len();
        let factor = cholesky(covariance(places, readings, shared, taken));
        let left: Vec<f64> = readings.iter().map(|reading| reading.left).collect();
        let left = forward(&factor, &left);
        let columns: Vec<Vec<f64>> = (0..count)
            .map(|place| {
                let sees = |reading: &Reading| f64::from(u8::from(reading.sees[place]));
                forward(&factor, &readings.iter().map(sees).collect::<Vec<f64>>())
            })
            .collect();
        Self {
            b: columns.iter().map(|column| dot(column, &left)).collect(),
            q: columns
                .iter()
                .map(|a| columns.iter().map(|b| dot(a, b)).collect())
                .collect(),
        }
    }

    /// One unknown draw: the logarithm of how well it fits, over all its currents.
    fn one(&self, place: usize, table: &Table) -> (f64, Sum) {
        let (b, q) = (self.b[place], self.q[place][place]);
        let tries = Tries::around(b, q);
        let mut sums = Weighed::default();
        for x in tries {
            let log = b * x.amps - 0.5 * q * x.amps * x.amps + table.at(x.log) + x.width;
            sums.add(log, x.amps);
        }
        let (log, mean, square) = sums.result();
        (
            log,
            Sum {
                place,
                mean,
                square,
            },
        )
    }

    /// Two: for each current of the one, every current of the other.
    fn two(&self, places: [usize; 2], tables: [&Table; 2]) -> (f64, [Sum; 2]) {
        let [one, other] = places;
        let (b1, b2) = (self.b[one], self.b[other]);
        let (q1, q2, q12) = (self.q[one][one], self.q[other][other], self.q[one][other]);
        // The first alone, whatever the second is.
        let (alone_b, alone_q) = if q2 > 0.0 {
            (b1 - q12 * b2 / q2, q1 - q12 * q12 / q2)
        } else {
            (b1, q1)
        };
        let mut first = Weighed::default();
        let mut second = Weighed::default();
        for x in Tries::around(alone_b, if alone_q > q1 * 1e-9 { alone_q } else { 0.0 }) {
            let fits = b1 * x.amps - 0.5 * q1 * x.amps * x.amps + tables[0].at(x.log) + x.width;
            let b = b2 - q12 * x.amps;
            for y in Tries::around(b, q2) {
                let log =
                    fits + b * y.amps - 0.5 * q2 * y.amps * y.amps + tables[1].at(y.log) + y.width;
                first.add(log, x.amps);
                second.add(log, y.amps);
            }
        }
        let (log, mean, square) = first.result();
        let (_, other_mean, other_square) = second.result();
        (
            log,
            [
                Sum {
                    place: one,
                    mean,
                    square,
                },
                Sum {
                    place: other,
                    mean: other_mean,
                    square: other_square,
                },
            ],
        )
    }
}

/// What readings differ by where nothing unknown is drawn: by what is explained, by the meters, and by anything at places
/// that were found.
fn covariance(
    places: &[Place],
    readings: &[Reading],
    shared: &[Vec<f64>],
    taken: &[usize],
) -> Vec<Vec<f64>> {
    let mut all = vec![vec![0.0; readings.len()]; readings.len()];
    for (row, one) in readings.iter().enumerate() {
        for (column, other) in readings.iter().enumerate().take(row + 1) {
            let mut sum = 0.0;
            for (place, of) in places.iter().enumerate() {
                if one.sees[place] && other.sees[place] {
                    sum += of.spread * of.spread;
                    if taken.contains(&place) {
                        sum += ANYTHING * ANYTHING;
                    }
                }
                if one.sees[place] {
                    let pairs = other.sees.iter().zip(&shared[place]);
                    sum += pairs
                        .filter(|(sees, _)| **sees)
                        .map(|(_, covariance)| covariance)
                        .sum::<f64>();
                }
            }
            if one.meter == other.meter {
                sum += one.scale * other.scale;
            }
            if row == column {
                sum += one.own * one.own;
            }
            all[row][column] = sum;
            all[column][row] = sum;
        }
    }
    all
}

/// By how many standard deviations each reading is off from what all the others make of it, with anything drawn anywhere.
#[must_use]
pub fn misfits(places: &[Place], readings: &[Reading], shared: &[Vec<f64>]) -> Vec<f64> {
    let anywhere: Vec<usize> = (0..places.len()).collect();
    let factor = cholesky(covariance(places, readings, shared, &anywhere));
    let left: Vec<f64> = readings.iter().map(|reading| reading.left).collect();
    let weighed = backward(&factor, forward(&factor, &left));
    (0..readings.len())
        .map(|number| {
            let mut unit = vec![0.0; readings.len()];
            unit[number] = 1.0;
            let own = dot(&forward(&factor, &unit), &forward(&factor, &unit));
            weighed[number] / own.sqrt()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(count: usize) -> Vec<Place> {
        vec![
            Place {
                weight: 1.0,
                spread: 0.0,
                possible: Vec::new(),
            };
            count
        ]
    }

    fn nothing(count: usize) -> Vec<Vec<f64>> {
        vec![vec![0.0; count]; count]
    }

    fn total(places: usize, hidden: &[usize], left: f64) -> Reading {
        Reading {
            sees: (0..places).map(|place| !hidden.contains(&place)).collect(),
            left,
            own: 0.002,
            scale: left * 0.005,
            meter: 0,
        }
    }

    fn across(places: usize, place: usize, left: f64, own: f64) -> Reading {
        Reading {
            sees: (0..places).map(|other| other == place).collect(),
            left,
            own,
            scale: 0.0,
            meter: 1 + place,
        }
    }

    fn weigh_of(count: usize, readings: &[Reading]) -> Beliefs {
        weigh(&places(count), readings, &nothing(count))
    }

    #[test]
    fn a_drop_names_the_place() {
        let found = weigh_of(5, &[total(5, &[], 0.2), total(5, &[2], 0.001)]);
        assert_eq!(found.found, [2]);
        assert!((found.places[2].current - 0.2).abs() < 0.01, "{found:?}");
        assert!(found.nothing_more > 0.5, "{found:?}");
    }

    #[test]
    fn no_drop_clears_the_place_and_leaves_the_rest_alike() {
        let found = weigh_of(4, &[total(4, &[], 0.2), total(4, &[0], 0.2)]);
        assert!(found.found.is_empty());
        let by_place: Vec<f64> = found.places.iter().map(|of| of.probability).collect();
        assert!(by_place[0] < 0.15, "only as one of two: {by_place:?}");
        assert!((by_place[1] - by_place[3]).abs() < 1e-9);
        assert!(by_place[1] > 0.3 && found.nothing_more < 1e-6);
    }

    #[test]
    fn part_of_a_drop_is_one_of_two() {
        let readings = [
            total(4, &[], 0.35),
            total(4, &[1], 0.2),
            total(4, &[0, 1], 0.2),
        ];
        let found = weigh_of(4, &readings);
        assert_eq!(found.found, [1]);
        assert!((found.places[1].current - 0.15).abs() < 0.01, "{found:?}");
        assert!(found.nothing_more < 0.01, "0.2 A are left: {found:?}");
        assert!(found.places[0].probability < 0.2, "{found:?}");
        assert!(found.places[2].probability > 0.4, "{found:?}");
    }

    #[test]
    fn a_zero_across_a_large_fuse_clears_nothing_that_it_could_not_show() {
        // 0.3 mV over 2 mohm: nothing below 0.15 A shows there.
        let large = across(3, 0, 0.0, 0.075);
        let small = across(3, 1, 0.0, 0.005);
        let found = weigh_of(3, &[total(3, &[], 0.06), large, small]);
        assert!(found.places[1].probability < 0.05, "{found:?}");
        assert!(found.places[0].probability > 0.3, "{found:?}");
    }

    #[test]
    fn a_total_that_the_record_explains_leaves_nothing() {
        let found = weigh_of(4, &[total(4, &[], 0.003)]);
        assert!(found.nothing_more > 0.9, "{found:?}");
        assert!(found.places.iter().all(|of| of.probability < 0.05));
    }

    #[test]
    fn the_size_of_the_excess_is_evidence() {
        let mut places = places(3);
        places[1].possible = vec![(0.147, 0.05)];
        let found = weigh(&places, &[total(3, &[], 0.148)], &nothing(3));
        assert!(found.places[1].probability > 2.0 * found.places[0].probability);
        let found = weigh(&places, &[total(3, &[], 0.5)], &nothing(3));
        assert!(found.places[1].probability < found.places[0].probability);
    }

    #[test]
    fn what_the_vehicle_draws_itself_is_the_same_in_every_reading() {
        // Explained to 20 mA give or take: the total says little, the difference much.
        let mut places = places(3);
        places[2].spread = 0.02;
        let readings = [total(3, &[], 0.03), total(3, &[0], 0.0)];
        let found = weigh(&places, &readings, &nothing(3));
        assert!(found.places[0].probability > 0.9, "{found:?}");
    }

    #[test]
    fn a_reading_that_fits_none_of_the_others_stands_out() {
        let readings = [
            total(3, &[], 0.2),
            total(3, &[0], 0.15),
            total(3, &[1], 0.2),
            across(3, 0, 0.2, 0.005),
        ];
        let off = misfits(&places(3), &readings, &nothing(3));
        assert!(off[3].abs() > 4.0 && off[2].abs() < 4.0, "{off:?}");
    }
}
