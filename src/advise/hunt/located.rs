//! Once the fuse is known: which part behind it, which wires to follow, what to expect when the part is unplugged.

use super::Case;
use super::circuits::How;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::WireId;
use crate::model::walk::End;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::quantity::show::Units;
use crate::quantity::show::range;
use crate::quantity::show::show;
use crate::read::document::Kind;
use crate::table::typical;

/// A place where an unknown draw was found.
#[derive(Clone, PartialEq, Debug)]
pub struct Located {
    /// The fuse; nothing for what flows past all fuses.
    pub fuse: Option<PartId>,
    /// What is drawn there beyond what the record explains.
    pub current: Amps,
    /// Its range.
    pub range: Interval<Amps>,
    /// Parts that it can be, the best match first.
    pub parts: Vec<Candidate>,
    /// Wires to follow, nearest to the fuse first, those on the way home left out.
    pub wires: Vec<WireId>,
    /// Generic equipment that draws about so much.
    pub like: Vec<String>,
    /// What the meter should show when the suspect is unplugged, in one sentence.
    pub expect: String,
    /// What can flow past all fuses, where it does.
    pub past: Vec<String>,
}

/// A part that a draw can be.
#[derive(Clone, PartialEq, Debug)]
pub struct Candidate {
    /// The part; a relay stands for its coil.
    pub part: PartId,
    /// How it would come to draw it.
    pub how: How,
    /// What it would draw; nothing where the record does not say.
    pub possible: Option<Amps>,
    /// How well that matches, from 0 to 1.
    pub match_: f64,
}

/// Everything that was found, the largest first.
pub(super) fn located(case: &Case<'_>) -> Vec<Located> {
    let mut list: Vec<Located> = case
        .beliefs
        .found
        .iter()
        .map(|&place| at(case, place))
        .collect();
    list.sort_by(|a, b| b.current.0.total_cmp(&a.current.0));
    list
}

fn at(case: &Case<'_>, place: usize) -> Located {
    let belief = case.beliefs.places[place];
    let fuse = case.circuits.fuses.get(place).copied();
    let spread = 2.0 * belief.spread;
    let current = Amps(belief.current);
    let parts = candidates(case, place, belief.current, belief.spread);
    Located {
        fuse,
        current,
        range: Interval {
            low: Amps((belief.current - spread).max(0.0)),
            high: Amps(belief.current + spread),
        },
        wires: match fuse {
            Some(_) => case.circuits.behind[place]
                .wires
                .iter()
                .filter(|behind| !behind.returns && !case.vehicle.wire(behind.wire).assumed)
                .map(|behind| behind.wire)
                .collect(),
            None => Vec::new(),
        },
        like: like(case, belief.current, spread),
        expect: expect(case, fuse, &parts, current),
        past: if fuse.is_none() {
            past(case)
        } else {
            Vec::new()
        },
        parts,
    }
}

/// Parts by how well what they could draw beyond the record matches what is drawn.
fn candidates(case: &Case<'_>, place: usize, amps: f64, spread: f64) -> Vec<Candidate> {
    let mut list: Vec<Candidate> = Vec::new();
    for one in &case.circuits.places[place].possible {
        let match_ = if one.amps > 0.0 {
            // Equipment is seldom known to better than a tenth.
            let width = one.share.max(0.1).hypot(spread / amps.max(1e-6));
            let off = (amps / one.amps).ln() / width;
            (-0.5 * off * off).exp()
        } else {
            0.3
        };
        let known = list.iter_mut().find(|known| known.part == one.part);
        let candidate = Candidate {
            part: one.part,
            how: one.how,
            possible: (one.amps > 0.0).then_some(Amps(one.amps)),
            match_,
        };
        match known {
            Some(known) if known.match_ < match_ => *known = candidate,
            Some(_) => {}
            None => list.push(candidate),
        }
    }
    list.sort_by(|a, b| b.match_.total_cmp(&a.match_).then(a.part.cmp(&b.part)));
    list
}

