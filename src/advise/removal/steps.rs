//! The order of work: source ends first, returns last, and at each step what must be dead by then.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::PlaceKind;
use super::Plan;
use super::is_its_own;
use super::isolation::Isolation;
use crate::advise::ends::keys;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Walks;
use crate::phrase;
use crate::quantity::Seconds;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::read::document::Kind;

/// How a wire is taken off: its source end must never be on while its load end is off.
const ONE_END: &str =
    "Of each wire the end named here comes off first and is insulated at once, then its other end.";

/// One step of the work.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// What it is, as a heading.
    pub name: String,
    /// What to do, one sentence each.
    pub lines: Vec<String>,
}

/// The steps of a removal, in their order.
pub(super) fn steps(plan: &Plan) -> Vec<Step> {
    let walks = Walks::new(&plan.before.vehicle);
    let work = Work {
        plan,
        vehicle: &plan.before.vehicle,
        removed: plan.remove.iter().copied().collect(),
        isolation: Isolation::of(plan, &walks),
        walks,
    };
    let all = [
        ("Record", work.record()),
        ("Shut down", work.shut_down()),
        ("Isolate at the source", work.isolate()),
        ("Prove dead", work.prove_dead()),
        ("Lift the source ends first", work.feeds()),
        ("Restore what runs through", work.restore()),
        ("Take off the control side", work.control()),
        ("Take off the returns last", work.returns()),
        ("Take out the parts and the runs", work.take_out()),
        ("Cap what stays", work.cap()),
        ("Close holes", work.close()),
        ("Reconnect", work.reconnect()),
        ("Prove", work.prove()),
    ];
    let steps = all.into_iter().filter(|(_, lines)| !lines.is_empty());
    steps
        .map(|(name, lines)| Step {
            name: name.to_owned(),
            lines,
        })
        .collect()
}

pub(super) struct Work<'p> {
    pub(super) plan: &'p Plan,
    pub(super) vehicle: &'p Vehicle,
    removed: BTreeSet<PartId>,
    isolation: Isolation,
    pub(super) walks: Walks,
}

