//! What is kept of every solution beside the extremes of currents: where users are on at all and for long, how little voltage
//! they get while they are on, and what was watched for.

use super::best::{Best, Least, Spot};
use super::rails::Rails;
use super::watch::{Found, What};
use super::{MANY, NONE, Pass};
use crate::model::{Element, Key, Vehicle};
use crate::solve::Solution;

/// A user is on above this, in ampere.
const ON: f64 = 1e-4;
/// A smaller setting is told instead of a larger one that takes no more than this share of the voltage more.
const AS_BAD: f64 = 1.01;

/// A user of current, or a converter's input.
struct User {
    branch: u32,
    element: u32,
    /// Both its ends.
    ends: (u32, u32),
    ever: Least,
    key_off: Least,
    lasting: Best,
    lowest: Option<Lowest>,
    lowest_running: Option<Lowest>,
}

#[derive(Clone)]
pub(super) struct Lowest {
    pub volts: f64,
    cost: u32,
    pub spot: Spot,
}

/// What one branch showed.
pub(super) struct Mark<'m> {
    pub branch: usize,
    pub ever: &'m Least,
    pub key_off: &'m Least,
    pub lasting: &'m Best,
    pub lowest: Option<&'m Lowest>,
    pub lowest_running: Option<&'m Lowest>,
}

/// All of it.
pub(super) struct Marks {
    users: Vec<User>,
    found: Vec<(What, u32, Spot)>,
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
}

impl Marks {
    pub(super) fn new(vehicle: &Vehicle) -> Self {
        let wires = vehicle.wires.len() as u32;
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
                lowest: None,
                lowest_running: None,
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
            match self.found.iter_mut().find(|(what, ..)| *what == found.what) {
                Some((_, known, _)) if *known <= cost => {}
                Some(known) => *known = (found.what, cost, spot(&groups)),
                None => self.found.push((found.what, cost, spot(&groups))),
            }
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
                if left && key != Key::Start {
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
            let see = |best: &mut Option<Lowest>| {
                let volts = volts.0.abs();
                let lower = best.as_ref().is_none_or(|best| {
                    volts < best.volts / AS_BAD
                        || (cost < best.cost && volts <= best.volts * AS_BAD)
                });
                let least = best.as_ref().map_or(volts, |best| best.volts.min(volts));
                if lower {
                    *best = Some(Lowest {
                        volts: least,
                        cost,
                        spot: spot(view.changed),
                    });
                } else if let Some(best) = best {
                    best.volts = least;
                }
            };
            see(&mut user.lowest);
            if pass.setup.engine.runs() {
                see(&mut user.lowest_running);
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
            lowest: user.lowest.as_ref(),
            lowest_running: user.lowest_running.as_ref(),
        })
    }

    /// What was found, each with its smallest setting.
    pub(super) fn found(&self) -> impl Iterator<Item = (&What, &Spot)> {
        self.found.iter().map(|(what, _, spot)| (what, spot))
    }
}
