//! What is taken for a fact that the record leaves out; every one with its source.
//!
//! The values themselves stand in [`crate::table`]; here is when they are taken, and the list of those that were.

use std::collections::BTreeMap;

use super::fact::{Assumed, AssumedId, Basis, Fact};
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::{AmpHours, Amps, Celsius, Fraction, Ohms, Seconds, Volts};
use crate::table::Cited;

/// The defaults that were taken while building one vehicle.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    list: Vec<Assumed>,
    shared: BTreeMap<&'static str, AssumedId>,
}

impl Ledger {
    /// Takes a default for a fact of one part or wire, and lists it.
    pub(super) fn take<T: Scalar>(
        &mut self,
        what: String,
        subject: &str,
        key: &'static str,
        cited: Cited<T>,
    ) -> Fact<T> {
        let id = AssumedId(self.list.len() as u32);
        self.list.push(Assumed {
            what,
            subject: subject.to_owned(),
            key,
            low: cited.low.get(),
            amount: cited.value.get(),
            high: cited.high.get(),
            unit: T::SYMBOL,
            source: cited.source.to_owned(),
        });
        Fact {
            range: Interval::between(cited.low, cited.high),
            likely: cited.value,
            basis: Basis::Assumed(id),
        }
    }

    /// Takes a default that is the same for the whole vehicle, and lists it the first time.
    pub(super) fn once<T: Scalar>(
        &mut self,
        what: &'static str,
        key: &'static str,
        cited: Cited<T>,
    ) -> Fact<T> {
        if let Some(&id) = self.shared.get(what) {
            return Fact {
                range: Interval::between(cited.low, cited.high),
                likely: cited.value,
                basis: Basis::Assumed(id),
            };
        }
        let fact = self.take(what.to_owned(), "vehicle", key, cited);
        if let Basis::Assumed(id) = fact.basis {
            self.shared.insert(what, id);
        }
        fact
    }

    /// Everything that was taken, in order.
    pub(super) fn into_list(self) -> Vec<Assumed> {
        self.list
    }
}

/// A value that the format itself gives a meaning, without a book: no range.
pub(super) fn exact<T: Scalar>(value: T, source: &'static str) -> Cited<T> {
    Cited {
        value,
        low: value,
        high: value,
        source,
    }
}

/// Values until the table has them.
const fn listed<T: Copy>(value: T, low: T, high: T) -> Cited<T> {
    Cited {
        value,
        low,
        high,
        source: "common practice, no source",
    }
}

/// A choice on the careful side.
pub(super) const CAUTION: &str = "the careful choice, no source";

