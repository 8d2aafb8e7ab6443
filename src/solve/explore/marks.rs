//! What is kept of every solution beside the extremes of currents: where users are on at all and for long, how little voltage
//! they get while they are on, and what was watched for.

use super::best::{Best, Least, Low, Spot};
use super::rails::Rails;
use super::watch::{Found, What};
use super::{MANY, NONE, Pass};
use crate::model::walk::Walks;
use crate::model::{Element, Key, Link, Vehicle};
use crate::solve::Solution;

/// A user is on above this, in ampere.
const ON: f64 = 1e-4;
/// Of one that takes less than this, in ampere, nothing is lost on the way.
const LOSES: f64 = 1e-3;

/// A user of current, or a converter's input.
struct User {
    branch: u32,
    element: u32,
    /// Both its ends.
    ends: (u32, u32),
    ever: Least,
    key_off: Least,
    lasting: Best,
    highest: Best,
    lowest: Low,
    lowest_running: Low,
    lost: Best,
    /// Of each source that can reach a load: its `+`, its foot, and the voltage of which a drop is a share.
    supplies: Vec<(u32, u32, f64)>,
    /// Ends of resistors on the way there, and on the way home: what they lose is meant to be lost.
    resistors: [Vec<(u32, u32)>; 2],
}

impl User {
    /// What is lost on the way to a load and home, from the source that stands highest, as a share.
    fn lost(&self, solution: &Solution) -> f64 {
        let at = |node: u32| solution.volts[node as usize].0;
        let highest = self
            .supplies
            .iter()
            .max_by(|a, b| at(a.0).total_cmp(&at(b.0)));
        highest.map_or(0.0, |&(plus, foot, nominal)| {
            let [meant_out, meant_back] = self.resistors.each_ref().map(|ends| {
                let drops = ends.iter().map(|&(from, to)| (at(from) - at(to)).abs());
                drops.sum::<f64>()
            });
            let out = (at(plus) - at(self.ends.0) - meant_out).max(0.0);
            let back = (at(self.ends.1) - at(foot) - meant_back).max(0.0);
            (out + back) / nominal
        })
    }
}

/// What one branch showed.
pub(super) struct Mark<'m> {
    pub branch: usize,
    pub ever: &'m Least,
    pub key_off: &'m Least,
    pub lasting: &'m Best,
    pub highest: &'m Best,
    pub lowest: &'m Low,
    pub lowest_running: &'m Low,
    pub lost: &'m Best,
}

/// All of it.
pub(super) struct Marks {
    users: Vec<User>,
    found: Vec<(What, Best)>,
}

/// A solution and where it stands.
pub(super) struct View<'v> {
    pub vehicle: &'v Vehicle,
    pub pass: &'v Pass,
    pub solution: &'v Solution,
    /// Groups that are not as they are left.
    pub changed: &'v [u32],
    /// What conductors join to sources and the chassis in it.
    pub rails: &'v Rails,
    /// It was looked at for its own sake: what the other groups do is so.
    pub whole: bool,
}

impl Marks {
    pub(super) fn new(vehicle: &Vehicle, walks: &Walks) -> Self {
        let wires = vehicle.wires.len() as u32;
        let mut supplies = vec![Vec::new(); vehicle.branches.len()];
        let mut resistors = vec![<[Vec<(u32, u32)>; 2]>::default(); vehicle.branches.len()];
        for consumer in &walks.consumers {
            let Element::Load(load) = &vehicle.branch(consumer.branch).element else {
                continue;
            };
            let sources = consumer.sources.iter().map(|&source| {
                let nominal = walks.nominal(vehicle, source, load);
                (
                    walks.sources[source].plus.0,
                    walks.bottom(source).0,
                    nominal.0,
                )
            });
            supplies[consumer.branch.index()] = sources.collect();
            resistors[consumer.branch.index()] = [&consumer.feed, &consumer.back].map(|way| {
                let ends = way.iter().filter_map(|link| match *link {
                    Link::Wire(wire) => Some(vehicle.wire(wire)).filter(|wire| wire.is_resistor()),
                    Link::Branch(_) => None,
                });
                ends.map(|wire| (wire.from.0, wire.to.0)).collect()
            });
        }
        let users = (0..).zip(&vehicle.branches).filter_map(|(at, branch)| {
            let back = match &branch.element {
                Element::Load(_) | Element::Coil { .. } => branch.to,
                Element::Converter { back, .. } => *back,
                _ => return None,
            };
            Some(User {
                branch: at,
                element: wires + at,
                ends: (branch.from.0, back.0),
                ever: Least::default(),
                key_off: Least::default(),
                lasting: Best::default(),
                highest: Best::default(),
                lowest: Low::default(),
                lowest_running: Low::default(),
                lost: Best::default(),
                supplies: std::mem::take(&mut supplies[at as usize]),
                resistors: std::mem::take(&mut resistors[at as usize]),
            })
        });
        Self {
            users: users.collect(),
            found: Vec::new(),
        }
    }

