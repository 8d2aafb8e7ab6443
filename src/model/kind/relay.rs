//! Relays and contactors.

use crate::model::build::Maker;
use crate::model::element::{CoilRole, Control, Element};
use crate::model::fact::Fact;
use crate::quantity::{Amps, Fraction, Ohms, Volts, Watts};
use crate::table;
use crate::table::Cited;

/// Coil 86 to 85, contact 30 to 87 when in and 30 to 87a when out; a latching one has a coil to put it in and one to put
/// it out.
pub(in crate::model) fn build(maker: &mut Maker<'_, '_>) {
    let nominal = nominal(maker);
    let contact: Option<Fact<Amps>> = maker.stated("contact");
    let ohms = coil(maker, nominal, contact.map(|contact| contact.likely));
    let pull_in = threshold(
        maker,
        "pull-in",
        "pull-in voltage",
        nominal,
        table::relay::pull_in(),
    );
    let drop_out = threshold(
        maker,
        "drop-out",
        "drop-out voltage",
        nominal,
        table::relay::drop_out(),
    );
    let suppression = maker.fields.text("suppression");
    let diode = suppression.is_some_and(|kind| kind.value == "diode");
    let coils: &[_] = if maker.fields.flag("latching") {
        &[("set", CoilRole::Set), ("reset", CoilRole::Reset)]
    } else {
        &[("86", CoilRole::Hold)]
    };
    for &(from, role) in coils {
        let Some((from, to)) = maker.pair(from, "85") else {
            continue;
        };
        let name = match role {
            CoilRole::Hold => "coil",
            CoilRole::Set => "set",
            CoilRole::Reset => "reset",
        };
        let element = Element::Coil {
            ohms,
            pull_in,
            drop_out,
            role,
            diode,
        };
        maker.branch(name, from, to, element);
    }
    let default = table::relay::contact_resistance(contact.map(|contact| contact.likely));
    let ohms = maker.stated_or("contact-resistance", "contact resistance", default);
    for (name, when_in) in [("87", true), ("87a", false)] {
        let Some((from, to)) = maker.pair("30", name) else {
            continue;
        };
        let control = Control::Relay {
            relay: maker.id,
            when_in,
        };
        maker.branch(name, from, to, Element::Contact { ohms, control });
    }
}

/// The voltage that the coil is made for: its own `rated-voltage`, else the system's.
fn nominal(maker: &Maker<'_, '_>) -> Fact<Volts> {
    maker
        .stated("rated-voltage")
        .unwrap_or(maker.builder.system)
}

/// Stated in ohm; from watt or ampere at nominal voltage; else by the size of the contact.
fn coil(maker: &mut Maker<'_, '_>, nominal: Fact<Volts>, contact: Option<Amps>) -> Fact<Ohms> {
    let ohms: Option<Fact<Ohms>> = maker.stated("coil");
    let watts: Option<Fact<Watts>> = maker.stated("coil");
    let amps: Option<Fact<Amps>> = maker.stated("coil");
    let of_watts = || watts.map(|watts| watts.combine(nominal, |p, u| Ohms(u.0 * u.0 / p.0)));
    let of_amps = || amps.map(|amps| amps.combine(nominal, |i, u| u / i));
    if let Some(ohms) = ohms.or_else(of_watts).or_else(of_amps) {
        return ohms;
    }
    let duty = maker.fields.text("duty");
    let default = if duty.is_some_and(|duty| duty.value == "intermittent") {
        table::relay::intermittent_coil_resistance(nominal.likely)
    } else {
        table::relay::coil_resistance(nominal.likely, contact)
    };
    maker.assume("coil", "coil resistance", default)
}

