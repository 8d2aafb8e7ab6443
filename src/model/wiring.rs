//! Wires of the record, and the joints that are taken for granted where the record has none.

use petgraph::unionfind::UnionFind;

use super::build::{Builder, status, zone};
use super::default;
use super::element::{Control, Element};
use super::fact::{Basis, Fact};
use super::part::Zone;
use super::vehicle::{PartId, TerminalId, Wire};
use crate::quantity::Interval;
use crate::quantity::{Celsius, Meters, Ohms, WireSize};
use crate::read::document::{self, Dimension, Fields, Kind, Value};
use crate::table::ampacity::insulation_class;
use crate::table::wire;

/// Adds the wires of the record.
pub(super) fn add_recorded(builder: &mut Builder<'_>) {
    for record in &builder.document.wires {
        let wire = recorded(builder, record);
        builder.wires.push(wire);
    }
}

fn recorded(builder: &mut Builder<'_>, record: &document::Wire) -> Wire {
    let fields = &record.fields;
    let from = builder.terminal_of(&record.from.point);
    let to = builder.terminal_of(&record.to.point);
    let size = match fields.get("size") {
        Some(Value::Size(size)) => Some(size.value),
        _ => None,
    };
    let length: Option<Fact<Meters>> = fields.stated("length").map(Fact::stated);
    let parallel = fields
        .quantity("parallel")
        .filter(|count| count.dimension == Dimension::Count && count.low >= 1.0)
        .map_or(1, |count| count.low.round() as u32);
    let zone = zone(fields);
    super::build::assume_zone(builder, fields, &record.id);
    let stated: Option<Fact<Ohms>> = fields.stated("resistance").map(Fact::stated);
    let copper = fields
        .text("material")
        .is_none_or(|material| material.value == "copper");
    let of_length = || {
        let per_meter = per_meter(builder, record, size.filter(|_| copper)?)?;
        Some(per_meter.combine(length?, |ohms, length| {
            ohms * (length.0 / f64::from(parallel))
        }))
    };
    let resistance = stated.or_else(of_length);
    let mut missing = Vec::new();
    if resistance.is_none() {
        let lacks = [
            ("size", size.is_none()),
            ("material", size.is_some() && !copper),
            ("length", length.is_none()),
        ];
        let lacking = lacks.into_iter().filter(|&(_, lacks)| lacks);
        missing.extend(lacking.map(|(key, _)| format!("{}.{key}", record.id)));
    }
    Wire {
        id: record.id.clone(),
        from,
        to,
        size,
        length,
        insulation: insulation(fields),
        parallel,
        bundle: fields.text("bundle").map(|bundle| bundle.value.clone()),
        route: words(fields, "route"),
        zone,
        ambient: ambient(builder, zone),
        color: fields.text("color").map(|color| color.value.clone()),
        status: status(fields),
        resistance,
        landing: [from, to].map(|end| builder.halves.get(&end).copied()),
        missing,
        fields: fields.clone(),
        at: Some(record.at),
        assumed: false,
    }
}

/// Resistance of a metre of one conductor at 20 C. A mm2 size that is in no list is an assumption and listed as one.
fn per_meter(
    builder: &mut Builder<'_>,
    record: &document::Wire,
    size: WireSize,
) -> Option<Fact<Ohms>> {
    let cited = wire::r20(size)?.map(Ohms);
    if !wire::is_listed(size) {
        let what = format!("{} resistance of a metre", record.id);
        return Some(builder.ledger.take(what, &record.id, "resistance", cited));
    }
    Some(Fact {
        range: Interval::between(cited.low, cited.high),
        likely: cited.value,
        basis: Basis::Derived(None),
    })
}

fn words(fields: &Fields, key: &str) -> Vec<String> {
    let word = |value: &Value| match value {
        Value::Text(word) => Some(word.value.clone()),
        _ => None,
    };
    fields.list(key).iter().filter_map(word).collect()
}

fn ambient(builder: &Builder<'_>, zone: Zone) -> Fact<Celsius> {
    match zone {
        Zone::EngineBay => builder.climate.engine_bay,
        Zone::Cabin => builder.climate.cabin,
        Zone::Exterior => builder.climate.exterior,
    }
}

