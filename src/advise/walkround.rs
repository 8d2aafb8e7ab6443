//! The sheet to carry round the vehicle: by place, what to look at, what would settle most, what is live and bare, what to mend.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::ends::by_key;
use super::ends::is_bare;
use crate::Audit;
use crate::check::Level;
use crate::model::Key;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::Zone;
use crate::read::document::Kind;
use crate::read::keys;

/// The sheet.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Round {
    /// Facts that are not stated, those that settle most first.
    pub first: Vec<Look>,
    /// What is asked of papers, plates and people rather than looked for at the vehicle.
    pub ask: Vec<Look>,
    /// Places, in the order in which one goes round: outside, engine bay, cab and body.
    pub stops: Vec<Stop>,
    /// Settings looked at, and of how many, where those were not all: switches to be tried by hand.
    pub settings: Option<(u64, u64)>,
}

/// One place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stop {
    /// In the record's words; empty where it does not say.
    pub place: String,
    /// Its zone.
    pub zone: Zone,
    /// Facts to look for, those that settle most first.
    pub look: Vec<Look>,
    /// Ends that are bare and live.
    pub live_ends: Vec<Bare>,
    /// What to mend, the worst first.
    pub mend: Vec<Mend>,
    /// What the record has here.
    pub there: Vec<There>,
}

/// A fact that is not stated.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Look {
    /// The fact, as output lists it: `F1.rating`.
    pub fact: String,
    /// What it is about: the ends and colour of a wire, the words of a part.
    pub about: String,
    /// What it means, in the words of the format.
    pub meaning: String,
    /// How many verdicts it would settle, alone or together with others.
    pub settles: usize,
    /// Of these, how many wait for it alone.
    pub alone: usize,
    /// By which checks.
    pub checks: Vec<&'static str>,
}

/// A bare end that is live.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Bare {
    /// The terminal.
    pub at: String,
    /// In which positions of the key, in the order of [`Key::ALL`].
    pub hot_in: [bool; Key::ALL.len()],
}

/// A finding, as a thing to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mend {
    /// The check.
    pub check: &'static str,
    /// Its level.
    pub level: Level,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

/// A part that the record has at a place, to be compared with what is there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct There {
    /// The part.
    pub part: PartId,
    /// How many wires the record has on each of its posts or bars: one more that is found is an added circuit.
    pub rings: Option<usize>,
}

/// A place in the order of the round.
type Spot = (u8, usize, String);

struct Rounder<'a> {
    audit: &'a Audit,
    /// Parts and wires by name.
    wires: BTreeMap<&'a str, WireId>,
    /// When each place is first named.
    order: BTreeMap<&'a str, usize>,
}

impl Round {
    /// Lays out the round of a vehicle that was audited.
    #[must_use]
    pub fn of(audit: &Audit) -> Self {
        let vehicle = &audit.vehicle;
        let mut order: BTreeMap<&str, usize> = BTreeMap::new();
        for (number, part) in vehicle.parts.iter().enumerate() {
            if let Some(place) = &part.place {
                order.entry(place).or_insert(number);
            }
        }
        let wires = (0..).map(WireId).zip(&vehicle.wires);
        let rounder = Rounder {
            audit,
            wires: wires.map(|(id, wire)| (wire.id.as_str(), id)).collect(),
            order,
        };
        rounder.round()
    }
}

