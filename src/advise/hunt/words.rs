//! Figures as a hunt says them.

use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::quantity::show::Units;
use crate::quantity::show::show;

pub(super) fn amps(value: Amps) -> String {
    show(value, Units::Metric)
}

pub(super) fn minutes(time: Seconds) -> String {
    format!("{} min", (time.0 / 60.0).round())
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}
