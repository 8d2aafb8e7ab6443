//! Puts what was seen into words and figures for those who ask.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

use super::Pass;
use super::best::{Best, Low, Spot};
use super::record::{Lasting, Records};
use super::watch::What;
use crate::model::{BranchId, Setting, Vehicle};
use crate::quantity::{Amps, Fraction, Scalar, Volts};
use crate::solve::explored::{
    Adrift, BackFed, Backwards, Burnt, Explored, Extreme, Joined, Seen, Shorted, Shown, Use,
};
use crate::solve::{Memory, State};

impl Records {
    /// What was seen, for people; how much was looked at is left to who did.
    pub(super) fn finish(&self, vehicle: &Vehicle) -> Explored {
        let telling = Telling::new(&self.passes, vehicle);
        let tell = |spot: &Spot| telling.tell(spot);
        let wires = vehicle.wires.len();
        let of_amps = |best: &Best| telling.extreme::<Amps>(best);
        let of_lasting = |lasting: &Option<Lasting>| {
            let lasting = lasting.as_ref();
            lasting.map(|lasting| of_amps(&lasting.best))
        };
        let (lasting_wires, lasting_branches) =
            self.lasting.split_at(wires.min(self.lasting.len()));
        let terminals = (0..self.parked.len()).map(|node| Seen {
            parked: self.parked[node],
            key_off: self.key_off[node].spot().map(tell),
            ever: self.ever[node].spot().map(tell),
            by_key: self.live_in[node],
        });
        let (mut shorted, mut back_fed, mut backwards, mut joined) =
            (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (what, best) in self.marks.found() {
            match what.clone() {
                What::Shorted { source, contacts } => shorted.push(Shorted {
                    source,
                    contacts,
                    seen: of_amps(best),
                }),
                What::BackFed { feed, from } => back_fed.push(BackFed {
                    feed,
                    from,
                    seen: telling.extreme(best),
                }),
                What::Backwards { feed, from } => backwards.push(Backwards {
                    feed,
                    from,
                    seen: of_amps(best),
                }),
                What::Joined { user, protections } => joined.push(Joined {
                    user,
                    protections,
                    setting: best
                        .first()
                        .map(|step| tell(&step.spot))
                        .unwrap_or_default(),
                }),
            }
        }
        let ends = vehicle.branches.iter().zip(&self.adrift).enumerate();
        let adrift = ends
            .flat_map(|(at, (branch, seen))| {
                [(branch.from, &seen[0]), (branch.to, &seen[1])]
                    .map(|(end, best)| (BranchId(at as u32), end, best))
            })
            .filter(|(_, _, best)| best.told().is_some())
            .map(|(branch, at, best)| Adrift {
                branch,
                at,
                seen: of_amps(best),
            });
        Explored {
            adrift: adrift.collect(),
            uses: self.uses(vehicle, &telling),
            shorted,
            burnt: self
                .burnt
                .iter()
                .filter(|(_, best)| best.told().is_some())
                .map(|(&coil, best)| Burnt {
                    coil,
                    seen: of_amps(best),
                })
                .collect(),
            back_fed,
            backwards,
            joined,
            chatter: self
                .chatter
                .iter()
                .map(|(circle, _, spot)| (circle.clone(), Setting::from(tell(spot))))
                .collect(),
            lasting_wires: lasting_wires.iter().map(of_lasting).collect(),
            lasting_branches: lasting_branches.iter().map(of_lasting).collect(),
            wires: self.elements[..wires].iter().map(of_amps).collect(),
            branches: self.elements[wires..].iter().map(of_amps).collect(),
            key_off: self.left[wires..].iter().map(of_amps).collect(),
            terminals: terminals.collect(),
            highest: self
                .highest
                .iter()
                .map(|best| telling.extreme(best))
                .collect(),
            ..Explored::default()
        }
    }

    /// Of each branch that uses current: how it was seen.
    fn uses(&self, vehicle: &Vehicle, telling: &Telling<'_>) -> Vec<Use> {
        let mut uses = vec![Use::default(); vehicle.branches.len()];
        let tell = |spot: &Spot| telling.tell(spot);
        let mut states: Option<(&Spot, Arc<(State, Memory)>)> = None;
        for mark in self.marks.users() {
            let lost_in = mark.lost.told().map(|step| match &states {
                Some((spot, known)) if spot.is(&step.spot) => Arc::clone(known),
                _ => {
                    let pass = &self.passes[step.spot.pass as usize];
                    let state = Arc::new((pass.state_at(&step.spot), pass.memory(vehicle)));
                    states = Some((&step.spot, Arc::clone(&state)));
                    state
                }
            });
            uses[mark.branch] = Use {
                ever: mark.ever.spot().map(tell),
                key_off: mark.key_off.spot().map(tell),
                lasting: telling.best(mark.lasting),
                highest: telling.best(mark.highest),
                lowest: telling.low(mark.lowest),
                lowest_running: telling.low(mark.lowest_running),
                lost: telling.best::<Fraction>(mark.lost),
                lost_in,
            };
        }
        uses
    }
}

/// A pass, and where combinations stand in memory.
type Shared = (u32, *const (u32, u32));

/// Puts each setting into words once: with everything on, thousands of values share one of thousands of names.
struct Telling<'r> {
    passes: &'r [Pass],
    vehicle: &'r Vehicle,
    /// By the pass, and by where the combinations stand, which those who share them have in common.
    told: RefCell<HashMap<Shared, Arc<Setting>>>,
}

impl<'r> Telling<'r> {
    fn new(passes: &'r [Pass], vehicle: &'r Vehicle) -> Self {
        Self {
            passes,
            vehicle,
            told: RefCell::default(),
        }
    }

    fn tell(&self, spot: &Spot) -> Arc<Setting> {
        let pass = &self.passes[spot.pass as usize];
        // Nothing but the pass: all of these stand at one place or at none.
        let key = (spot.pass, spot.combinations.as_ptr());
        let mut told = self.told.borrow_mut();
        let setting = told
            .entry(key)
            .or_insert_with(|| Arc::new(pass.tell(self.vehicle, spot)));
        Arc::clone(setting)
    }

    /// The most of something, for people.
    fn extreme<T: Scalar>(&self, best: &Best) -> Extreme<T> {
        let told = best.told().map(|step| self.tell(&step.spot));
        Extreme {
            value: T::of(best.most),
            setting: told.unwrap_or_default(),
            smaller: self.steps(best),
        }
    }

    /// The most of something and the settings that lead up to it.
    fn best<T: Scalar>(&self, best: &Best) -> Option<Shown<T>> {
        let told = best.told()?;
        Some(Shown {
            value: T::of(best.most),
            setting: self.tell(&told.spot),
            smaller: self.steps(best),
        })
    }

    fn steps<T: Scalar>(&self, best: &Best) -> Vec<(T, Arc<Setting>)> {
        let steps = best.smaller();
        steps
            .map(|step| (T::of(step.value), self.tell(&step.spot)))
            .collect()
    }

    /// The least of a voltage and the settings that lead down to it.
    fn low(&self, low: &Low) -> Option<Shown<Volts>> {
        let (told, smaller) = low.steps().split_last()?;
        Some(Shown {
            value: Volts(low.least()?),
            setting: self.tell(&told.spot),
            smaller: smaller
                .iter()
                .map(|step| (Volts(step.value), self.tell(&step.spot)))
                .collect(),
        })
    }
}