/// A code such as `gxl` by the table of types, or a temperature class; absent where not stated, never guessed.
fn insulation(fields: &Fields) -> Option<Fact<Celsius>> {
    let code = || {
        let code = fields.text("insulation")?;
        let class = insulation_class(&code.value)?;
        Some(Fact {
            range: Interval::between(class.low, class.high),
            likely: class.value,
            basis: Basis::Stated(document::Origin::Unstated, code.at),
        })
    };
    fields.stated("insulation").map(Fact::stated).or_else(code)
}

/// Adds returns and joints that the format takes for granted; each is listed.
pub(super) fn add_assumed(builder: &mut Builder<'_>) {
    let grounded = Grounded::of(builder);
    for index in 0..builder.document.parts.len() as u32 {
        let id = PartId(index);
        match builder.parts[id.index()].kind {
            Kind::Relay => coil_return(builder, id, &grounded),
            Kind::Alternator => {
                join_alternator(builder, id);
                plain_return(builder, id);
            }
            Kind::Load
            | Kind::Controller
            | Kind::Charger
            | Kind::Converter
            | Kind::Delay
            | Kind::Cutoff => plain_return(builder, id),
            _ => {}
        }
    }
    join_batteries(builder);
}

/// Whether a wire of the record lands anywhere on a part.
fn is_wired(builder: &Builder<'_>, id: PartId) -> bool {
    let part = &builder.parts[id.index()];
    part.terminals.iter().any(|end| builder.landed[end.index()])
}

fn plain_return(builder: &mut Builder<'_>, id: PartId) {
    let Some(back) = builder.terminal(id, "-") else {
        return;
    };
    let alternator = builder.parts[id.index()].kind == Kind::Alternator;
    if builder.landed[back.index()] || !(is_wired(builder, id) || alternator) {
        return;
    }
    join(
        builder,
        id,
        back,
        TerminalId::CHASSIS,
        "return",
        "taken as returned to the chassis",
    );
}

/// The end of a coil that has no wire is taken as its return; but a coil that has only a return stays without a feed.
fn coil_return(builder: &mut Builder<'_>, id: PartId, grounded: &Grounded) {
    let Some(common) = builder.terminal(id, "85") else {
        return;
    };
    let feeds: Vec<TerminalId> = ["86", "set", "reset"]
        .iter()
        .filter_map(|name| builder.terminal(id, name))
        .collect();
    let landed = |end: &TerminalId| builder.landed[end.index()];
    let words = "coil taken as returned to the chassis";
    if !landed(&common) {
        if feeds.iter().any(landed) {
            join(builder, id, common, TerminalId::CHASSIS, "return", words);
        }
        return;
    }
    if let &[feed] = feeds.as_slice()
        && !landed(&feed)
        && !grounded.is(common)
    {
        join(builder, id, feed, TerminalId::CHASSIS, "return", words);
    }
}

/// An alternator with no wires is joined to its battery as the factory did it.
fn join_alternator(builder: &mut Builder<'_>, id: PartId) {
    if is_wired(builder, id) {
        return;
    }
    let ends = builder.terminal(id, "+").zip(builder.supply());
    if let Some((plus, supply)) = ends {
        join(
            builder,
            id,
            plus,
            supply,
            "wires",
            "taken as joined to the battery by the factory",
        );
    }
}

/// A battery's `-` is joined to the chassis unless the record itself describes a way from it: a cable, a disconnect, another
/// battery in series. The battery that starts comes first, so that a bank hangs on it.
fn join_batteries(builder: &mut Builder<'_>) {
    let mut batteries: Vec<PartId> = builder
        .batteries
        .iter()
        .map(|battery| battery.part)
        .collect();
    batteries.sort_by_key(|&id| Some(id) != builder.starter);
    let ends: Vec<(PartId, TerminalId, TerminalId)> = batteries
        .iter()
        .filter_map(|&id| Some((id, builder.terminal(id, "-")?, builder.terminal(id, "+")?)))
        .collect();
    let mut cables = cables(builder, false);
    let mut contactors = cables_with_contactors(builder, &cables);
    for &(id, minus, _) in &ends {
        let chassis = TerminalId::CHASSIS.index();
        let series = ends
            .iter()
            .any(|&(other, _, plus)| other != id && cables.equiv(minus.index(), plus.index()));
        if series
            || cables.equiv(minus.index(), chassis)
            || contactors.equiv(minus.index(), chassis)
        {
            continue;
        }
        join(
            builder,
            id,
            minus,
            TerminalId::CHASSIS,
            "-",
            "negative taken as joined to the chassis",
        );
        cables.union(minus.index(), chassis);
        contactors.union(minus.index(), chassis);
    }
}