macro_rules! listed {
    ($($(#[$doc:meta])* $name:ident: $unit:ident = $value:literal in $low:literal..$high:literal;)*) => {$(
        $(#[$doc])*
        pub(super) fn $name() -> Cited<$unit> { listed($unit($value), $unit($low), $unit($high)) }
    )*};
}

listed! {
    system: Volts = 12.0 in 12.0..12.0;
    parked: Celsius = 10.0 in -20.0..40.0;
    engine_bay: Celsius = 80.0 in 40.0..105.0;
    cabin: Celsius = 25.0 in 0.0..50.0;
    exterior: Celsius = 25.0 in -20.0..45.0;
    charge: Fraction = 1.0 in 0.8..1.0;
    charge_share: Fraction = 0.25 in 0.25..0.25;
    battery_ohms: Ohms = 0.008 in 0.004..0.02;
    idle_share: Fraction = 0.45 in 0.35..0.60;
    converted: Volts = 13.2 in 12.0..13.8;
    efficiency: Fraction = 0.85 in 0.75..0.95;
    standby: Amps = 0.02 in 0.0..0.1;
    feed: Ohms = 0.005 in 0.001..0.02;
    key_switch: Ohms = 0.005 in 0.001..0.02;
    disconnect: Ohms = 0.0003 in 0.0001..0.001;
    switch: Ohms = 0.01 in 0.005..0.02;
    pin: Ohms = 0.003 in 0.001..0.005;
    splice: Ohms = 0.0005 in 0.0001..0.002;
    stud: Ohms = 0.0002 in 0.00005..0.001;
    ground: Ohms = 0.0005 in 0.0001..0.01;
    fusible_link: Ohms = 0.002 in 0.001..0.005;
    output: Ohms = 0.015 in 0.005..0.05;
    diode_drop: Volts = 0.7 in 0.5..1.0;
    diode_ohms: Ohms = 0.005 in 0.0..0.05;
    isolator: Ohms = 0.001 in 0.0005..0.003;
    isolator_closes: Volts = 13.3 in 13.0..13.7;
    isolator_opens: Volts = 12.8 in 12.5..13.0;
    cutoff_opens: Volts = 11.5 in 10.5..12.2;
    cutoff_closes: Volts = 12.8 in 12.4..13.2;
    cutoff_draw: Amps = 0.005 in 0.001..0.02;
    delay_draw: Amps = 0.005 in 0.001..0.02;
    pull_in: Fraction = 0.7 in 0.55..0.75;
    drop_out: Fraction = 0.1 in 0.05..0.35;
    duty: Fraction = 1.0 in 1.0..1.0;
}

pub(super) fn rated(scale: f64) -> Cited<Volts> {
    let volts = Volts(13.5 * scale);
    listed(volts, volts, volts)
}

pub(super) fn min_voltage(scale: f64) -> Cited<Volts> {
    let volts = Volts(6.0 * scale);
    listed(volts, volts, volts)
}

pub(super) fn rest_voltage(chemistry: &str, charge: Fraction) -> Volts {
    match chemistry {
        "lfp" => Volts(12.8 + 0.6 * charge.0),
        _ => Volts(11.8 + 0.9 * charge.0),
    }
}

pub(super) fn capacity_from_reserve(reserve: Seconds) -> AmpHours {
    AmpHours(reserve.0 / 60.0 * 0.6)
}

pub(super) fn battery_ohms_from_cranking(cca: Amps, _at: Celsius) -> Cited<Ohms> {
    let ohms = Ohms(5.4 / cca.0 * 0.7);
    listed(ohms, ohms * 0.5, ohms * 2.0)
}

pub(super) fn battery_ohms_from_capacity(capacity: AmpHours, _at: Celsius) -> Cited<Ohms> {
    let ohms = Ohms(0.5 / capacity.0);
    listed(ohms, ohms * 0.5, ohms * 3.0)
}

pub(super) fn charging(system: Volts, _at: Celsius) -> Cited<Volts> {
    let scale = system.0 / 12.0;
    listed(
        Volts(14.2 * scale),
        Volts(13.5 * scale),
        Volts(14.8 * scale),
    )
}

pub(super) fn fuse(_form: Option<&str>, rating: Option<Amps>) -> Cited<Ohms> {
    let ohms = Ohms(0.085 / rating.map_or(15.0, |rating| rating.0));
    listed(ohms, ohms * 0.85, ohms * 1.15)
}

pub(super) fn breaker(rating: Option<Amps>) -> Cited<Ohms> {
    let ohms = Ohms(0.15 / rating.map_or(20.0, |rating| rating.0));
    listed(ohms, ohms * 0.5, ohms * 2.0)
}

pub(super) fn contact(_rating: Option<Amps>) -> Cited<Ohms> {
    listed(Ohms(0.005), Ohms(0.002), Ohms(0.01))
}

pub(super) fn coil(nominal: Volts, contact: Option<Amps>) -> Cited<Ohms> {
    let scale = (nominal.0 / 12.0).powi(2);
    let ohms = if contact.is_some_and(|contact| contact.0 > 80.0) {
        15.0
    } else {
        85.0
    };
    listed(
        Ohms(ohms * scale),
        Ohms(0.8 * ohms * scale),
        Ohms(1.2 * ohms * scale),
    )
}

/// What the format itself takes for granted.
pub(super) const TAKEN_FOR_GRANTED: &str = "the format: a way that the record leaves out";

/// Ohm per metre at 20 C.
pub(super) fn wire_r20(size: crate::quantity::WireSize) -> Option<f64> {
    use crate::quantity::WireSize;
    let area = match size {
        WireSize::Awg(n) => 53.475 * 0.890_525_7_f64.powi(2 * i32::from(n)),
        WireSize::Sae(n) => 0.9 * 53.475 * 0.890_525_7_f64.powi(2 * i32::from(n)),
        WireSize::Iso(area) => area,
    };
    (area > 0.0).then(|| 0.017_241 * 1.02 / area)
}

/// Temperature class of an insulation code.
pub(super) fn insulation_class(code: &str) -> Option<Celsius> {
    match code {
        "gpt" | "hdt" | "sgt" => Some(Celsius(80.0)),
        "gxl" | "sxl" | "txl" | "sgx" => Some(Celsius(125.0)),
        _ => None,
    }
}
