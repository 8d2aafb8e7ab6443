//! What is shut down, pulled and taken off before anything is touched, and the meter's proof of it.

use std::collections::BTreeSet;

use super::steps::Work;
use crate::advise::ends::keys;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::phrase;
use crate::quantity::Seconds;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::read::document::Kind;

impl Work<'_> {
    pub(super) fn shut_down(&self) -> Vec<String> {
        let mut lines = vec!["Switch everything off and take the key out.".to_owned()];
        for &part in &self.plan.remove {
            let own = self.vehicle.part(part);
            let kind = own.fields.text("type").map(|kind| kind.value.as_str());
            if own.fields.flag("moves") {
                lines.push(format!(
                    "{} moves something that can hurt: lower it, block it and let the pressure off.",
                    self.called(part)
                ));
            }
            if kind == Some("heater") {
                lines.push(format!("Let {} run down and cool.", self.called(part)));
            }
            if let Some(wait) = own.fields.stated::<Seconds>("needs-shutdown") {
                let wait = show::show(wait.value.high, Units::Metric);
                lines.push(format!(
                    "{} has to shut down by itself: wait {wait} after the key is off.",
                    self.called(part)
                ));
            }
        }
        let groups: BTreeSet<&str> = self
            .vehicle
            .parts
            .iter()
            .filter_map(|part| part.fields.text("detach"))
            .map(|group| group.value.as_str())
            .collect();
        if !groups.is_empty() {
            let groups: Vec<&str> = groups.into_iter().collect();
            lines.push(format!("Unplug {}.", phrase::and(&groups)));
        }
        lines
    }

    pub(super) fn isolate(&self) -> Vec<String> {
        let isolation = &self.isolation;
        let mut lines = Vec::new();
        for &charger in &isolation.chargers {
            lines.push(format!(
                "Disconnect {} from its own supply.",
                self.called(charger)
            ));
        }
        for &part in &isolation.pull {
            let own = self.vehicle.part(part);
            let kind = match own.kind {
                Kind::Feed => "Pull the fuse of the feed",
                Kind::Breaker => "Open the breaker",
                Kind::FusibleLink => "Take off, at the battery's side, the fusible link",
                _ => "Pull the fuse",
            };
            lines.push(format!("{kind} {}.", self.called(part)));
        }
        for &battery in &isolation.batteries {
            lines.push(format!(
                "Take off the negative cable of {}, for something of this hangs on its post without a fuse between; the positive only if it has to come off, and after the negative.",
                self.called(battery)
            ));
        }
        let touched = self.touched();
        let near = |what: &str| {
            touched.iter().any(|&part| {
                self.vehicle
                    .part(part)
                    .near
                    .iter()
                    .any(|near| near.value == what)
            })
        };
        if near("airbag") || near("seat-belt") {
            lines.push("Before touching anything near an airbag or a belt tensioner, take the battery off and wait as long as the vehicle maker says; no test lamp and no ohmmeter there, and no second supply to keep memories.".to_owned());
        }
        if near("high-voltage") {
            lines.push("Orange cables are near: never probe or cut them; have the high-voltage system made dead by who may do it.".to_owned());
        }
        if near("fuel") {
            lines.push("A fuel line is near: no sparks, no heat.".to_owned());
        }
        if near("exhaust") {
            lines.push("The exhaust is near: let it cool.".to_owned());
        }
        lines
    }

    pub(super) fn prove_dead(&self) -> Vec<String> {
        let live: Vec<TerminalId> = self
            .isolation
            .still_live
            .iter()
            .map(|&(terminal, _)| terminal)
            .collect();
        let dead: Vec<&str> = self
            .plan
            .remove
            .iter()
            .flat_map(|&part| &self.vehicle.part(part).terminals)
            .filter(|terminal| !live.contains(terminal))
            .filter(|terminal| self.has_wire(**terminal))
            .map(|&terminal| self.vehicle.terminal(terminal).label.as_str())
            .collect();
        let mut lines = Vec::new();
        if !dead.is_empty() {
            lines.push(format!(
                "With a meter to the chassis, in every position of the key that can be tried, these must be dead now: {}. One that is not is fed from somewhere that the record does not know: stop and find it.",
                phrase::and(&dead)
            ));
        }
        for (terminal, by_key) in &self.isolation.still_live {
            lines.push(format!(
                "{} is still live {}: from elsewhere. Take it as live until its other end is off.",
                self.vehicle.terminal(*terminal).label,
                keys(*by_key)
            ));
        }
        if !self.plan.before.solved.explored.complete {
            lines.push("Not every combination of the switches could be looked at: try them all with the meter.".to_owned());
        }
        lines
    }

    /// Parts that go, and those that their wires come off from.
    fn touched(&self) -> BTreeSet<PartId> {
        let ends = self.plan.wires_out.iter().flat_map(|&wire| {
            let wire = self.vehicle.wire(wire);
            [wire.from, wire.to]
        });
        let parts = ends.filter_map(|end| self.vehicle.terminal(end).part);
        parts.chain(self.removed.iter().copied()).collect()
    }
}