fn threshold(
    maker: &mut Maker<'_, '_>,
    key: &'static str,
    what: &str,
    nominal: Fact<Volts>,
    default: Cited<Fraction>,
) -> Fact<Volts> {
    if let Some(stated) = maker.stated(key) {
        return stated;
    }
    let share: Option<Fact<Fraction>> = maker.stated(key);
    if let Some(share) = share {
        return share.combine(nominal, |share, nominal| nominal * share.0);
    }
    let volts = |share: Fraction| nominal.likely * share.0;
    let cited = Cited {
        value: volts(default.value),
        low: volts(default.low),
        high: volts(default.high),
        source: default.source,
    };
    maker.assume(key, what, cited)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Vehicle;
    use crate::model::testing::vehicle;

    fn coil_of(vehicle: &Vehicle, name: &str) -> (f64, f64, f64, CoilRole, bool) {
        match vehicle.element("K1", name) {
            Element::Coil {
                ohms,
                pull_in,
                drop_out,
                role,
                diode,
            } => (
                ohms.likely.0,
                pull_in.likely.0,
                drop_out.likely.0,
                *role,
                *diode,
            ),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn coil_and_changeover_contact() {
        let vehicle = vehicle(
            "parts: {K1: {kind: relay, coil: 90 ohm, contact: 40 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}}",
        );
        assert_eq!(
            coil_of(&vehicle, "coil"),
            (90.0, 8.0, 1.2, CoilRole::Hold, true)
        );
        assert_eq!(vehicle.ends("K1", "coil"), ["K1.86", "K1.85"]);
        assert_eq!(vehicle.ends("K1", "87"), ["K1.30", "K1.87"]);
        for (name, expected) in [("87", true), ("87a", false)] {
            let Element::Contact {
                control: Control::Relay { when_in, .. },
                ..
            } = vehicle.element("K1", name)
            else {
                panic!("{name}");
            };
            assert_eq!(*when_in, expected, "{name}");
        }
    }

    #[test]
    fn a_coil_in_watt_or_ampere_is_meant_at_nominal_voltage() {
        let ohms = |system: &str, coil: &str| {
            let text = format!(
                "vehicle: {{system: {system}}}\nparts: {{K1: {{kind: relay, coil: {coil}}}}}"
            );
            coil_of(&vehicle(&text), "coil").0
        };
        assert_eq!(ohms("12 V", "1.6 W"), 90.0);
        assert_eq!(ohms("24 V", "1.6 W"), 360.0);
        assert_eq!(ohms("12 V", "150 mA"), 80.0);
    }

    #[test]
    fn thresholds_scale_with_the_system() {
        let pull_in = |system: &str| {
            let text = format!(
                "vehicle: {{system: {system}}}\nparts: {{K1: {{kind: relay, coil: 90 ohm}}}}"
            );
            coil_of(&vehicle(&text), "coil").1
        };
        assert!((pull_in("24 V") - 2.0 * pull_in("12 V")).abs() < 1e-12);
    }

    #[test]
    fn a_latching_relay_has_two_coils() {
        let vehicle = vehicle(
            "parts: {K1: {kind: relay, latching: true, coil: 40 ohm}, S: {kind: switch}}
wires: [{from: S, to: K1.set, size: 16 AWG, length: 1 m}]",
        );
        assert_eq!(coil_of(&vehicle, "set").3, CoilRole::Set);
        assert_eq!(coil_of(&vehicle, "reset").3, CoilRole::Reset);
        assert_eq!(vehicle.granted(), ["K1.85 to chassis"]);
    }

    #[test]
    fn the_end_of_a_coil_without_a_wire_is_its_return() {
        let granted = |wires: &str| {
            let text = format!(
                "parts: {{S: {{kind: switch}}, G: {{kind: ground}}, K1: {{kind: relay, coil: 90 ohm}}}}\nwires: [{wires}]"
            );
            vehicle(&text).granted().join(", ")
        };
        let size = "size: 18 AWG, length: 1 m";
        assert_eq!(
            granted(&format!("{{from: S, to: K1.86, {size}}}")),
            "K1.85 to chassis"
        );
        assert_eq!(
            granted(&format!("{{from: S, to: K1.85, {size}}}")),
            "K1.86 to chassis"
        );
        assert_eq!(
            granted(&format!("{{from: K1.85, to: G, {size}}}")),
            "",
            "has no feed"
        );
        let both = format!("{{from: S, to: K1.86, {size}}}, {{from: K1.85, to: G, {size}}}");
        assert_eq!(granted(&both), "");
    }
}
