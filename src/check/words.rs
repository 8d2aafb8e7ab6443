//! Words that the sentences of several checks share.

use crate::model::Key;
use crate::model::Part;
use crate::model::Setting;
use crate::phrase;
use crate::quantity;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Meters;
use crate::quantity::Scalar;
use crate::quantity::show::Units;

/// `182 mA`, `14 A`, `0.98 V`: three digits.
pub(super) fn show<T: Scalar>(value: T) -> String {
    quantity::show::show(value, Units::Metric)
}

/// A figure as it stands on a part, without figures that are not there: `7.5 A`.
pub(super) fn rated(value: Amps) -> String {
    let hundredths = value.0 * 100.0;
    if (hundredths - hundredths.round()).abs() < 1e-6 && value.0 >= 1.0 {
        format!("{} A", hundredths.round() / 100.0)
    } else {
        show(value)
    }
}

/// A length as both systems say it: `1.6 m (5.25 ft)`.
pub(super) fn length(value: Meters) -> String {
    let us = quantity::show::show(value, Units::Us);
    format!("{} ({us})", show(value))
}

/// One figure, or `10 mA to 25 mA` where the ends differ.
pub(super) fn range<T: Scalar>(value: Interval<T>) -> String {
    quantity::show::range(value, Units::Metric)
}

/// `A`, `A and B`, `A, B and C`; of more than `most`, the first few and how many others.
pub(super) fn list<T: AsRef<str>>(words: &[T], most: usize) -> String {
    let (shown, rest) = words.split_at(words.len().min(most.max(1)));
    let shown: Vec<&str> = shown.iter().map(AsRef::as_ref).collect();
    match (shown.as_slice(), rest.len()) {
        (all, 0) => phrase::and(all),
        (all, 1) => format!("{} and 1 other", all.join(", ")),
        (all, others) => format!("{} and {others} others", all.join(", ")),
    }
}

/// What has to be so for a finding to show, as words that follow a sentence: ` when S2 is closed`. Empty where it shows in every
/// setting.
pub(super) fn when(setting: &Setting) -> String {
    let left = if setting.key == Some(Key::Off) {
        "left "
    } else {
        ""
    };
    switched(setting, left)
}

/// The same of a setting with the key off: ` when S2 is left closed`.
pub(super) fn left(setting: &Setting) -> String {
    switched(setting, "left ")
}

fn switched(setting: &Setting, left: &str) -> String {
    let mut words = Vec::new();
    let are = |names: &[String]| if names.len() == 1 { "is" } else { "are" };
    if !setting.closed.is_empty() {
        let names = list(&setting.closed, 6);
        words.push(format!("{names} {} {left}closed", are(&setting.closed)));
    }
    if !setting.opened.is_empty() {
        let names = list(&setting.opened, 6);
        words.push(format!("{names} {} {left}open", are(&setting.opened)));
    }
    if words.is_empty() {
        String::new()
    } else {
        format!(" when {}", words.join(" and "))
    }
}

/// A part's name, with its words where the record has some.
pub(super) fn called(part: &Part) -> String {
    match &part.what {
        Some(what) => format!("{} ({what})", part.name.value),
        None => part.name.value.clone(),
    }
}