    /// Notes what a solution shows. `weigh` gives what it costs to set groups so, and whether a person can leave them so.
    pub(super) fn look(
        &mut self,
        view: &View<'_>,
        found: Vec<Found>,
        weigh: impl Fn(&[u32]) -> Option<(u32, bool)>,
        spot: impl Fn(&[u32]) -> Spot,
    ) {
        let (pass, solution) = (view.pass, view.solution);
        let key = pass.setup.key;
        let shorted = found
            .iter()
            .any(|found| matches!(found.what, What::Shorted { .. }));
        for found in found {
            let mut groups: Vec<u32> = found
                .elements
                .iter()
                .map(|&element| pass.groups.of_element[element as usize])
                .filter(|&group| group != NONE && group != MANY)
                .collect();
            groups.sort_unstable();
            groups.dedup();
            let Some((cost, _)) = weigh(&groups) else {
                continue;
            };
            let known = self.found.iter().position(|(what, _)| *what == found.what);
            let known = known.unwrap_or_else(|| {
                self.found.push((found.what, Best::default()));
                self.found.len() - 1
            });
            let best = &mut self.found[known].1;
            best.see(found.value, cost, || spot(&groups));
        }
        let all_changed = weigh(view.changed);
        for user in &mut self.users {
            let volts = solution.volts[user.ends.0 as usize] - solution.volts[user.ends.1 as usize];
            let amps = match &view.vehicle.branches[user.branch as usize].element {
                Element::Converter { .. } => solution
                    .inputs
                    .iter()
                    .find(|(branch, _)| branch.0 == user.branch)
                    .map_or(0.0, |(_, amps)| amps.0),
                _ => solution.branch_amps[user.branch as usize].0,
            };
            if amps.abs() <= ON {
                continue;
            }
            let group = pass.groups.of_element[user.element as usize];
            let single = [group];
            let own: &[u32] = match group {
                NONE => &[],
                MANY => view.changed,
                _ => &single,
            };
            if let Some((cost, left)) = weigh(own) {
                user.ever.see(cost, || spot(own));
                if key == Key::Off {
                    user.key_off.see(cost, || spot(own));
                }
                // Where something momentary is held elsewhere it does not last.
                let others = !view.whole || all_changed.is_some_and(|(_, left)| left);
                if left && others && key != Key::Start {
                    user.lasting.see(amps, cost, || spot(own));
                }
            }
            // What a short leaves for the others is the short's fault, and what comes through another user is a sneak path.
            let (from, to) = user.ends;
            let fed = view.rails.joins(from) && view.rails.joins(to);
            if shorted || !fed || !solution.chatter.is_empty() {
                continue;
            }
            let Some((cost, _)) = all_changed else {
                continue;
            };
            let volts = volts.0.abs();
            user.highest.see(volts, cost, || spot(view.changed));
            user.lowest.see(volts, cost, || spot(view.changed));
            if pass.setup.engine.runs() {
                user.lowest_running.see(volts, cost, || spot(view.changed));
            }
            // What still draws past a master switch that is open is told as such.
            let open = pass
                .outer
                .switches
                .iter()
                .any(|&(_, position)| position == 0);
            if key != Key::Start && amps > LOSES && !open {
                let lost = user.lost(solution);
                user.lost.see(lost, cost, || spot(view.changed));
            }
        }
    }

    /// Of every user.
    pub(super) fn users(&self) -> impl Iterator<Item = Mark<'_>> {
        self.users.iter().map(|user| Mark {
            branch: user.branch as usize,
            ever: &user.ever,
            key_off: &user.key_off,
            lasting: &user.lasting,
            highest: &user.highest,
            lowest: &user.lowest,
            lowest_running: &user.lowest_running,
            lost: &user.lost,
        })
    }

    /// What was found, each with how much of it and in which settings.
    pub(super) fn found(&self) -> impl Iterator<Item = &(What, Best)> {
        self.found.iter()
    }
}
