//! Delays, cutoffs and isolators: contacts that move by time or voltage.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element};
use crate::model::fact::Fact;
use crate::quantity::{Amps, Fraction, Ohms, Volts};
use crate::table::Cited;
use crate::table::joint;

/// Closed in accessory and run, and a while after.
pub(in crate::model) fn delay(maker: &mut Maker<'_, '_>) {
    let Some((input, out)) = maker.pair("in", "out") else {
        return;
    };
    let ohms = maker.stated_or("resistance", "contact resistance", joint::delay());
    let control = Control::Delay {
        keeps_on: maker.stated("keeps-on"),
        part: maker.id,
    };
    maker.branch("", input, out, Element::Contact { ohms, control });
    if let Some(back) = maker.terminal("-") {
        let draw = super::load::stated_current(maker, "draw", "own draw", joint::delay_draw());
        super::load::own_draw(maker, input, back, draw);
    }
}

/// Opens when the voltage has fallen.
pub(in crate::model) fn cutoff(maker: &mut Maker<'_, '_>) {
    let Some((input, out)) = maker.pair("in", "out") else {
        return;
    };
    let ohms = maker.stated_or("resistance", "contact resistance", joint::cutoff());
    let opens = volts(maker, "opens", "opening voltage", joint::cutoff_opens_12v());
    let closes = volts(
        maker,
        "closes",
        "closing voltage",
        joint::cutoff_closes_12v(),
    );
    let control = Control::Cutoff {
        part: maker.id,
        opens,
        closes,
    };
    maker.branch("", input, out, Element::Contact { ohms, control });
    if let Some(back) = maker.terminal("-") {
        let draw = super::load::stated_current(maker, "draw", "own draw", joint::cutoff_draw());
        super::load::own_draw(maker, input, back, draw);
    }
}

/// A diode, or a contact that closes when either side is being charged.
pub(in crate::model) fn isolator(maker: &mut Maker<'_, '_>) {
    let Some((a, b)) = maker.pair("a", "b") else {
        return;
    };
    let style = maker.fields.text("style").map(|style| style.value.as_str());
    if style == Some("diode") {
        let drop = maker.stated_or("drop", "forward drop", joint::isolator_diode_drop());
        let ohms = maker.stated_or("resistance", "resistance", joint::diode_resistance());
        maker.branch("", a, b, Element::Diode { drop, ohms });
        return;
    }
    if style.is_none() {
        maker.assume(
            "style",
            "taken as a voltage-sensing relay",
            default::exact(Fraction(1.0), default::CAUTION),
        );
    }
    let drop: Option<Fact<Volts>> = maker.stated("drop");
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    let of_drop: Option<Fact<Ohms>> = drop
        .zip(rating)
        .map(|(drop, rating)| drop.combine(rating, |u, i| u / i));
    let ohms = of_drop.unwrap_or_else(|| {
        let default = match style {
            Some("electronic") => joint::isolator_electronic(),
            _ => joint::isolator(),
        };
        maker.stated_or("resistance", "resistance when closed", default)
    });
    let closes = volts(
        maker,
        "closes",
        "closing voltage",
        joint::isolator_closes_12v(),
    );
    let opens = volts(
        maker,
        "opens",
        "opening voltage",
        joint::isolator_opens_12v(),
    );
    let control = Control::Isolator {
        part: maker.id,
        opens,
        closes,
    };
    maker.branch("", a, b, Element::Contact { ohms, control });
}

/// A threshold; the default is that of a 12 V system and scales with the system.
fn volts(
    maker: &mut Maker<'_, '_>,
    key: &'static str,
    what: &str,
    default: Cited<Volts>,
) -> Fact<Volts> {
    let scale = maker.builder.scale();
    let scaled = Cited {
        value: default.value * scale,
        low: default.low * scale,
        high: default.high * scale,
        source: default.source,
    };
    maker.stated_or(key, what, scaled)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::element::Law;
    use crate::model::testing::vehicle;

    #[test]
    fn a_delay_has_a_contact_and_a_draw_of_its_own() {
        let vehicle = vehicle(
            "parts: {T1: {kind: delay, keeps-on: 5 min, draw: 3 mA}, F1: {kind: fuse, rating: 5 A}}
wires: [{from: F1, to: T1, size: 16 AWG, length: 1 m}]",
        );
        let Element::Contact {
            control: Control::Delay { keeps_on, .. },
            ..
        } = vehicle.element("T1", "")
        else {
            panic!();
        };
        assert_eq!(keeps_on.unwrap().likely.0, 300.0);
        assert_eq!(vehicle.ends("T1", "own"), ["T1.in", "T1.-"]);
        let Element::Load(load) = vehicle.element("T1", "own") else {
            panic!();
        };
        assert!(matches!(load.law, Some(Law::Current(draw)) if draw.likely == Amps(0.003)));
        assert_eq!(vehicle.granted(), ["T1.- to chassis"]);
    }

    #[test]
    fn thresholds_of_a_cutoff_scale_with_the_system() {
        let thresholds = |system: &str, keys: &str| {
            let text =
                format!("vehicle: {{system: {system}}}\nparts: {{C: {{kind: cutoff{keys}}}}}");
            match vehicle(&text).element("C", "") {
                Element::Contact {
                    control: Control::Cutoff { opens, closes, .. },
                    ..
                } => (opens.likely.0, closes.likely.0),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(
            thresholds("12 V", ", opens: 11.9 V, closes: 12.8 V"),
            (11.9, 12.8)
        );
        let (opens, closes) = thresholds("12 V", "");
        assert!(opens < closes);
        assert_eq!(thresholds("24 V", ""), (2.0 * opens, 2.0 * closes));
    }

    #[test]
    fn isolators_by_style() {
        let vehicle = vehicle(
            "parts:
  D: {kind: isolator, style: diode, drop: 0.7 V}
  R: {kind: isolator, style: relay, closes: 13.3 V, opens: 12.8 V}
  E: {kind: isolator, style: electronic, rating: 50 A, drop: 0.1 V}
  U: {kind: isolator}",
        );
        assert!(
            matches!(vehicle.element("D", ""), Element::Diode { drop, .. } if drop.likely.0 == 0.7)
        );
        assert_eq!(vehicle.ends("D", ""), ["D.a", "D.b"]);
        assert!(matches!(
            vehicle.element("R", ""),
            Element::Contact {
                control: Control::Isolator { .. },
                ..
            }
        ));
        assert!(
            matches!(vehicle.element("E", ""), Element::Contact { ohms, .. } if (ohms.likely.0 - 0.002).abs() < 1e-12)
        );
        assert!(vehicle.defaults().contains(&"U.style".to_owned()));
    }
}