/// Adds a wire without resistance and lists it.
fn join(
    builder: &mut Builder<'_>,
    id: PartId,
    from: TerminalId,
    to: TerminalId,
    key: &'static str,
    words: &str,
) {
    let name = builder.parts[id.index()].name.value.clone();
    let what = format!("{name} {words}");
    let source = default::exact(Ohms::ZERO, default::TAKEN_FOR_GRANTED);
    let ohms = builder.ledger.take(what, &name, key, source);
    let zone = builder.parts[id.index()].zone;
    let wire = Wire {
        id: format!("{} to {}", label(builder, from), label(builder, to)),
        from,
        to,
        size: None,
        length: None,
        insulation: None,
        parallel: 1,
        bundle: None,
        route: Vec::new(),
        zone,
        ambient: ambient(builder, zone),
        color: None,
        status: builder.parts[id.index()].status,
        resistance: Some(ohms),
        landing: [from, to].map(|end| builder.halves.get(&end).copied()),
        missing: Vec::new(),
        fields: Fields::default(),
        at: None,
        assumed: true,
    };
    builder.wires.push(wire);
}

fn label<'b>(builder: &'b Builder<'_>, end: TerminalId) -> &'b str {
    &builder.terminals[end.index()].label
}

/// What is joined to the chassis by wires and ground points alone.
struct Grounded(UnionFind<usize>);

impl Grounded {
    fn of(builder: &Builder<'_>) -> Self {
        Self(cables(builder, true))
    }

    fn is(&self, end: TerminalId) -> bool {
        self.0.equiv(end.index(), TerminalId::CHASSIS.index())
    }
}

/// Terminals joined by wires of the record and grounds; unless `rigid`, also through fuses, disconnects, switches and pins.
fn cables(builder: &Builder<'_>, rigid: bool) -> UnionFind<usize> {
    let mut joined = UnionFind::new(builder.terminals.len());
    for wire in &builder.document.wires {
        let ends = [&wire.from, &wire.to].map(|end| builder.terminal_of(&end.point).index());
        joined.union(ends[0], ends[1]);
    }
    for branch in &builder.branches {
        let ground = builder.parts[branch.part.index()].kind == Kind::Ground;
        let through = match &branch.element {
            Element::Joint(_) => true,
            Element::Contact { control, .. } => {
                matches!(
                    control,
                    Control::Switch { .. } | Control::Attached(_) | Control::Always
                )
            }
            _ => false,
        };
        if ground || (through && !rigid) {
            joined.union(branch.from.index(), branch.to.index());
        }
    }
    joined
}

/// The same with the closing contacts of relays.
fn cables_with_contactors(builder: &Builder<'_>, cables: &UnionFind<usize>) -> UnionFind<usize> {
    let mut joined = cables.clone();
    for branch in &builder.branches {
        if let Element::Contact {
            control: Control::Relay { when_in: true, .. },
            ..
        } = &branch.element
        {
            joined.union(branch.from.index(), branch.to.index());
        }
    }
    joined
}

/// Which batteries stand in series, `-` on another's `+`.
#[derive(Debug, Default)]
pub(super) struct Strings {
    above: Vec<(PartId, PartId)>,
}

