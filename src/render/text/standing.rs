//! The standing draw: what it is, how long it lasts, by part, by fuse and by battery.

use crate::analyze::KeyOff;
use crate::analyze::endurance::Battery;
use crate::analyze::park::Parked;
use crate::model;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::quantity::AmpHours;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::show::digits;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

/// So many parts that draw with the key off are named at the top.
const MOST_PARTS: usize = 3;

/// What is drawn beyond the settled draw at first is told from this on, in ampere-hours.
const SAID: f64 = 0.1;

/// What is told about standing.
#[derive(Clone, Copy, Debug)]
pub struct Standing<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// Its key-off sums.
    pub key_off: &'a KeyOff,
    /// How long its batteries hold out.
    pub parked: &'a Parked,
    /// How quantities are shown.
    pub show: Show,
}

impl Standing<'_> {
    /// The draw and how long it lasts, in sentences.
    pub fn head(&self, page: &mut Page) {
        page.heading("Key off");
        for (indent, words) in self.lines() {
            page.line(indent, &words);
        }
    }

    /// The same as sentences by themselves, each with the columns that it is set in: sums stand deeper.
    #[must_use]
    pub fn lines(&self) -> Vec<(usize, String)> {
        let mut lines = Vec::new();
        self.say(&mut lines);
        lines
    }

    fn say(&self, lines: &mut Vec<(usize, String)>) {
        let key_off = self.key_off;
        let vehicle = self.vehicle;
        let Some(starter) = vehicle.starter else {
            add(
                lines,
                2,
                "The record has no battery, so there is no standing draw to sum up.",
            );
            return;
        };
        let first = key_off.battery.unwrap_or(starter);
        let with = self.with(first);
        let battery = &words::list(&with);
        let together = if with.len() > 1 { " together" } else { "" };
        if key_off.draw.0 <= 0.0 && key_off.range.high.0 <= 0.0 {
            add(
                lines,
                2,
                &format!("Nothing that is stated draws from {battery} as it is left."),
            );
        } else {
            add(
                lines,
                2,
                &format!(
                    "{} out of {battery}{together} as it is left{}.",
                    self.show.one(key_off.draw),
                    between(&self.show.range(key_off.range))
                ),
            );
            self.most(lines);
            self.stacked(lines);
            match key_off.simple {
                Some(time) => {
                    add(
                        lines,
                        4,
                        &simple(time.hours() * key_off.draw.0, key_off.draw.0, time),
                    );
                    add(
                        lines,
                        2,
                        "That is the simple sum, down to an empty battery. Cold, age and the charge that starting takes make \
                     the real time shorter.",
                    );
                    self.at_first(lines);
                    self.lasts(lines);
                }
                None => add(
                    lines,
                    2,
                    &format!(
                        "How long it lasts cannot be said: {} is not stated.",
                        words::list(&self.unknown(first))
                    ),
                ),
            }
        }
        if vehicle.own_off.is_none() {
            add(
                lines,
                2,
                "This is of the equipment in the record alone: what the vehicle itself draws (`own-load: {off: …}`) is not \
             stated.",
            );
        }
        // A capacity is nothing of the draw.
        let capacities = self.unknown(first);
        let lacking = key_off.missing.iter();
        let lacking: Vec<&String> = lacking.filter(|fact| !capacities.contains(fact)).collect();
        if !lacking.is_empty() {
            add(
                lines,
                2,
                &format!(
                    "Not known, so the figure is not whole: {}.",
                    words::list(&lacking)
                ),
            );
        }
    }

    /// A battery and those that stand side by side with it, in the order of the record.
    fn group(&self, first: PartId) -> impl Iterator<Item = &model::Battery> {
        let all = &self.vehicle.batteries;
        let one = all.iter().position(|battery| battery.part == first);
        let group = one.map_or(&[][..], |one| self.key_off.joined.with(one));
        group.iter().map(|&one| &all[one])
    }

    fn with(&self, first: PartId) -> Vec<String> {
        let group = self.group(first);
        group.map(|battery| self.name(battery.part)).collect()
    }

    /// The capacity that is not stated, of a battery and those that stand side by side with it.
    fn unknown(&self, first: PartId) -> Vec<String> {
        let lacking = self.group(first);
        let lacking = lacking.filter(|battery| battery.capacity.is_none());
        let names = lacking.map(|battery| self.vehicle.part(battery.part).missing("capacity"));
        names.collect()
    }

    /// Of batteries on top of one another the one that is empty first decides.
    fn stacked(&self, lines: &mut Vec<(usize, String)>) {
        let joined = &self.key_off.joined;
        let Some(first) = self.key_off.battery.filter(|_| joined.string.len() > 1) else {
            return;
        };
        let days = |part: PartId| {
            let bank = self.parked.banks.iter().find(|bank| bank.part == part)?;
            Some(bank.here.as_ref()?.days.likely)
        };
        // Of two alike there is no first.
        let least = days(first).unwrap_or(f64::INFINITY);
        let mut others = self.parked.banks.iter().filter(|bank| bank.starts_engine);
        if !others.any(|bank| days(bank.part).is_none_or(|days| days > least * 1.01)) {
            return;
        }
        let all = &self.vehicle.batteries;
        let string = joined
            .string
            .iter()
            .filter_map(|&group| joined.groups.get(group));
        let names: Vec<String> = string
            .map(|group| {
                let names = group.iter().map(|&one| self.name(all[one].part));
                names.collect::<Vec<_>>().join(" + ")
            })
            .collect();
        let words = format!(
            "{} crank the engine in series: {}, which is empty first, decides.",
            words::list(&names),
            words::list(&self.with(first))
        );
        add(lines, 2, &words);
    }

    /// What flows before everything has settled, where it is more than later.
    fn at_first(&self, lines: &mut Vec<(usize, String)>) {
        let known = self.parked.starter().and_then(|bank| bank.battery.as_ref());
        let Some((extra, hours)) = known
            .and_then(Battery::extra)
            .filter(|&(extra, _)| extra >= SAID)
        else {
            return;
        };
        let words = format!(
            "More is drawn at first: {} beyond that until {} after the key is turned off. Whether it starts is reckoned with it.",
            self.show.one(AmpHours(extra)),
            self.show.one(Seconds::from_hours(hours))
        );
        add(lines, 2, &words);
    }

    /// How long the engine would still start at the temperature of the record.
    fn lasts(&self, lines: &mut Vec<(usize, String)>) {
        let Some(bank) = self.parked.starter() else {
            return;
        };
        let Some(here) = &bank.here else {
            return;
        };
        let at = self.show.one(here.at);
        let days = here.days;
        if here.floor > 1.0 {
            let words = format!(
                "At {at} the battery cannot start the engine even when full: {} asks for more than it has.",
                here.floor_by.text()
            );
            add(lines, 2, &words);
        } else if days.likely <= 0.0 {
            let charge = bank.battery.as_ref().map(|known| known.charge.likely);
            let there = charge.map_or_else(String::new, |charge| {
                format!(
                    "{} of the charge is there, and ",
                    self.show.one(Fraction(charge))
                )
            });
            add(
                lines,
                2,
                &format!(
                    "At {at} the engine cannot be counted on to start even now: {there}at least {} has to be, by {}.",
                    self.show.one(Fraction(here.floor)),
                    here.floor_by.text()
                ),
            );
        } else {
            add(
                lines,
                2,
                &format!(
                    "Standing at {at}, the engine still starts for {} days ({} to {}). The floor of {} charge is set by {}.",
                    digits(days.likely, 2),
                    digits(days.low, 2),
                    digits(days.high, 2),
                    self.show.one(Fraction(here.floor)),
                    here.floor_by.text()
                ),
            );
        }
        if !bank.missing.is_empty() {
            add(
                lines,
                2,
                &format!(
                    "Not stated, so cranking is left out of it: {}.",
                    words::list(&bank.missing)
                ),
            );
        } else if !here.moved_by.is_empty() {
            add(
                lines,
                2,
                &format!("What moves this most: {}.", words::list(&here.moved_by)),
            );
        }
    }

    /// The parts that draw most of it.
    fn most(&self, lines: &mut Vec<(usize, String)>) {
        let parts: Vec<String> = self
            .key_off
            .by_part
            .iter()
            .filter(|draw| draw.only_if.is_none())
            .take(MOST_PARTS)
            .map(|draw| {
                let name = &self.vehicle.part(draw.part).name.value;
                format!("{name} {}", self.show.one(draw.current))
            })
            .collect();
        if parts.is_empty() {
            return;
        }
        let words = if self.key_off.by_battery.len() > 1 {
            "Drawing most, from any battery"
        } else {
            "Most of it"
        };
        add(lines, 2, &format!("{words}: {}.", parts.join(", ")));
    }

    /// By part, by fuse, and by battery where there are several.
    pub fn tables(&self, page: &mut Page) {
        for (heading, grid) in self.grids() {
            page.heading(&heading);
            page.grid(2, grid);
        }
    }

    /// The same as tables by themselves, each with its heading; none that is empty.
    #[must_use]
    pub fn grids(&self) -> Vec<(String, Grid<'static>)> {
        let mut grids = vec![
            ("Key-off draw, by part".to_owned(), self.by_part()),
            (
                "Key-off draw, by fuse: what a meter loses when it is pulled".to_owned(),
                self.by_fuse(),
            ),
        ];
        if self.key_off.by_battery.len() > 1 {
            let at = self.show.one(self.parked.at);
            let heading = format!("Key-off draw, by battery, and how long each holds out at {at}");
            grids.push((heading, self.by_battery()));
        }
        grids.retain(|(_, grid)| !grid.is_empty());
        grids
    }

    fn name(&self, part: PartId) -> String {
        self.vehicle.part(part).name.value.clone()
    }

    fn what(&self, part: PartId) -> String {
        self.vehicle.part(part).what.clone().unwrap_or_default()
    }

    fn by_part(&self) -> Grid<'static> {
        let rows = self.key_off.by_part.iter().map(|draw| {
            let behind = draw.protected_by.iter().map(|part| self.name(*part));
            vec![
                self.name(draw.part),
                self.show.one(draw.current),
                self.show.range(draw.range),
                when(draw.only_if.as_ref().and_then(words::setting)),
                behind.collect::<Vec<_>>().join(", "),
                self.what(draw.part),
            ]
        });
        let columns = [
            Column::Words("Part"),
            Column::Figures("Draw"),
            Column::Words("Between"),
            Column::Words("When"),
            Column::Words("Behind"),
            Column::Words("What it is"),
        ];
        Grid::new(&columns, rows.collect())
    }

    fn by_fuse(&self) -> Grid<'static> {
        let rows = self.key_off.by_fuse.iter().map(|(fuse, current)| {
            vec![self.name(*fuse), self.show.one(*current), self.what(*fuse)]
        });
        let columns = [
            Column::Words("Fuse"),
            Column::Figures("Loses"),
            Column::Words("What it is"),
        ];
        Grid::new(&columns, rows.collect())
    }

    fn by_battery(&self) -> Grid<'static> {
        let rows = self.key_off.by_battery.iter().map(|(battery, draw, time)| {
            let sum = time.map(|time| simple(time.hours() * draw.0, draw.0, time));
            let bank = self.parked.banks.iter().find(|bank| bank.part == *battery);
            let here = bank.and_then(|bank| bank.here.as_ref());
            let days = here.map(|here| {
                format!(
                    "{} days ({} to {})",
                    digits(here.days.likely, 2),
                    digits(here.days.low, 2),
                    digits(here.days.high, 2)
                )
            });
            vec![
                self.name(*battery),
                self.show.one(*draw),
                sum.unwrap_or_default(),
                days.unwrap_or_default(),
            ]
        });
        let columns = [
            Column::Words("Battery"),
            Column::Figures("Draw"),
            Column::Words("Simple sum"),
            Column::Words("Holds out"),
        ];
        Grid::new(&columns, rows.collect())
    }
}

