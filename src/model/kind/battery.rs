//! Batteries: a rest voltage behind a resistance.

use crate::model::build::Builder;
use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::Element;
use crate::model::fact::{Basis, Fact};
use crate::model::vehicle::{Battery, PartId};
use crate::quantity::Interval;
use crate::quantity::{AmpHours, Amps, Celsius, Fraction, Ohms, Scalar, Seconds, Volts};
use crate::read::document::Dimension;
use crate::table::Cited;
use crate::table::battery;
use crate::table::battery::Chemistry;
use crate::table::vehicle;

/// Adds the cell and what else is known.
pub(in crate::model) fn build(maker: &mut Maker<'_, '_>) {
    let Some((minus, plus)) = maker.pair("-", "+") else {
        return;
    };
    let count = count(maker);
    let many = f64::from(count);
    let nominal = nominal(maker);
    let one = capacity_of_one(maker);
    let capacity = one.map(|one| one.derive(|one| one * many));
    let cranking: Option<Fact<Amps>> = maker.stated("cold-cranking");
    let charge = maker.stated_or("charge", "state of charge", vehicle::charge());
    let chemistry = chemistry(maker);
    let rest = match maker.stated("rest-voltage") {
        Some(stated) => stated,
        None => {
            let default = default::rest_voltage(chemistry, charge, nominal.likely);
            maker.assume("rest-voltage", "rest voltage", default)
        }
    };
    let ohms = resistance(maker, cranking, one, nominal.likely).derive(|one| one / many);
    let charge_limit = maker
        .stated("charge-limit")
        .or_else(|| charge_limit(maker, capacity));
    let element = Element::Cell {
        rest,
        ohms,
        charge_limit,
    };
    let cell = maker.branch("", minus, plus, element);
    maker.builder.batteries.push(Battery {
        part: maker.id,
        cell,
        nominal,
        capacity,
        cold_cranking: cranking.map(|one| one.derive(|one| one * many)),
        charge,
        count,
    });
}

/// The inside of a battery that the record leaves out: everything about it is a default.
pub(in crate::model) fn build_missing(builder: &mut Builder<'_>, id: PartId) {
    let ends = builder.terminal(id, "-").zip(builder.terminal(id, "+"));
    let Some((minus, plus)) = ends else {
        return;
    };
    let nominal = builder.system;
    let take = &mut builder.ledger;
    let charge = take.take(
        "battery state of charge".to_owned(),
        "battery",
        "charge",
        vehicle::charge(),
    );
    let rest = default::rest_voltage(Chemistry::Flooded, charge, nominal.likely);
    let rest = take.take(
        "battery rest voltage".to_owned(),
        "battery",
        "rest-voltage",
        rest,
    );
    let at = builder.climate.parked.likely;
    let ohms = take.take(
        "battery internal resistance".to_owned(),
        "battery",
        "internal-resistance",
        default::battery_ohms(None, None, nominal.likely, at),
    );
    let element = Element::Cell {
        rest,
        ohms,
        charge_limit: None,
    };
    let cell = builder.add_branch(id, "", minus, plus, element);
    builder.batteries.push(Battery {
        part: id,
        cell,
        nominal,
        capacity: None,
        cold_cranking: None,
        charge,
        count: 1,
    });
}

fn count(maker: &Maker<'_, '_>) -> u32 {
    maker
        .fields
        .quantity("in-parallel")
        .filter(|count| count.dimension == Dimension::Count && count.low >= 1.0)
        .map_or(1, |count| count.low.round() as u32)
}

/// Stated; else 12 V for one of a series string, else that of the system.
fn nominal(maker: &mut Maker<'_, '_>) -> Fact<Volts> {
    if let Some(stated) = maker.stated("voltage") {
        return stated;
    }
    let system = maker.builder.system;
    let in_series = maker.builder.strings.in_series(maker.id);
    if in_series && system.likely.0 > 12.0 {
        let each = maker.builder.strings.length(maker.id);
        return system.derive(|system| system / f64::from(each));
    }
    system.derive(|system| system)
}

fn chemistry(maker: &mut Maker<'_, '_>) -> Chemistry {
    let stated = maker.fields.text("chemistry");
    if let Some(stated) = stated.and_then(|word| Chemistry::named(&word.value)) {
        return stated;
    }
    maker.assume(
        "chemistry",
        "taken as a flooded lead-acid battery",
        default::exact(Fraction(1.0), default::CAUTION),
    );
    Chemistry::Flooded
}

fn capacity_of_one(maker: &Maker<'_, '_>) -> Option<Fact<AmpHours>> {
    let reserve = || {
        let reserve: Fact<Seconds> = maker.stated("reserve")?;
        Some(capacity_of(reserve))
    };
    maker.stated("capacity").or_else(reserve)
}

/// The table's share has a range of its own.
fn capacity_of(reserve: Fact<Seconds>) -> Fact<AmpHours> {
    let of = battery::capacity_from_reserve;
    Fact {
        range: Interval {
            low: of(reserve.range.low).low,
            high: of(reserve.range.high).high,
        },
        likely: of(reserve.likely).value,
        basis: Basis::Derived(reserve.basis.assumed()),
    }
}

/// Of one battery at the temperature it stands in.
fn resistance(
    maker: &mut Maker<'_, '_>,
    cranking: Option<Fact<Amps>>,
    capacity: Option<Fact<AmpHours>>,
    nominal: Volts,
) -> Fact<Ohms> {
    let at: Celsius = maker.builder.climate.parked.likely;
    let default = default::battery_ohms(
        cranking.map(|amps| amps.likely),
        capacity.map(|capacity| capacity.likely),
        nominal,
        at,
    );
    maker.stated_or("internal-resistance", "internal resistance", default)
}