impl Strings {
    /// Finds them from the wires of the record, through fuses, disconnects and pins.
    pub(super) fn of(builder: &Builder<'_>) -> Self {
        let mut joined = cables(builder, true);
        for (index, part) in builder.document.parts.iter().enumerate() {
            let id = PartId(index as u32);
            match part.kind.value {
                Kind::Fuse | Kind::Breaker | Kind::FusibleLink | Kind::Disconnect => {
                    let ends = builder.terminal(id, "in").zip(builder.terminal(id, "out"));
                    if let Some((a, b)) = ends {
                        joined.union(a.index(), b.index());
                    }
                }
                Kind::Connector => {
                    for end in &builder.parts[index].terminals {
                        let name = &builder.terminals[end.index()].name;
                        let other = name
                            .strip_suffix(".a")
                            .and_then(|pin| builder.terminal(id, &format!("{pin}.b")));
                        if let Some(other) = other {
                            joined.union(end.index(), other.index());
                        }
                    }
                }
                _ => {}
            }
        }
        let ends: Vec<_> = (0..builder.parts.len() as u32)
            .map(PartId)
            .filter(|id| builder.parts[id.index()].kind == Kind::Battery)
            .filter_map(|id| Some((id, builder.terminal(id, "+")?, builder.terminal(id, "-")?)))
            .collect();
        let mut above = Vec::new();
        for &(lower, plus, _) in &ends {
            let upper = ends.iter().find(|&&(upper, _, minus)| {
                upper != lower
                    && joined.equiv(plus.index(), minus.index())
                    && !joined.equiv(plus.index(), TerminalId::CHASSIS.index())
            });
            above.extend(upper.map(|&(upper, ..)| (lower, upper)));
        }
        Self { above }
    }

    fn next(&self, id: PartId) -> Option<PartId> {
        let found = self.above.iter().find(|&&(lower, _)| lower == id);
        found.map(|&(_, upper)| upper)
    }

    /// The uppermost battery of the string that this one stands in; itself where it stands alone.
    pub(super) fn top(&self, id: PartId) -> PartId {
        let mut top = id;
        for _ in &self.above {
            match self.next(top) {
                Some(upper) => top = upper,
                None => break,
            }
        }
        top
    }

    /// Whether it stands in series with another.
    pub(super) fn in_series(&self, id: PartId) -> bool {
        self.above
            .iter()
            .any(|&(lower, upper)| lower == id || upper == id)
    }

