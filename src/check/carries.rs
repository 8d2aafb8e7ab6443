//! How much a wire of the record may carry for long, as far as the record tells.

use super::context::Context;
use crate::analyze::conductor::Conductor;
use crate::model::WireId;
use crate::model::Zone;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Interval;
use crate::quantity::SquareMm;
use crate::table;
use crate::table::Cited;
use crate::table::ampacity;

/// What a wire carries, and what would have to be known to say it exactly.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Carries {
    /// Between the lowest and the highest temperature class that its insulation may have; all parallel conductors together.
    pub(super) amps: Interval<Amps>,
    /// Table and row of the figure that decides: the higher one where the insulation is not known.
    pub(super) source: String,
    /// Facts that would close the range.
    pub(super) missing: Vec<String>,
    /// As the wire is named in sentences: `12 AWG, 105 C`.
    pub(super) named: String,
}

/// The lowest and the highest class that the tables have.
const LOWEST: Celsius = Celsius(60.0);
const HIGHEST: Celsius = Celsius(200.0);

/// What a wire carries; else the facts without which nothing can be said. Reckoned once: half a dozen checks ask.
pub(super) fn carries<'c>(
    context: &'c Context<'_>,
    id: WireId,
) -> &'c Result<Carries, Vec<String>> {
    context.carried[id.index()].get_or_init(|| reckon(context, id))
}

fn reckon(context: &Context<'_>, id: WireId) -> Result<Carries, Vec<String>> {
    let wire = context.vehicle.wire(id);
    let lacking = |key: &str| vec![format!("{}.{key}", wire.id)];
    let Some(size) = wire.size else {
        return Err(lacking("size"));
    };
    if let Some(material) = wire.fields.text("material")
        && material.value != "copper"
    {
        return Err(vec![format!("{}.ampacity of {}", wire.id, material.value)]);
    }
    let (low, high) = match wire.insulation {
        Some(class) => (class.range.low, class.range.high),
        None => (LOWEST, HIGHEST),
    };
    let engine_space = wire.zone == Zone::EngineBay;
    let row = |class| look_up(context, size, class, engine_space);
    let (Some(least), Some(most)) = (row(low), row(high)) else {
        let label = crate::table::wire::label(size);
        return Err(vec![format!(
            "{}.ampacity (no table in use has {label})",
            wire.id
        )]);
    };
    let count = f64::from(wire.parallel.max(1));
    let factor = context.rules.bundle(context, id);
    let share = count * factor.value.0;
    let closed = (least.value.0 - most.value.0).abs() < 1e-9;
    let missing = if closed {
        Vec::new()
    } else {
        lacking("insulation")
    };
    let class = match wire.insulation {
        Some(class) => format!(", {:.0} C insulation", class.likely.0),
        None => String::new(),
    };
    let side_by_side = if wire.parallel > 1 {
        format!("{} x ", wire.parallel)
    } else {
        String::new()
    };
    let mut source = most.source.to_owned();
    if factor.value.0 < 1.0 {
        source = format!("{source}; {}", factor.source);
    }
    Ok(Carries {
        amps: Interval::between(least.value * share, most.value * share),
        source,
        missing,
        named: format!("{side_by_side}{}{class}", crate::table::wire::label(size)),
    })
}

/// A wire as a conductor that heats up: with the poorest and with the best insulation that the record leaves open, and what
/// would close that.
pub(super) struct Heats {
    /// With the poorest.
    pub(super) worst: Conductor,
    /// With the best.
    pub(super) best: Conductor,
    /// Facts that would close the range.
    pub(super) missing: Vec<String>,
}

/// How a wire heats up; else the facts without which nothing can be said.
pub(super) fn heats(context: &Context<'_>, id: WireId) -> Result<Heats, Vec<String>> {
    let carries = carries(context, id).as_ref().map_err(Clone::clone)?;
    let wire = context.vehicle.wire(id);
    let lacking = || vec![format!("{}.size", wire.id)];
    let size = wire.size.ok_or_else(lacking)?;
    let area = table::wire::area(size).ok_or_else(lacking)?;
    let side_by_side = f64::from(wire.parallel.max(1));
    let share = side_by_side * context.rules.bundle(context, id).value.0;
    let (low, high) = match wire.insulation {
        Some(class) => (class.range.low, class.range.high),
        None => (LOWEST, HIGHEST),
    };
    let load = context.solved.explored.wires.get(id.index());
    let load = load.map_or(Amps::ZERO, |extreme| extreme.value.abs());
    let with = |class: Celsius| -> Result<Conductor, Vec<String>> {
        let row = look_up(context, size, class, false).ok_or_else(lacking)?;
        Ok(Conductor {
            area: SquareMm(area.low.0 * side_by_side),
            class,
            carries: row.value * share,
            ambient: wire.ambient.likely,
            load,
        })
    };
    Ok(Heats {
        worst: with(low)?,
        best: with(high)?,
        missing: carries.missing.clone(),
    })
}

/// The sizes above a wire's own, of its system, thinnest first, each as this conductor would be in its place.
pub(super) fn thicker_than(
    context: &Context<'_>,
    id: WireId,
    conductor: &Conductor,
) -> Vec<(crate::quantity::WireSize, Conductor)> {
    let wire = context.vehicle.wire(id);
    let Some(own) = wire.size else {
        return Vec::new();
    };
    let side_by_side = f64::from(wire.parallel.max(1));
    let share = side_by_side * context.rules.bundle(context, id).value.0;
    let thicker = table::wire::thicker_than(own).into_iter();
    thicker
        .filter_map(|size| {
            let area = table::wire::area(size)?;
            let row = look_up(context, size, conductor.class, false)?;
            Some((
                size,
                Conductor {
                    area: SquareMm(area.low.0 * side_by_side),
                    carries: row.value * share,
                    ..*conductor
                },
            ))
        })
        .collect()
}

fn look_up(
    context: &Context<'_>,
    size: crate::quantity::WireSize,
    class: Celsius,
    engine_space: bool,
) -> Option<Cited<Amps>> {
    ampacity::ampacity(size, class, engine_space, context.rules.scheme())
}