fn charge_limit(maker: &mut Maker<'_, '_>, capacity: Option<Fact<AmpHours>>) -> Option<Fact<Amps>> {
    let capacity = capacity?;
    let likely = battery::charge_limit(capacity.likely);
    let cited = Cited {
        value: likely.value,
        low: battery::charge_limit(capacity.range.low).low,
        high: battery::charge_limit(capacity.range.high).high,
        source: likely.source,
    };
    Some(maker.assume("charge-limit", "charge limit", cited))
}

/// A fact that follows from the format's own words.
pub(in crate::model) fn given<T: Scalar>(value: T) -> Fact<T> {
    Fact {
        range: Interval::exact(value),
        likely: value,
        basis: Basis::Derived(None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Vehicle;
    use crate::model::testing::vehicle;

    fn cell(vehicle: &Vehicle, part: &str) -> (f64, f64, Option<f64>) {
        match vehicle.element(part, "") {
            Element::Cell {
                rest,
                ohms,
                charge_limit,
            } => (
                rest.likely.0,
                ohms.likely.0,
                charge_limit.map(|limit| limit.likely.0),
            ),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_is_stated_is_taken() {
        let vehicle = vehicle(
            "parts: {B1: {kind: battery, chemistry: agm, capacity: 80 Ah, rest-voltage: 12.9 V, internal-resistance: 4 mohm,
             charge: 90 %, charge-limit: 15 A}}",
        );
        assert_eq!(cell(&vehicle, "B1"), (12.9, 0.004, Some(15.0)));
        assert_eq!(vehicle.ends("B1", ""), ["B1.-", "B1.+"]);
        assert_eq!(vehicle.batteries[0].charge.likely, Fraction(0.9));
    }

    #[test]
    fn several_in_parallel_add_up() {
        let vehicle = vehicle(
            "parts: {B1: {kind: battery, capacity: 100 Ah, cold-cranking: 900 A, in-parallel: 4, internal-resistance: 4 mohm}}",
        );
        let battery = &vehicle.batteries[0];
        assert_eq!(
            battery.capacity.map(|all| all.likely),
            Some(AmpHours(400.0))
        );
        assert_eq!(
            battery.cold_cranking.map(|all| all.likely),
            Some(Amps(3600.0))
        );
        let (_, ohms, limit) = cell(&vehicle, "B1");
        assert_eq!(ohms, 0.001);
        assert_eq!(limit, Some(100.0), "a quarter of the whole capacity");
    }

    #[test]
    fn charge_sets_the_rest_voltage() {
        let at = |charge: &str| {
            let text = format!(
                "parts: {{B1: {{kind: battery, chemistry: flooded, capacity: 80 Ah, charge: {charge}}}}}"
            );
            cell(&vehicle(&text), "B1").0
        };
        assert!(at("100 %") > at("75 %") && at("75 %") > at("50 %"));
    }

    #[test]
    fn each_of_a_series_pair_has_half_the_system_voltage() {
        let vehicle = vehicle(
            "vehicle: {system: 24 V}
parts:
  LO: {kind: battery, capacity: 100 Ah}
  UP: {kind: battery, capacity: 100 Ah}
wires: [{from: LO.+, to: UP.-, size: 1/0 AWG, length: 30 cm}]",
        );
        for battery in &vehicle.batteries {
            assert_eq!(battery.nominal.likely, Volts(12.0));
        }
        let (rest, ..) = cell(&vehicle, "UP");
        assert!((12.0..13.0).contains(&rest), "{rest}");
    }

    #[test]
    fn one_battery_in_a_24_volt_system_is_a_24_volt_one() {
        let vehicle =
            vehicle("vehicle: {system: 24 V}\nparts: {B1: {kind: battery, capacity: 100 Ah}}");
        let (rest, ..) = cell(&vehicle, "B1");
        assert!((24.0..26.0).contains(&rest), "{rest}");
    }

    #[test]
    fn capacity_from_reserve() {
        let vehicle = vehicle("parts: {B1: {kind: battery, reserve: 120 min}}");
        let capacity = vehicle.batteries[0].capacity.unwrap().likely.0;
        assert!((60.0..90.0).contains(&capacity), "{capacity}");
    }

    #[test]
    fn defaults_are_listed_only_when_taken() {
        let bare = vehicle("parts: {B1: {kind: battery}}");
        for key in ["chemistry", "charge", "rest-voltage", "internal-resistance"] {
            assert!(bare.defaults().contains(&format!("B1.{key}")), "{key}");
        }
        let full = vehicle(
            "parts: {B1: {kind: battery, chemistry: agm, capacity: 80 Ah, charge: 90 %, rest-voltage: 12.7 V,
             internal-resistance: 4 mohm, charge-limit: 20 A, zone: cabin}}",
        );
        let about_inside = |name: &String| name.starts_with("B1.") && name != "B1.-";
        assert!(
            !full.defaults().iter().any(about_inside),
            "{:?}",
            full.defaults()
        );
    }

    #[test]
    fn a_record_without_a_battery_gets_one_and_says_so() {
        let vehicle = vehicle("parts: {RUN: {kind: feed, hot-in: run}}");
        assert_eq!(vehicle.ends("RUN", ""), ["battery.+", "RUN.out"]);
        assert!(vehicle.defaults().contains(&"battery.kind".to_owned()));
        assert_eq!(vehicle.granted(), ["battery.- to chassis"]);
    }
}