/// The sum as everybody in the trade does it by hand: `75 Ah / 0.182 A = 412 h = 17.2 days`.
fn simple(amp_hours: f64, amps: f64, time: Seconds) -> String {
    format!(
        "{} / {} A = {} h = {} days",
        show::show(AmpHours(amp_hours), Units::Metric),
        trimmed(amps),
        digits(time.hours(), 3),
        digits(time.days(), 3)
    )
}

/// Three significant digits, without the noughts that say nothing.
fn trimmed(value: f64) -> String {
    let digits = digits(value, 3);
    if digits.contains('.') {
        digits
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        digits
    }
}

fn add(lines: &mut Vec<(usize, String)>, indent: usize, words: &str) {
    lines.push((indent, words.to_owned()));
}

fn between(range: &str) -> String {
    if range.is_empty() {
        String::new()
    } else {
        format!(", between {}", range.replace(" to ", " and "))
    }
}

fn when(setting: Option<String>) -> String {
    setting.map_or_else(|| "as left".to_owned(), |setting| format!("only {setting}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::analyze;
    use crate::analyze::park::park;
    use crate::model::testing::vehicle;
    use crate::quantity::show::Units;

    fn said(battery: &str, engine: &str) -> String {
        let vehicle = vehicle(&format!(
            "vehicle: {{system: 12 V, own-load: {{off: 20 mA, run: 10 A}}, {engine}}}
parts:
  B1: {{kind: battery{battery}}}
  F1: {{kind: fuse, rating: 10 A}}
  LAMP: {{kind: load, type: led, draw: 3 mA}}
wires:
  - {{run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m]}}
"
        ));
        let solved = analyze(&vehicle);
        let parked = park(&vehicle, &solved.key_off);
        let of = Standing {
            vehicle: &vehicle,
            key_off: &solved.key_off,
            parked: &parked,
            show: Show(Units::Metric),
        };
        let lines = of.lines();
        let words: Vec<&str> = lines.iter().map(|(_, line)| line.as_str()).collect();
        words.join(" ")
    }

    #[test]
    fn without_a_capacity_the_draw_is_whole_and_the_time_is_not_known() {
        let words = said("", "climate: {parked: 5 C}");
        assert!(words.contains("23 mA out of B1 as it is left."), "{words}");
        assert!(
            words.contains("How long it lasts cannot be said: B1.capacity is not stated."),
            "{words}"
        );
        assert!(!words.contains("not whole"), "{words}");
    }

    #[test]
    fn a_battery_that_is_too_weak_now_is_told_with_what_it_lacks() {
        // Half of the charge is the rule; 30 % are there.
        let words = said(
            ", capacity: 75 Ah, charge: 30 %, cold-cranking: 600 A",
            "climate: {parked: 5 C}, engine: {cranking: 150 A}",
        );
        assert!(
            words.contains(
                "At 5 C the engine cannot be counted on to start even now: 30 % of the charge is there, and at least 50 % has to be, by the rule of half a charge."
            ),
            "{words}"
        );
        // An engine that asks for more than the battery gives at -18 C has no start at -35 C.
        let words = said(
            ", capacity: 75 Ah, charge: 100 %, cold-cranking: 300 A",
            "climate: {parked: -35 C}, engine: {cranking: 500 A}",
        );
        assert!(
            words.contains(
                "At -35 C the battery cannot start the engine even when full: what the engine needs to crank asks for more than it has."
            ),
            "{words}"
        );
    }
}