impl Rounder<'_> {
    fn vehicle(&self) -> &Vehicle {
        &self.audit.vehicle
    }

    fn round(&self) -> Round {
        let mut stops: BTreeMap<Spot, Stop> = BTreeMap::new();
        let mut ask = Vec::new();
        let looks = self.looks();
        for look in &looks {
            match self.place_of(&look.fact) {
                Some(spot) => self.at(&mut stops, spot).look.push(look.clone()),
                None => ask.push(look.clone()),
            }
        }
        let numbered = (0..).map(TerminalId).zip(&self.vehicle().terminals);
        for (id, terminal) in numbered.skip(1) {
            let hot_in = by_key(&self.audit.solved.explored, id);
            if !hot_in.contains(&true) || !is_bare(self.vehicle(), id) {
                continue;
            }
            let Some(part) = terminal
                .part
                .filter(|&part| Some(part) != self.vehicle().own_load)
            else {
                continue;
            };
            let stop = self.at(&mut stops, self.spot(part));
            stop.live_ends.push(Bare {
                at: terminal.label.clone(),
                hot_in,
            });
        }
        let open = self.audit.report.findings.iter();
        for reported in open.filter(|one| one.accepted.is_none()) {
            let finding = &reported.finding;
            let part = finding.parts.iter().map(|&part| self.spot(part));
            let wire = finding.wires.iter().map(|&wire| self.spot_of_wire(wire));
            let spot = part.chain(wire).next();
            let spot = spot.unwrap_or((u8::MAX, 0, String::new()));
            self.at(&mut stops, spot).mend.push(Mend {
                check: reported.check.name,
                level: reported.level,
                message: finding.message.clone(),
                help: finding.help.clone(),
            });
        }
        for part in (0..self.vehicle().document.parts.len() as u32).map(PartId) {
            let there = There {
                part,
                rings: self.rings(part),
            };
            self.at(&mut stops, self.spot(part)).there.push(there);
        }
        let mut stops: Vec<Stop> = stops.into_values().collect();
        for stop in &mut stops {
            stop.mend.sort_by_key(|mend| std::cmp::Reverse(mend.level));
        }
        let explored = &self.audit.solved.explored;
        Round {
            first: looks,
            ask,
            stops,
            settings: (!explored.complete).then_some((explored.settings, explored.of)),
        }
    }

    fn at<'s>(&self, stops: &'s mut BTreeMap<Spot, Stop>, spot: Spot) -> &'s mut Stop {
        let zone = match spot.0 {
            0 => Zone::Exterior,
            1 => Zone::EngineBay,
            _ => Zone::Cabin,
        };
        stops.entry(spot.clone()).or_insert_with(|| Stop {
            place: spot.2,
            zone,
            look: Vec::new(),
            live_ends: Vec::new(),
            mend: Vec::new(),
            there: Vec::new(),
        })
    }

    fn spot(&self, part: PartId) -> Spot {
        let own = self.vehicle().part(part);
        self.spot_at(own.place.as_deref(), own.zone)
    }

    /// One comes to a place that is named in the order of the record, and then to what has none.
    fn spot_at(&self, place: Option<&str>, zone: Zone) -> Spot {
        let zone = match zone {
            Zone::Exterior => 0,
            Zone::EngineBay => 1,
            Zone::Cabin => 2,
        };
        let number = place.and_then(|place| self.order.get(place)).copied();
        (
            zone,
            number.unwrap_or(usize::MAX),
            place.unwrap_or_default().to_owned(),
        )
    }

    /// A wire is looked at where one of its ends is.
    fn spot_of_wire(&self, id: WireId) -> Spot {
        let wire = self.vehicle().wire(id);
        let ends = [wire.from, wire.to];
        let parts = ends
            .into_iter()
            .filter_map(|end| self.vehicle().terminal(end).part);
        let named = parts.map(|part| self.vehicle().part(part));
        let at = named.into_iter().find(|part| part.place.is_some());
        match at {
            Some(part) => self.spot_at(part.place.as_deref(), part.zone),
            None => self.spot_at(None, wire.zone),
        }
    }

    fn rings(&self, part: PartId) -> Option<usize> {
        let own = self.vehicle().part(part);
        let counted = match own.kind {
            Kind::Battery => own.terminals.first()?,
            Kind::Busbar | Kind::Stud | Kind::Ground => own.terminals.first()?,
            _ => return None,
        };
        let wires = self.vehicle().wires.iter().filter(|wire| !wire.assumed);
        Some(
            wires
                .filter(|wire| [wire.from, wire.to].contains(counted))
                .count(),
        )
    }

    /// Facts that are not stated, by how much they would settle.
    fn looks(&self) -> Vec<Look> {
        let mut facts: BTreeMap<&str, (usize, usize, BTreeSet<&'static str>)> = BTreeMap::new();
        for (check, gap) in &self.audit.report.gaps {
            for fact in gap
                .missing
                .iter()
                .filter(|fact| !fact.starts_with("settings: "))
            {
                let known = facts.entry(fact).or_default();
                known.0 += 1;
                known.1 += usize::from(gap.missing.len() == 1);
                known.2.insert(check.name);
            }
        }
        let mut looks: Vec<Look> = facts
            .into_iter()
            .map(|(fact, (settles, alone, checks))| Look {
                fact: fact.to_owned(),
                about: self.about(fact),
                meaning: self.meaning(fact),
                settles,
                alone,
                checks: checks.into_iter().collect(),
            })
            .collect();
        // Stable: those that settle as much stay in the order of their names.
        looks.sort_by_key(|look| std::cmp::Reverse((look.settles, look.alone)));
        looks
    }

    /// The part or wire that a fact is of, and what of it.
    fn subject<'f>(&self, fact: &'f str) -> (Option<PartId>, Option<WireId>, &'f str) {
        for (dot, _) in fact.rmatch_indices('.') {
            let (name, rest) = (&fact[..dot], &fact[dot + 1..]);
            if let Some(index) = self.vehicle().document.part_index(name) {
                return (Some(PartId(index.0)), None, rest);
            }
            if let Some(&wire) = self.wires.get(name) {
                return (None, Some(wire), rest);
            }
        }
        (None, None, fact)
    }

    fn place_of(&self, fact: &str) -> Option<Spot> {
        match self.subject(fact) {
            (Some(part), ..) => Some(self.spot(part)),
            (None, Some(wire), _) => Some(self.spot_of_wire(wire)),
            (None, None, _) => None,
        }
    }

    fn about(&self, fact: &str) -> String {
        let vehicle = self.vehicle();
        match self.subject(fact) {
            (Some(part), ..) => vehicle.part(part).what.clone().unwrap_or_default(),
            (None, Some(wire), _) => {
                let wire = vehicle.wire(wire);
                let [from, to] = [wire.from, wire.to].map(|end| &vehicle.terminal(end).label);
                let color = wire.color.as_ref().map(|color| format!(", {color}"));
                format!("{from} to {to}{}", color.unwrap_or_default())
            }
            (None, None, _) => String::new(),
        }
    }

    fn meaning(&self, fact: &str) -> String {
        let (part, wire, rest) = self.subject(fact);
        let last = rest.rsplit('.').next().unwrap_or(rest);
        let found = match (part, wire) {
            (Some(part), _) => {
                let kind = self.vehicle().part(part).kind;
                keys::of_part(kind, last)
                    .or_else(|| keys::SUPPLY.iter().find(|key| key.name == last))
            }
            (None, Some(_)) => keys::WIRE.iter().find(|key| key.name == last),
            (None, None) => {
                let all = keys::VEHICLE
                    .iter()
                    .chain(keys::ENGINE)
                    .chain(keys::CLIMATE);
                all.chain(keys::OWN_LOAD).find(|key| key.name == last)
            }
        };
        match found {
            Some(key) => key.meaning.to_owned(),
            None if last == "wires" => "What is on this terminal.".to_owned(),
            None => String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read;

    fn round(text: &str) -> (Audit, Round) {
        let read = read::read(
            "t.yaml",
            text.as_bytes(),
            &mut |_| Err(String::new()),
            &read::Limits::default(),
        );
        let audit = crate::audit(read.unwrap_or_else(|fault| panic!("{:#?}", fault.problems)));
        let round = Round::of(&audit);
        (audit, round)
    }

    const RECORD: &str = "keyoff: 1
vehicle: {system: 12 V}
parts:
  B1: {kind: battery, zone: engine-bay, place: battery tray}
  F1: {kind: fuse, rating: 10 A, zone: engine-bay, place: battery tray}
  CUT: {kind: stub, end: bare, zone: exterior, place: front bumper}
  LAMP: {kind: load, type: led, place: dash}
wires:
  - {run: [B1, F1, CUT], size: 14 AWG, lengths: [10 cm, 2 m]}
  - {from: F1, to: LAMP, id: lead}
";

    #[test]
    fn places_come_in_the_order_of_the_round_with_what_is_there() {
        let (audit, round) = round(RECORD);
        let places: Vec<&str> = round.stops.iter().map(|stop| stop.place.as_str()).collect();
        assert_eq!(places, ["front bumper", "battery tray", "dash"]);
        let bumper = &round.stops[0];
        assert_eq!(bumper.live_ends[0].at, "CUT");
        assert_eq!(bumper.live_ends[0].hot_in, [true; 4]);
        assert!(bumper.mend.iter().any(|mend| mend.check == "live-stub"));
        let tray = &round.stops[1];
        assert_eq!(tray.there.len(), 2);
        assert_eq!(
            tray.there[0].rings,
            Some(1),
            "one ring on the positive post"
        );
        let parts: usize = round.stops.iter().map(|stop| stop.there.len()).sum();
        assert_eq!(parts, audit.vehicle.document.parts.len());
    }

    #[test]
    fn every_fact_that_is_lacking_is_told_once_and_what_settles_most_first() {
        let (audit, round) = round(RECORD);
        let placed = round.stops.iter().flat_map(|stop| &stop.look).count();
        assert_eq!(placed + round.ask.len(), round.first.len());
        let counts: Vec<usize> = round.first.iter().map(|look| look.settles).collect();
        assert!(
            counts.windows(2).all(|pair| pair[0] >= pair[1]),
            "{counts:?}"
        );
        let lacking: BTreeSet<&String> = audit
            .report
            .gaps
            .iter()
            .flat_map(|(_, gap)| &gap.missing)
            .collect();
        let told: BTreeSet<&String> = round.first.iter().map(|look| &look.fact).collect();
        assert_eq!(lacking, told);
        let lead = round.first.iter().find(|look| look.fact == "lead.size");
        assert!(lead.is_some_and(|look| look.meaning.starts_with("Conductor size")));
    }
}
