//! Delays, cutoffs and isolators: contacts that move by time or voltage.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element};
use crate::model::fact::Fact;
use crate::quantity::{Amps, Fraction, Ohms, Volts};
use crate::table::Cited;

/// Closed in accessory and run, and a while after.
pub(in crate::model) fn delay(maker: &mut Maker<'_, '_>) {
    let Some((input, out)) = maker.pair("in", "out") else {
        return;
    };
    let ohms = maker.stated_or("resistance", "contact resistance", default::switch());
    let control = Control::Delay {
        keeps_on: maker.stated("keeps-on"),
        part: maker.id,
    };
    maker.branch("", input, out, Element::Contact { ohms, control });
    if let Some(back) = maker.terminal("-") {
        let draw = maker.stated_or("draw", "own draw", default::delay_draw());
        super::load::own_draw(maker, input, back, draw);
    }
}

/// Opens when the voltage has fallen.
pub(in crate::model) fn cutoff(maker: &mut Maker<'_, '_>) {
    let Some((input, out)) = maker.pair("in", "out") else {
        return;
    };
    let ohms = maker.stated_or("resistance", "contact resistance", default::switch());
    let opens = volts(maker, "opens", "opening voltage", default::cutoff_opens());
    let closes = volts(maker, "closes", "closing voltage", default::cutoff_closes());
    let control = Control::Cutoff {
        part: maker.id,
        opens,
        closes,
    };
    maker.branch("", input, out, Element::Contact { ohms, control });
    if let Some(back) = maker.terminal("-") {
        let draw = maker.stated_or("draw", "own draw", default::cutoff_draw());
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
        let drop = maker.stated_or("drop", "forward drop", default::diode_drop());
        let ohms = maker.stated_or("resistance", "resistance", default::diode_ohms());
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
        maker.stated_or("resistance", "resistance when closed", default::isolator())
    });
    let closes = volts(
        maker,
        "closes",
        "closing voltage",
        default::isolator_closes(),
    );
    let opens = volts(maker, "opens", "opening voltage", default::isolator_opens());
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