/// What typically draws so much with the key off.
fn like(case: &Case<'_>, amps: f64, spread: f64) -> Vec<String> {
    // A coil that stays in, a module that does not sleep, a lamp that burns.
    const NAMES: [&str; 9] = [
        "relay-coil",
        "solenoid-coil",
        "telematics-awake",
        "dash-camera-parking",
        "inverter-idle",
        "filament-indicator",
        "led-indicator",
        "dome-lamp-led",
        "dome-lamp-filament",
    ];
    let system = case.vehicle.system.likely;
    NAMES
        .iter()
        .filter_map(|name| {
            let one = typical::get(name)?;
            let cited = one.parked(system).or_else(|| one.on(system))?;
            let cited = if cited.high.0 < 0.01 {
                one.on(system)?
            } else {
                cited
            };
            let fits = amps + spread >= cited.low.0 * 0.9 && amps - spread <= cited.high.0 * 1.1;
            let of = Interval {
                low: cited.low,
                high: cited.high,
            };
            fits.then(|| format!("{} ({})", one.title, range(of, Units::Metric)))
        })
        .collect()
}

/// What a coil, a sleeping module and a lamp draw, for whoever has no feeling for it.
pub(super) fn rules_of_thumb(system: Volts) -> String {
    let of = |name: &str| {
        let one = typical::get(name)?;
        let cited = one.parked(system)?;
        let of = Interval {
            low: cited.low,
            high: cited.high,
        };
        Some(range(of, Units::Metric))
    };
    let parts = [
        ("a relay coil draws", of("relay-coil")),
        ("a module that sleeps", of("telematics")),
        ("one that stays awake", of("telematics-awake")),
        ("a small lamp", of("filament-indicator")),
        ("a dome lamp", of("dome-lamp-filament")),
    ];
    let words: Vec<String> = parts
        .into_iter()
        .filter_map(|(what, amps)| Some(format!("{what} {}", amps?)))
        .collect();
    words.join(", ")
}

fn expect(case: &Case<'_>, fuse: Option<PartId>, parts: &[Candidate], current: Amps) -> String {
    let total = case.balance.map_or(Amps::ZERO, |balance| balance.measured);
    let after = show(Amps((total.0 - current.0).max(0.0)), Units::Metric);
    let total = show(total, Units::Metric);
    let back = match fuse {
        Some(fuse) if case.out.contains(&fuse) => {
            format!("put {} back and wait; ", case.name(fuse))
        }
        _ => String::new(),
    };
    let what = match (parts.first(), fuse) {
        (Some(best), _) if best.match_ >= 0.3 => case.name(best.part).to_owned(),
        (_, Some(fuse)) => format!("the right part behind {}", case.name(fuse)),
        (_, None) => "the right one".to_owned(),
    };
    format!(
        "{back}with everything in the meter shows {total}, and when {what} is unplugged it should fall to about {after}"
    )
}

/// What can draw past all fuses, by the record and by experience.
fn past(case: &Case<'_>) -> Vec<String> {
    let vehicle = case.vehicle;
    let walks = &case.circuits.walks;
    let mut list: Vec<String> = Vec::new();
    let mut add = |words: String| {
        if !list.contains(&words) {
            list.push(words);
        }
    };
    for source in 0..walks.sources.len() {
        let own = &walks.sources[source];
        let from = case.name(own.part).to_owned();
        for reach in walks.unprotected(vehicle, source) {
            let End::Consumer(consumer) = reach.end else {
                continue;
            };
            let part = walks.consumers[consumer].part;
            if vehicle.own_load != Some(part) {
                add(format!(
                    "{}, fed from {from} with no fuse on the way",
                    case.name(part)
                ));
            }
        }
    }
    let left = case.solved.left();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let name = &part.name.value;
        let live = |&terminal: &TerminalId| left.at(terminal).abs().0 > crate::solve::LIVE;
        match part.kind {
            Kind::Alternator => {
                add(format!(
                    "{name}: take its cable off; a leaking diode draws 0.1 A and more"
                ));
            }
            Kind::Isolator => {
                add(format!("{name} and the battery behind it"));
            }
            Kind::Feed if part.terminals.iter().any(live) => {
                add(format!("{name}, a feed of the vehicle with its own fuse"));
            }
            _ => {}
        }
    }
    add(
        "ring terminals at the battery posts that are not in the record: lift them one at a time"
            .to_owned(),
    );
    add("the starter cable and its solenoid, and dirt on the battery's top".to_owned());
    list
}
