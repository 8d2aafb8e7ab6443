//! What is done with what stays, and how it is proved that only what was meant to go is gone.

use super::PlaceKind;
use super::steps::Work;
use crate::advise::ends::keys;
use crate::model::PartId;
use crate::phrase;
use crate::quantity::show;
use crate::quantity::show::Units;

impl Work<'_> {
    pub(super) fn cap(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for place in &self.plan.places {
            if place.kind != PlaceKind::End {
                continue;
            }
            let wires: Vec<&str> = place
                .wires
                .iter()
                .map(|&wire| self.vehicle.wire(wire).id.as_str())
                .collect();
            let was = self.vehicle.terminal(place.terminals[0]).label.as_str();
            let live = self.plan.live_ends.iter().find(|end| end.at == place.name);
            let state = match live {
                Some(end) => format!("live {}", keys(end.hot_in)),
                None => "dead".to_owned(),
            };
            lines.push(format!(
                "{} {} with a free end where {was} was ({} in the record), {state}: sealed end cap, labelled with its number, the date and `was {was}`.",
                phrase::and(&wires),
                phrase::verb(wires.len(), "stays", "stay"),
                place.name
            ));
        }
        for end in &self.plan.live_ends {
            if !self.plan.places.iter().any(|place| place.name == end.at) {
                lines.push(format!(
                    "{} stays live {} and nothing is on it any more: {}.",
                    end.at,
                    keys(end.hot_in),
                    end.advice
                ));
            }
        }
        lines
    }

    pub(super) fn close(&self) -> Vec<String> {
        let mut lines = Vec::new();
        let through: Vec<&str> = self
            .plan
            .wires_out
            .iter()
            .map(|&wire| self.vehicle.wire(wire))
            .filter(|wire| {
                wire.route
                    .iter()
                    .any(|way| way == "grommet" || way == "bare-hole")
            })
            .map(|wire| wire.id.as_str())
            .collect();
        if !through.is_empty() {
            lines.push(format!(
                "Close the holes and grommets of {}; those into the cab so that neither water nor exhaust comes in.",
                phrase::and(&through)
            ));
        }
        for &part in &self.plan.remove {
            let own = self.vehicle.part(part);
            let tap = own
                .fields
                .text("tap")
                .is_some_and(|tap| tap.value == "piercing");
            if tap {
                lines.push(format!(
                    "{} has bitten through insulation: mend that wire, tape alone does not last.",
                    own.name.value
                ));
            }
        }
        lines
    }

    pub(super) fn reconnect(&self) -> Vec<String> {
        let back: Vec<PartId> = self
            .isolation
            .pull
            .iter()
            .copied()
            .filter(|part| !self.removed.contains(part))
            .filter(|part| {
                !self.plan.freed.fuses.contains(part) && !self.plan.freed.feeds.contains(part)
            })
            .collect();
        let mut lines = vec!["All switches off.".to_owned()];
        if !back.is_empty() {
            lines.push(format!(
                "Put back {}: other things are behind it.",
                self.names(&back)
            ));
        }
        let empty: Vec<PartId> = self.plan.freed.fuses.clone();
        if !empty.is_empty() {
            lines.push(format!(
                "Leave the place of {} empty: nothing is behind any more.",
                self.names(&empty)
            ));
        }
        if !self.isolation.batteries.is_empty() {
            lines.push(format!(
                "The negative cable of {} last.",
                self.names(&self.isolation.batteries)
            ));
        }
        lines
    }

    pub(super) fn prove(&self) -> Vec<String> {
        let (before, after) = (
            &self.plan.before.solved.key_off,
            &self.plan.after.solved.key_off,
        );
        let less = before.draw - after.draw;
        let less = if less.0 > 0.5e-3 {
            format!("{} less than before", show::show(less, Units::Metric))
        } else {
            "as before".to_owned()
        };
        let mut lines = vec![format!(
            "Measure the key-off current again, with the same wait and about the same temperature: {} is expected, {less}. If it is not so, something else was disturbed.",
            self.draw(after),
        )];
        if !self.plan.goes_dead.is_empty() {
            let mut dead: Vec<&str> = self
                .plan
                .goes_dead
                .iter()
                .map(|dead| self.name(dead.part))
                .collect();
            dead.dedup();
            lines.push(format!("Does not work any more: {}.", phrase::and(&dead)));
        }
        lines.push(
            "Everything on the list from the start works as it did, and no warning lamp is new."
                .to_owned(),
        );
        lines.push("Photograph every capped end, date and sign the sheet.".to_owned());
        lines
    }
}