    /// How many batteries its string has.
    pub(super) fn length(&self, id: PartId) -> u32 {
        let mut bottom = id;
        let mut count = 1;
        for _ in &self.above {
            let below = self.above.iter().find(|&&(_, upper)| upper == bottom);
            match below {
                Some(&(lower, _)) if lower != id => {
                    bottom = lower;
                    count += 1;
                }
                _ => break,
            }
        }
        let mut top = id;
        for _ in &self.above {
            match self.next(top) {
                Some(upper) if upper != id => {
                    top = upper;
                    count += 1;
                }
                _ => break,
            }
        }
        count
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    #[test]
    fn resistance_from_size_length_and_count() {
        let vehicle = vehicle(
            "parts: {A: {kind: stud}, B: {kind: stud}}
wires:
  - {from: A, to: B, size: 12 AWG, length: 10 m}
  - {from: A, to: B, size: 12 AWG, length: 10 m, parallel: 2}
  - {from: A, to: B, resistance: 3 mohm}
  - {from: A, to: B, size: 12 AWG}
  - {from: A, to: B, length: 1 m, id: X}",
        );
        let ohms = |wire: usize| vehicle.wires[wire].resistance.map(|ohms| ohms.likely.0);
        // ASTM B258: 3.31 mm2; IEC 60028: 17.241 nohm m; 2 % for stranding.
        let expected = 10.0 * 1.7241e-2 / 3.309 * 1.02;
        assert!((ohms(0).unwrap() / expected - 1.0).abs() < 1e-3);
        assert!((ohms(1).unwrap() * 2.0 / ohms(0).unwrap() - 1.0).abs() < 1e-12);
        assert_eq!(ohms(2), Some(0.003));
        assert_eq!((ohms(3), ohms(4)), (None, None));
        assert_eq!(vehicle.wires[3].missing, ["w4.length"]);
        assert_eq!(vehicle.wires[4].missing, ["X.size"]);
    }

    #[test]
    fn temperature_by_zone_and_insulation_never_guessed() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, climate: {engine-bay: 90 C}}
parts: {A: {kind: stud}, B: {kind: stud}}
wires:
  - {from: A, to: B, zone: engine-bay, insulation: gxl}
  - {from: A, to: B, insulation: 105 C}
  - {from: A, to: B}",
        );
        assert_eq!(vehicle.wires[0].ambient.likely, Celsius(90.0));
        assert_eq!(vehicle.wires[1].insulation.unwrap().likely, Celsius(105.0));
        assert!(vehicle.wires[0].insulation.unwrap().likely > Celsius(100.0));
        assert_eq!(vehicle.wires[2].insulation, None);
        let defaults = vehicle.defaults();
        assert!(defaults.contains(&"vehicle.cabin".to_owned()));
        assert!(
            !defaults.contains(&"vehicle.exterior".to_owned()),
            "nothing is outside"
        );
    }

    fn joined(parts: &str, wires: &str) -> Vec<String> {
        let text = format!("parts:\n{parts}\nwires:\n{wires}");
        let vehicle = vehicle(&text);
        vehicle
            .granted()
            .iter()
            .map(|id| (*id).to_owned())
            .collect()
    }

    const BATTERY: &str = "  B1: {kind: battery}";

    #[test]
    fn a_battery_without_a_cable_is_joined_to_the_chassis() {
        assert_eq!(joined(BATTERY, "  []"), ["B1.- to chassis"]);
    }

    #[test]
    fn a_battery_cable_of_the_record_is_the_way() {
        let cable = "  - {from: B1.-, to: chassis, size: 2 AWG, length: 40 cm}";
        assert_eq!(joined(BATTERY, cable), Vec::<String>::new());
    }

    #[test]
    fn a_return_on_the_post_changes_nothing() {
        let parts = "  B1: {kind: battery}\n  L: {kind: load, draw: 1 A}";
        let wires = "  - {from: L, to: B1.-, size: 14 AWG, length: 1 m}";
        assert_eq!(joined(parts, wires), ["B1.- to chassis"]);
    }

    #[test]
    fn a_master_switch_in_the_negative_is_the_way() {
        let parts = "  B1: {kind: battery}\n  M: {kind: disconnect}";
        let wires = "  - {from: B1.-, to: M.in, size: 2 AWG, length: 1 m}
  - {from: M.out, to: chassis, size: 2 AWG, length: 1 m}";
        assert_eq!(joined(parts, wires), Vec::<String>::new());
    }

    #[test]
    fn a_contactor_in_the_negative_is_the_way() {
        let parts = "  B1: {kind: battery}\n  K: {kind: relay, coil: 20 ohm}";
        let wires = "  - {from: B1.-, to: K.30, size: 2 AWG, length: 1 m}
  - {from: K.87, to: chassis, size: 2 AWG, length: 1 m}";
        assert_eq!(joined(parts, wires), Vec::<String>::new());
    }

    #[test]
    fn the_upper_of_a_series_pair_is_not_joined() {
        let parts = "  UP: {kind: battery}\n  LO: {kind: battery}";
        let wires = "  - {from: LO.+, to: UP.-, size: 1/0 AWG, length: 30 cm}";
        assert_eq!(joined(parts, wires), ["LO.- to chassis"]);
    }

    #[test]
    fn a_bank_hangs_on_the_battery_that_starts() {
        let parts = "  B1: {kind: battery}\n  B2: {kind: battery}";
        let wires = "  - {from: B2.-, to: B1.-, size: 2 AWG, length: 30 cm}";
        assert_eq!(joined(parts, wires), ["B1.- to chassis"]);
    }

    #[test]
    fn a_trailer_battery_comes_home_through_its_plug() {
        let parts = "  B1: {kind: battery}\n  BT: {kind: battery}\n  FRAME: {kind: stud}\n  X1: {kind: connector, pins: [1], detach: trailer}";
        let wires = "  - {from: BT.-, to: FRAME, size: 8 AWG, length: 30 cm}
  - {from: FRAME, to: X1.1, size: 8 AWG, length: 3 m}
  - {from: X1.1, to: chassis, size: 8 AWG, length: 50 cm}";
        assert_eq!(joined(parts, wires), ["B1.- to chassis"]);
    }
}
