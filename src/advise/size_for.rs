//! What a circuit of a record needs, to be sized anew.

use super::size::Need;
use crate::analyze::Solved;
use crate::check::rules::Rules;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::Zone;
use crate::model::walk::Consumer;
use crate::model::walk::Walks;
use crate::model::walk::is_protection;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Meters;
use crate::quantity::Scalar;
use crate::quantity::Seconds;
use crate::read::document::Dimension;
use crate::read::document::Value;
use crate::table::load;

/// The need of what feeds a part: its largest current in any setting, the wires between it and its nearest protection, its own
/// returns, the poorest insulation and the warmest place on the way.
///
/// # Errors
/// What the record does not state, or why the part has no circuit of its own.
pub fn need(vehicle: &Vehicle, solved: &Solved, part: PartId) -> Result<Need, Vec<String>> {
    let walks = Walks::new(vehicle);
    let name = &vehicle.part(part).name.value;
    let of_part: Vec<_> = walks.consumers_of(part).collect();
    let most = |branch: crate::model::BranchId| {
        let seen = solved.explored.branches.get(branch.index());
        seen.map_or(Amps::ZERO, |extreme| extreme.value.abs())
    };
    let largest = of_part
        .into_iter()
        .max_by(|a, b| most(a.branch).0.total_cmp(&most(b.branch).0));
    let Some(consumer) = largest else {
        return Err(vec![format!("{name} uses no current by itself")]);
    };
    let mut missing = Vec::new();
    // What a fault that is to be mended takes away, a bad ground say, comes back with the mend.
    let seen = most(consumer.branch);
    let draw = if seen.0 > 0.0 {
        seen.max(rated(vehicle, consumer))
    } else {
        seen
    };
    if draw.0 <= 0.0 {
        missing.push(format!("{name}.draw"));
    }
    let rules = Rules::of(vehicle);
    let mut need = Need::of(draw, Meters::ZERO, vehicle.system.likely);
    need.scheme = rules.scheme();
    need.fuse_to_wire = rules.fuse_to_wire().value;
    need.drop = vehicle
        .part(part)
        .stated("drop-limit")
        .map_or(rules.drop().value, |limit| limit.range.low);
    need.ambient = Celsius(f64::NEG_INFINITY);
    let mut class: Option<Celsius> = None;
    let mut fuse = None;
    let mut wires: Vec<(WireId, bool)> = Vec::new();
    for link in &consumer.feed {
        match *link {
            Link::Wire(wire) => wires.push((wire, false)),
            Link::Branch(branch) if is_protection(vehicle, vehicle.branch(branch).part) => {
                fuse = Some(vehicle.branch(branch).part);
                break;
            }
            Link::Branch(_) => {}
        }
    }
    wires.extend(consumer.back.iter().filter_map(|link| match *link {
        Link::Wire(wire) => Some((wire, true)),
        Link::Branch(_) => None,
    }));
    for (id, returns) in wires {
        let wire = vehicle.wire(id);
        if wire.assumed {
            continue;
        }
        match (&wire.length, returns) {
            (Some(length), true) => need.back += length.range.high,
            (Some(length), false) => need.out += length.range.high,
            (None, _) => missing.push(format!("{}.length", wire.id)),
        }
        match wire.insulation {
            Some(one) => {
                class = Some(class.map_or(one.range.low, |least| least.min(one.range.low)));
            }
            None => missing.push(format!("{}.insulation", wire.id)),
        }
        need.ambient = need.ambient.max(wire.ambient.likely);
        need.engine_space |= wire.zone == Zone::EngineBay;
        if let Some(bundle) = &wire.bundle {
            let loaded = vehicle.wires.iter().zip(&solved.explored.wires);
            let loaded = loaded.filter(|(other, extreme)| {
                other.bundle.as_ref() == Some(bundle) && extreme.value.0.abs() > 1e-3
            });
            let count: u32 = loaded.map(|(other, _)| other.parallel.max(1)).sum();
            need.bundle = need.bundle.max(count);
        }
    }
    if let Some(fuse) = fuse {
        need.at_fuse = match vehicle.part(fuse).zone {
            Zone::EngineBay => vehicle.climate.engine_bay.likely,
            Zone::Cabin => vehicle.climate.cabin.likely,
            Zone::Exterior => vehicle.climate.exterior.likely,
        };
    }
    if !need.ambient.0.is_finite() {
        missing.push(format!("a wire to {name}"));
    }
    if let Some(class) = class {
        need.class = class;
    }
    if let Element::Load(of) = &vehicle.branch(consumer.branch).element {
        need.duty = of.duty.likely;
    }
    need.inrush = inrush(vehicle, consumer, draw);
    if missing.is_empty() {
        Ok(need)
    } else {
        missing.sort();
        missing.dedup();
        Err(missing)
    }
}

/// What a load takes at the voltage that it is rated for; nothing where it states no draw.
fn rated(vehicle: &Vehicle, consumer: &Consumer) -> Amps {
    let Element::Load(of) = &vehicle.branch(consumer.branch).element else {
        return Amps::ZERO;
    };
    let law = of.heaviest();
    law.map_or(Amps::ZERO, |(law, _)| law.at_rated(of.rated.likely))
}

/// As stated; how long it lasts, and all of it where nothing is stated, by the type of the load.
fn inrush(vehicle: &Vehicle, consumer: &Consumer, draw: Amps) -> Option<(Amps, Seconds)> {
    let kind = vehicle.part(consumer.part).fields.text("type");
    let typical = kind.and_then(|kind| load::inrush(&kind.value));
    let stated = match vehicle.of_supply(consumer.branch, "inrush") {
        Some(Value::Quantity(stated)) => Some(stated),
        _ => None,
    };
    let amps = match stated {
        Some(stated) if stated.dimension == Dimension::Multiple => draw * stated.high,
        Some(stated) => Amps::of(stated.high),
        None => draw * typical?.multiple.value,
    };
    let lasts = stated.and_then(|stated| stated.lasts).map(Seconds);
    Some((amps, lasts.or_else(|| Some(typical?.lasts.value))?))
}