impl Work<'_> {
    fn name(&self, part: PartId) -> &str {
        &self.vehicle.part(part).name.value
    }

    /// `F1 (30 A, beside the battery)`.
    fn called(&self, part: PartId) -> String {
        let own = self.vehicle.part(part);
        let rating = own
            .fields
            .quantity("rating")
            .map(|rating| rating.text.clone());
        let known: Vec<String> = rating
            .into_iter()
            .chain(own.what.clone())
            .chain(own.place.clone())
            .collect();
        if known.is_empty() {
            own.name.value.clone()
        } else {
            format!("{} ({})", own.name.value, known.join(", "))
        }
    }

    /// `w3 (red, 12 AWG) from K1.87 to WORK`.
    pub(super) fn wire(&self, id: WireId) -> String {
        let wire = self.vehicle.wire(id);
        let size = wire.size.map(|size| size.to_string());
        let known: Vec<String> = wire.color.clone().into_iter().chain(size).collect();
        let label = |end: TerminalId| self.vehicle.terminal(end).label.as_str();
        let about = if known.is_empty() {
            String::new()
        } else {
            format!(" ({})", known.join(", "))
        };
        format!(
            "{}{about} from {} to {}",
            wire.id,
            label(wire.from),
            label(wire.to)
        )
    }

    fn names(&self, parts: &[PartId]) -> String {
        let names: Vec<&str> = parts.iter().map(|&part| self.name(part)).collect();
        phrase::and(&names)
    }

    fn record(&self) -> Vec<String> {
        let mut lines = vec![
            "Photograph every end before it is touched, and write down the fuse map.".to_owned(),
            format!(
                "Measure the key-off current at the battery's negative cable after the modules have gone to sleep; the record expects {}.",
                self.draw(&self.plan.before.solved.key_off)
            ),
        ];
        let own: Vec<&str> = self
            .vehicle
            .part_ids()
            .filter(|&part| Some(part) != self.vehicle.own_load)
            .filter(|&part| !self.removed.contains(&part) && is_its_own(self.vehicle, part))
            .filter(|part| self.walks.consumers_of(*part).next().is_some())
            .map(|part| self.name(part))
            .collect();
        let tested = if own.is_empty() {
            "Test and write down what works now: lamps, horn, wipers, and everything that is to be used again.".to_owned()
        } else {
            format!(
                "Test and write down what works now: {}, lamps, horn, wipers, and everything that is to be used again.",
                phrase::and(&own)
            )
        };
        lines.push(tested);
        lines
    }

    fn draw(&self, key_off: &crate::analyze::KeyOff) -> String {
        let one = |amps| show::show(amps, Units::Metric);
        let range = show::range(key_off.range, Units::Metric);
        let likely = one(key_off.draw);
        let mut words = if range == likely {
            likely
        } else {
            format!("{likely} ({range})")
        };
        if !key_off.missing.is_empty() {
            words.push_str(&format!(", without {}", phrase::and(&key_off.missing)));
        }
        words
    }

    fn shut_down(&self) -> Vec<String> {
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

    fn isolate(&self) -> Vec<String> {
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

    /// Parts that go, and those that their wires come off from.
    fn touched(&self) -> BTreeSet<PartId> {
        let ends = self.plan.wires_out.iter().flat_map(|&wire| {
            let wire = self.vehicle.wire(wire);
            [wire.from, wire.to]
        });
        let parts = ends.filter_map(|end| self.vehicle.terminal(end).part);
        parts.chain(self.removed.iter().copied()).collect()
    }

    fn prove_dead(&self) -> Vec<String> {
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

    fn feeds(&self) -> Vec<String> {
        let feeds = self.lifted(|wire| !self.is_return(wire) && !self.is_control(wire));
        let mut lines = self.off(feeds);
        if !lines.is_empty() {
            lines.insert(0, ONE_END.to_owned());
        }
        lines
    }

    fn restore(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for place in &self.plan.places {
            let was: Vec<&str> = place
                .terminals
                .iter()
                .map(|&at| self.vehicle.terminal(at).label.as_str())
                .collect();
            let wires: Vec<&str> = place
                .wires
                .iter()
                .map(|&wire| self.vehicle.wire(wire).id.as_str())
                .collect();
            match place.kind {
                PlaceKind::Joint => lines.push(format!(
                    "Join {} with a like-for-like joint, sealed, where {} was ({} in the record).",
                    phrase::and(&wires),
                    phrase::and(&was),
                    place.name
                )),
                PlaceKind::Ground => lines.push(format!(
                    "{} keep a ground where {} was ({} in the record): clean metal, tight.",
                    phrase::and(&wires),
                    phrase::and(&was),
                    place.name
                )),
                PlaceKind::End => {}
            }
        }
        for dead in self.plan.goes_dead.iter().filter(|dead| dead.must_work) {
            lines.push(format!(
                "{} must work: {}. Give it back its own circuit, with its own fuse, before the vehicle is used.",
                self.called(dead.part),
                dead.why.text()
            ));
        }
        if !lines.is_empty() {
            lines.push("Test it.".to_owned());
        }
        lines
    }

    fn control(&self) -> Vec<String> {
        let wires = self.lifted(|wire| self.is_control(wire) && !self.is_return(wire));
        let mut lines = self.off(wires);
        if !lines.is_empty() {
            lines.insert(0, ONE_END.to_owned());
        }
        lines
    }

    fn returns(&self) -> Vec<String> {
        let mut lines = self.off(self.lifted(|wire| self.is_return(wire)));
        if !lines.is_empty() {
            lines.push("Tighten again what stays on the same bolts.".to_owned());
        }
        lines
    }

    /// By place, so that one goes round once.
    fn take_out(&self) -> Vec<String> {
        let mut places: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let of = |part: PartId| self.vehicle.part(part).place.as_deref().unwrap_or("");
        for &part in &self.plan.remove {
            let own = self.vehicle.part(part);
            let what = own.what.as_ref().map(|what| format!(" ({what})"));
            places.entry(of(part)).or_default().push(format!(
                "{}{}",
                own.name.value,
                what.unwrap_or_default()
            ));
        }
        for &wire in &self.plan.wires_out {
            let ends = self.vehicle.wire(wire);
            let mut at: Vec<&str> = [ends.from, ends.to]
                .into_iter()
                .filter_map(|end| self.vehicle.terminal(end).part)
                .map(of)
                .filter(|place| !place.is_empty())
                .collect();
            at.dedup();
            for place in if at.is_empty() { vec![""] } else { at } {
                places.entry(place).or_default().push(ends.id.clone());
            }
        }
        let mut lines: Vec<String> = Vec::new();
        for (place, things) in &places {
            if !place.is_empty() {
                lines.push(format!("{place}: {}.", phrase::and(things)));
            }
        }
        if let Some(things) = places.get("") {
            lines.push(format!("Place not stated: {}.", phrase::and(things)));
        }
        lines
    }

    fn cap(&self) -> Vec<String> {
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
                "{} stays with a free end where {was} was ({} in the record), {state}: sealed end cap, labelled with its number, the date and `was {was}`.",
                phrase::and(&wires),
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

    fn close(&self) -> Vec<String> {
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

    fn reconnect(&self) -> Vec<String> {
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

    fn prove(&self) -> Vec<String> {
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
