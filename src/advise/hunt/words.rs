//! Figures as a hunt says them.

use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::quantity::show::Units;
use crate::quantity::show::show;

pub(super) fn amps(value: Amps) -> String {
    show(value, Units::Metric)
}

/// As a meter on its millivolt range shows it, to hundredths.
pub(super) fn millivolts(value: Volts) -> String {
    let shown = value.0 * 1e3;
    match shown.abs() {
        large if large >= 10.0 => format!("{shown:.0} mV"),
        middle if middle >= 1.0 => format!("{shown:.1} mV"),
        small if small >= 0.005 => format!("{shown:.2} mV"),
        _ => "0 mV".to_owned(),
    }
}

pub(super) fn minutes(time: Seconds) -> String {
    format!("{} min", (time.0 / 60.0).round())
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}
