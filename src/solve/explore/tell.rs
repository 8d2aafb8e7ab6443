//! Puts what was seen into words and figures for those who ask.

use std::sync::Arc;

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
    /// What was seen, for people.
    pub(super) fn finish(
        &self,
        vehicle: &Vehicle,
        settings: u64,
        of: u64,
        complete: bool,
    ) -> Explored {
        let tell = |spot: &Spot| self.passes[spot.pass as usize].tell(vehicle, spot);
        let wires = vehicle.wires.len();
        let of_amps = |best: &Best| self.extreme::<Amps>(vehicle, best);
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
                    seen: self.extreme(vehicle, best),
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
            uses: self.uses(vehicle),
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
                .map(|(circle, _, spot)| (circle.clone(), tell(spot)))
                .collect(),
            settings,
            of: of.max(settings),
            complete,
            together: false,
            lasting_wires: lasting_wires.iter().map(of_lasting).collect(),
            lasting_branches: lasting_branches.iter().map(of_lasting).collect(),
            wires: self.elements[..wires].iter().map(of_amps).collect(),
            branches: self.elements[wires..].iter().map(of_amps).collect(),
            key_off: self.left[wires..].iter().map(of_amps).collect(),
            terminals: terminals.collect(),
            highest: self
                .highest
                .iter()
                .map(|best| self.extreme(vehicle, best))
                .collect(),
        }
    }

    /// The most of something, for people.
    fn extreme<T: Scalar>(&self, vehicle: &Vehicle, best: &Best) -> Extreme<T> {
        let tell = |spot: &Spot| self.passes[spot.pass as usize].tell(vehicle, spot);
        Extreme {
            value: T::of(best.most),
            setting: best.told().map(|step| tell(&step.spot)).unwrap_or_default(),
            smaller: best
                .smaller()
                .map(|step| (T::of(step.value), tell(&step.spot)))
                .collect(),
        }
    }

    /// Of each branch that uses current: how it was seen.
    fn uses(&self, vehicle: &Vehicle) -> Vec<Use> {
        let mut uses = vec![Use::default(); vehicle.branches.len()];
        let tell = |spot: &Spot| self.passes[spot.pass as usize].tell(vehicle, spot);
        let [mut lasting, mut lowest, mut lowest_running, mut lost] = [const { Telling(None) }; 4];
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
                lasting: lasting.best(mark.lasting, tell),
                lowest: lowest.low(mark.lowest, tell),
                lowest_running: lowest_running.low(mark.lowest_running, tell),
                lost: lost.best::<Fraction>(mark.lost, tell),
                lost_in,
            };
        }
        uses
    }
}

/// Tells settings one after the other: one that is as the last is not put in words again. With everything on hundreds of users
/// share one of hundreds of names.
struct Telling<'s>(Option<(&'s Spot, Arc<Setting>)>);

impl<'s> Telling<'s> {
    fn tell(&mut self, spot: &'s Spot, tell: impl Fn(&Spot) -> Setting) -> Arc<Setting> {
        match &self.0 {
            Some((last, told)) if last.is(spot) => Arc::clone(told),
            _ => {
                let told = Arc::new(tell(spot));
                self.0 = Some((spot, Arc::clone(&told)));
                told
            }
        }
    }

    /// The most of something and the settings that lead up to it.
    fn best<T: Scalar>(
        &mut self,
        best: &'s Best,
        tell: impl Fn(&Spot) -> Setting,
    ) -> Option<Shown<T>> {
        let told = best.told()?;
        let smaller = best.smaller();
        Some(Shown {
            value: T::of(best.most),
            smaller: smaller
                .map(|step| (T::of(step.value), Arc::new(tell(&step.spot))))
                .collect(),
            setting: self.tell(&told.spot, tell),
        })
    }

    /// The least of a voltage and the settings that lead down to it.
    fn low(&mut self, low: &'s Low, tell: impl Fn(&Spot) -> Setting) -> Option<Shown<Volts>> {
        let (told, smaller) = low.steps().split_last()?;
        Some(Shown {
            value: Volts(low.least()?),
            smaller: smaller
                .iter()
                .map(|step| (Volts(step.value), Arc::new(tell(&step.spot))))
                .collect(),
            setting: self.tell(&told.spot, tell),
        })
    }
}
