//! Relays and contactors.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{CoilRole, Control, Element};
use crate::model::fact::Fact;
use crate::quantity::{Amps, Fraction, Ohms, Volts, Watts};
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
        default::pull_in(),
    );
    let drop_out = threshold(
        maker,
        "drop-out",
        "drop-out voltage",
        nominal,
        default::drop_out(),
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
    let default = default::contact(contact.map(|contact| contact.likely));
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
    let default = default::coil(nominal.likely, contact);
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
